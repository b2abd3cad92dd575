package sampling

import (
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// Variables is a plan by measured values with one limit: take Size pieces, of
// which the quality index must be Factor or more.
type Variables struct {
	Size   int     // At least 2, at most [MaxMeasured].
	Factor float64 // The acceptance constant k.
}

// Check refuses a plan that cannot be.
func (v Variables) Check() error {
	if err := checkWhole("n", v.Size, 2, MaxMeasured); err != nil {
		return err
	}
	return checkFactor(v.Factor)
}

// Characteristic returns the probability of acceptance when a fraction p of
// normally distributed values lies beyond the limit, sigma unknown:
//
//	Pa = P(T >= k sqrt(n)),  T non-central t, n-1 degrees of freedom,
//	                         non-centrality z sqrt(n), z = PhiInv(1-p)
//
// (Lieberman and Resnikoff, Journal of the American Statistical Association 50,
// 1955). It is computed as the mean of Phi(sqrt(n) (z - k s)) over the
// distribution of s, the standard deviation of the sample in sigma, by
// Gauss-Legendre quadrature, which holds 10 digits also where the usual series
// of the non-central t underflows.
func (v Variables) Characteristic(p float64) (float64, error) {
	if err := v.Check(); err != nil {
		return 0, err
	}
	if err := checkRisk("p", p); err != nil {
		return 0, err
	}
	z, err := stats.NormalQuantile(p)
	if err != nil {
		return 0, err
	}
	root := math.Sqrt(float64(v.Size))
	accepts := func(s float64) float64 { return stats.NormalBelow(root * (-z - v.Factor*s)) }
	return min(overSD(v.Size-1, accepts, v.step(-z)...), 1), nil
}

// step returns where the probability of acceptance turns from 1 to 0, as a
// function of s: nine standard deviations before and after, and the middle.
func (v Variables) step(z float64) []float64 {
	if v.Factor == 0 {
		return nil
	}
	middle, half := z/v.Factor, 9/(math.Sqrt(float64(v.Size))*math.Abs(v.Factor))
	return []float64{middle - half, middle, middle + half}
}

// overSD returns the mean of f over the distribution of s, the square root of
// chi-square of df degrees of freedom over df,
//
//	density(s) = 2 (df/2)^(df/2) / Gamma(df/2) s^(df-1) exp(-df s^2/2),
//
// between cuts where f bends. Of s, 1e-16 lies farther than 9/sqrt(df) from 1.
func overSD(df int, f func(s float64) float64, cuts ...float64) float64 {
	d := float64(df)
	whole, _ := math.Lgamma(d / 2)
	constant := math.Ln2 + d/2*math.Log(d/2) - whole
	density := func(s float64) float64 {
		return math.Exp(constant + (d-1)*math.Log(s) - d*s*s/2)
	}
	reach := 9 / math.Sqrt(d)
	low, high := max(0, 1-reach), 1+reach
	places := []float64{low, 1, high}
	for _, cut := range cuts {
		if cut > low && cut < high {
			places = append(places, cut)
		}
	}
	slices.Sort(places)
	var sum float64
	for i := 1; i < len(places); i++ {
		if places[i] > places[i-1] {
			nodes, weights := stats.GaussLegendre(80, places[i-1], places[i])
			for j, s := range nodes {
				sum += weights[j] * density(s) * f(s)
			}
		}
	}
	return sum
}
