package stats

import (
	"math"
	"slices"
)

// Goodness says how well a distribution fits the sample it was fitted to. It
// only ever warns: the shape of a characteristic is set from how it arises, and
// a large sample finds fault with every shape.
type Goodness struct {
	// Distance is the Anderson-Darling statistic, modified for the number of
	// values; Limit is what it exceeds in 5 % of samples that do come from the
	// shape, with its parameters found as [Fit] finds them.
	Distance, Limit float64
	// Doubtful: Distance above Limit.
	Doubtful bool
}

// Goodness compares the values with the distribution that was fitted to them,
//
//	A^2 = -n - sum((2i-1) (ln F(x_i) + ln(1 - F(x_(n+1-i)))))/n, x in order.
//
// Modifications and limits are those of D'Agostino and Stephens, Goodness-of-Fit
// Techniques, 1986, chapter 4; for shapes without a table there, see the lines.
// They hold from about 10 values on.
func (d Distribution) Goodness(x []float64) (Goodness, error) {
	if d.law == nil {
		return Goodness{}, ErrShape
	}
	if err := Check(x, 2); err != nil {
		return Goodness{}, about("x", err)
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	n := len(sorted)
	terms := make([]float64, n)
	for i, v := range sorted {
		below, above := d.law.tails(v)
		// x_i enters as the i-th from below and as the (n+1-i)-th from above.
		// The least positive double bounds what one impossible value can add.
		terms[i] = float64(2*i+1)*math.Log(max(below, math.SmallestNonzeroFloat64)) +
			float64(2*(n-i)-1)*math.Log(max(above, math.SmallestNonzeroFloat64))
	}
	count := float64(n)
	distance, err := finite("Anderson-Darling distance", max(-count-Sum(terms)/count, 0))
	if err != nil {
		return Goodness{}, err
	}
	factor, limit := d.goodnessLimit(count)
	return Goodness{Distance: distance * factor, Limit: limit, Doubtful: distance*factor > limit}, nil
}

// goodnessLimit returns the factor that makes the statistic of n values
// comparable with the limit, and the limit at 5 %.
func (d Distribution) goodnessLimit(n float64) (factor, limit float64) {
	switch l := d.law.(type) {
	case weibull, largest:
		return 1 + 0.2/math.Sqrt(n), 0.757 // Table 4.17, both parameters unknown.
	case exponential, rayleigh:
		return 1 + 0.6/n, 1.321 // Table 4.14; x^2 of a Rayleigh value is exponential.
	case gammaLaw:
		return 1, gammaGoodness(l.shape)
	case boxCox:
		return 1 + 0.75/n + 2.25/(n*n), 0.59 // Ours, by simulation: the power bends the sample towards the shape.
	case folded:
		return 1 + 0.75/n + 2.25/(n*n), foldedGoodness(l.mu / l.sigma)
	}
	return 1 + 0.75/n + 2.25/(n*n), 0.752 // Table 4.7, mean and sd unknown; exact for normal and lognormal.
}

// gammaGoodness returns the limit of table 4.21 (Lockhart and Stephens, 1985)
// for a gamma shape, by interpolation in its reciprocal, carried on to shape 1/2.
func gammaGoodness(shape float64) float64 {
	table := []struct{ reciprocal, limit float64 }{
		{2, 0.822}, {1, 0.786}, {1. / 2, 0.768}, {1. / 3, 0.762}, {1. / 4, 0.759}, {1. / 5, 0.758}, {1. / 6, 0.757},
		{1. / 8, 0.755}, {1. / 10, 0.754}, {1. / 15, 0.754}, {1. / 20, 0.753}, {0, 0.752},
	}
	at := min(1/shape, table[0].reciprocal)
	for i := 1; i < len(table); i++ {
		if high, low := table[i-1], table[i]; at >= low.reciprocal {
			return low.limit + (high.limit-low.limit)*(at-low.reciprocal)/(high.reciprocal-low.reciprocal)
		}
	}
	return 0.752
}

// foldedGoodness returns the limit for a ratio mu/sigma. Far from 0 the folded
// normal is the normal. Near 0, where mu is hardly to be told from 0, only
// sigma bends to the sample; that limit is ours, by simulation of samples of 50
// and 200.
func foldedGoodness(ratio float64) float64 {
	const near, far, half, whole = 0.8, 1.2, 1.24, 0.752
	switch {
	case ratio <= near:
		return half
	case ratio >= far:
		return whole
	}
	return half + (whole-half)*(ratio-near)/(far-near)
}
