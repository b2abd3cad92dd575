package stats

import "math"

// The normal distribution, and the lognormal, which is normal in logarithms.
// Both are fitted by the mean and the standard deviation with n-1, not n: the
// likelihood alone would divide by n and call every process a little better
// than it is, and an index by percentiles would differ from the plain one of
// the same values.

// gaussian has mean and standard deviation.
type gaussian struct{ mean, sd float64 }

func buildNormal(p []float64) law { return gaussian{p[0], p[1]} }

func fitNormal(x []float64) (law, error) {
	if err := spreadOut(x); err != nil {
		return nil, err
	}
	mean, err := Mean(x)
	if err != nil {
		return nil, err
	}
	sd, err := SD(x)
	if err != nil {
		return nil, err
	}
	return gaussian{mean, sd}, nil
}

func (g gaussian) parameters() []float64 { return []float64{g.mean, g.sd} }

func (g gaussian) check() error { return checkPositive("sigma", g.sd) }

func (g gaussian) tails(x float64) (below, above float64) {
	z := (x - g.mean) / g.sd
	return NormalBelow(z), NormalAbove(z)
}

func (g gaussian) quantile(p, q float64) float64 { return g.mean + g.sd*normalAt(p, q) }

func (g gaussian) logDensity(x float64) float64 {
	z := (x - g.mean) / g.sd
	return -z*z/2 - math.Log(g.sd) - halfLog2Pi
}

// normalAt returns the standard normal quantile with p below and q above it,
// from the smaller of the two.
func normalAt(p, q float64) float64 {
	z, err := NormalQuantile(min(p, q))
	switch {
	case err != nil:
		return math.NaN()
	case p <= q:
		return z
	}
	return -z
}

// lognormal: the natural logarithm is normal.
type lognormal struct{ log gaussian }

func buildLognormal(p []float64) law { return lognormal{gaussian{p[0], p[1]}} }

func fitLognormal(x []float64) (law, error) {
	if err := positive(x); err != nil {
		return nil, err
	}
	l, err := fitNormal(logs(x))
	if err != nil {
		return nil, err
	}
	return lognormal{l.(gaussian)}, nil // fitNormal makes nothing else.
}

func (l lognormal) parameters() []float64 { return l.log.parameters() }

func (l lognormal) check() error { return l.log.check() }

func (l lognormal) tails(x float64) (below, above float64) {
	if x <= 0 {
		return 0, 1
	}
	return l.log.tails(math.Log(x))
}

func (l lognormal) quantile(p, q float64) float64 { return math.Exp(l.log.quantile(p, q)) }

func (l lognormal) logDensity(x float64) float64 {
	if x <= 0 {
		return math.Inf(-1)
	}
	y := math.Log(x)
	return l.log.logDensity(y) - y
}
