package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"time"
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

func (r *random) phase() float64 { return r.between(0, 2*math.Pi) }

// minutes is a stretch of time between two bounds, to the second.
func (r *random) minutes(low, high float64) time.Duration {
	return time.Duration(r.between(low, high) * float64(time.Minute)).Truncate(time.Second)
}

// ids makes keys with the layout of UUIDv7 (RFC 9562) from the shop's own
// clock and chance: they sort by the moment and, within one, by their order.
type ids struct {
	random *rand.Rand
	last   int64 // millisecond
	within uint64
}

func newIDs(seed uint64) *ids { return &ids{random: rand.New(rand.NewPCG(seed, 0x6b657973))} }

func (i *ids) next(at time.Time) string {
	const perMillisecond = 1 << 12
	if ms := at.UnixMilli(); ms > i.last {
		i.last, i.within = ms, 0
	} else if i.within++; i.within == perMillisecond {
		i.last, i.within = i.last+1, 0
	}
	rest := i.random.Uint64()
	return fmt.Sprintf("%08x-%04x-7%03x-%04x-%012x", uint64(i.last)>>16, uint64(i.last)&0xffff, i.within, 0x8000|rest>>48&0x3fff, rest&0xffffffffffff)
}

// secret makes a key with the layout of UUIDv4 from the shop's own chance: that of
// a customer, which says nothing, not even when it was made.
func (i *ids) secret() string {
	high, low := i.random.Uint64(), i.random.Uint64()
	return fmt.Sprintf("%08x-%04x-4%03x-%04x-%012x", high>>32, high>>16&0xffff, high&0xfff, 0x8000|low>>48&0x3fff, low&0xffffffffffff)
}
