package stats

import (
	"math"
	"slices"
)

// largest is the largest extreme value distribution, Gumbel's first type,
//
//	F(x) = exp(-exp(-(x - location)/scale)).
type largest struct{ location, scale float64 }

func buildLargest(p []float64) law { return largest{p[0], p[1]} }

// fitLargest maximises the likelihood (Johnson, Kotz and Balakrishnan,
// Continuous Univariate Distributions 2, chapter 22): scale is the one root of
//
//	b = mean(x) - sum(x w) / sum(w), w = exp(-x/b),
//
// which lies between 0 and mean - min, since a weighted mean is never below the
// least value and the right side falls as b grows; and
// location = -b ln(mean of w).
func fitLargest(x []float64) (law, error) {
	if err := spreadOut(x); err != nil {
		return nil, err
	}
	mean, err := Mean(x)
	if err != nil {
		return nil, err
	}
	least := slices.Min(x)
	above := make([]float64, len(x)) // From the least value, so that no digits are lost to where the sample lies.
	for i, v := range x {
		above[i] = v - least
	}
	mean -= least
	if math.IsInf(slices.Max(above), 0) || mean <= 0 {
		return nil, ErrNotFinite
	}
	scale := zeroBetween(func(b float64) float64 {
		weighted, weights := 0., 0.
		for _, v := range above {
			w := math.Exp(-v / b)
			weighted += v * w
			weights += w
		}
		return b - mean + weighted/weights
	}, 0x1p-40*mean, mean)
	weights := make([]float64, len(x))
	for i, v := range above {
		weights[i] = math.Exp(-v / scale)
	}
	return largest{least - scale*math.Log(Sum(weights)/float64(len(x))), scale}, nil
}

func (l largest) parameters() []float64 { return []float64{l.location, l.scale} }

func (l largest) check() error { return checkPositive("scale", l.scale) }

func (l largest) tails(x float64) (below, above float64) {
	h := math.Exp(-(x - l.location) / l.scale)
	return math.Exp(-h), -math.Expm1(-h)
}

func (l largest) quantile(p, q float64) float64 {
	return l.location - l.scale*math.Log(minusLog(p, q))
}

func (l largest) logDensity(x float64) float64 {
	z := (x - l.location) / l.scale
	return -math.Log(l.scale) - z - math.Exp(-z)
}

// minusLog returns -ln p where q = 1 - p, exact also where p is close to 1.
func minusLog(p, q float64) float64 {
	if p < 0.5 {
		return -math.Log(p)
	}
	return -math.Log1p(-q)
}
