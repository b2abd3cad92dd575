package demo

import (
	"math"
	"math/rand/v2"
)

// random is chance with a seed; every draw of the shop comes from it, in one
// order, so that a seed is a shop.
type random struct{ *rand.Rand }

func newRandom(seed uint64) *random { return &random{rand.New(rand.NewPCG(seed, 0x7472616365))} }

func (r *random) normal(mean, sd float64) float64 { return mean + sd*r.NormFloat64() }

// skewed is lognormal with this median; spread is the sd of the logarithm.
func (r *random) skewed(median, spread float64) float64 {
	return median * math.Exp(spread*r.NormFloat64())
}

func (r *random) chance(p float64) bool { return r.Float64() < p }

func (r *random) between(low, high float64) float64 { return low + (high-low)*r.Float64() }
