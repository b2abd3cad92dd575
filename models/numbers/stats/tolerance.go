package stats

import "math"

// MostForTolerance is the largest sample for which factors are computed.
const MostForTolerance = 1_000_000

// ToleranceFactors say how many standard deviations s from the mean of n normal
// values an interval must reach to hold a share of the process, the coverage,
// with the confidence asked for.
type ToleranceFactors struct {
	// OneSided is exact: t quantile(confidence; n-1, z sqrt(n))/sqrt(n), of the
	// non-central t with z = normal quantile(coverage).
	OneSided float64
	// OneSidedNatrella is the approximation of Natrella (Experimental Statistics,
	// NBS Handbook 91, 1963), which small samples at high confidence do not have.
	OneSidedNatrella      float64
	OneSidedNatrellaKnown bool
	// TwoSided is exact for mean +- k s (Odeh and Owen, Tables for Normal
	// Tolerance Limits, 1980), TwoSidedHowe the approximation of Howe (Journal of
	// the American Statistical Association 64, 1969).
	TwoSided, TwoSidedHowe float64
}

// ToleranceFactorsOf returns the factors of a sample of n, 2 to a million.
func ToleranceFactorsOf(n int, coverage, confidence float64) (ToleranceFactors, error) {
	if n < 2 || n > MostForTolerance {
		return ToleranceFactors{}, outside("n", n, "must be from 2 to 1000000")
	}
	if err := checkOpen("coverage", coverage); err != nil {
		return ToleranceFactors{}, err
	}
	if err := checkOpen("confidence", confidence); err != nil {
		return ToleranceFactors{}, err
	}
	size := float64(n)
	z, sure := normalAt(coverage, 1-coverage), normalAt(confidence, 1-confidence)
	f := ToleranceFactors{OneSided: noncentralTAt(confidence, 1-confidence, size-1, z*math.Sqrt(size)) / math.Sqrt(size)}
	a, b := 1-sure*sure/(2*(size-1)), z*z-sure*sure/size
	if root := z*z - a*b; a > 0 && root >= 0 {
		f.OneSidedNatrella, f.OneSidedNatrellaKnown = (z+math.Sqrt(root))/a, true
	}
	tail := (1 - coverage) / 2
	middle := -normalAt(tail, 1-tail)
	f.TwoSidedHowe = middle * math.Sqrt((1+1/size)*(size-1)/(2*gammaInverse(1-confidence, confidence, (size-1)/2)))
	f.TwoSided = twoSidedFactor(size, middle, 1-coverage, confidence, f.TwoSidedHowe)
	for _, v := range []float64{f.OneSided, f.OneSidedNatrella, f.TwoSided, f.TwoSidedHowe} {
		if _, err := finite("tolerance factor", v); err != nil {
			return ToleranceFactors{}, about("confidence", err)
		}
	}
	return f, nil
}

// twoSidedFactor solves for k
//
//	confidence = E[ P(s >= r(y)/k) ],  F(y/sqrt(n) + r) - F(y/sqrt(n) - r) = coverage,
//
// over a standard normal y, the error of the mean in units of sigma/sqrt(n);
// missed is 1 - coverage, and middle the r at y = 0.
func twoSidedFactor(n, middle, missed, confidence, start float64) float64 {
	half := nodesBetween(0, 9.5, 6)
	reach := make([]float64, len(half))
	for i, y := range half {
		half[i].weight *= 2 * NormalDensity(y.at)
		off := y.at / math.Sqrt(n)
		reach[i] = zeroBetween(func(r float64) float64 {
			return NormalBelow(-off-r) + NormalBelow(off-r) - missed
		}, middle, middle+off)
	}
	a := (n - 1) / 2
	u := invert(confidence, 1-confidence, -50, 100, math.Log(start), func(u float64) (below, above, slope float64) {
		for i, y := range half {
			x := a * reach[i] * reach[i] * math.Exp(-2*u)
			outside, inside := gammaTails(a, x)
			below += y.weight * inside
			above += y.weight * outside
			if x > 0 {
				slope += y.weight * 2 * a * gammaKernel(a, x)
			}
		}
		return below, above, slope
	})
	return math.Exp(u)
}

// noncentralTAt returns the t with probability p below and q = 1 - p above it
// under the non-central t distribution,
//
//	P(T <= t) = E[ F(t s - delta) ],  s = sqrt(chi-square/df),
//
// integrated over s, which loses nothing for large delta (Owen, Technometrics
// 10, 1968). The search runs in asinh(t).
func noncentralTAt(p, q, df, delta float64) float64 {
	u := invert(p, q, -300, 300, math.Asinh(delta), func(u float64) (below, above, slope float64) {
		t := math.Sinh(u)
		var breaks []float64
		if t != 0 {
			breaks = []float64{(delta - 8) / t, delta / t, (delta + 8) / t}
		}
		for _, s := range spreadNodes(df, 8, breaks...) {
			z := t*s.at - delta
			below += s.weight * NormalBelow(z)
			above += s.weight * NormalAbove(z)
			slope += s.weight * NormalDensity(z) * s.at
		}
		return below, above, slope * math.Cosh(u)
	})
	return math.Sinh(u)
}

// ToleranceLimits are the factors applied to a mean and a standard deviation, in
// their unit.
type ToleranceLimits struct {
	TwoSided, TwoSidedHowe Interval
	// Upper is mean + k s one-sided; the lower one lies as far below the mean.
	Upper, UpperNatrella float64
}

// Around returns the limits. UpperNatrella means something where the factor is
// known.
func (f ToleranceFactors) Around(mean, sd float64) (ToleranceLimits, error) {
	if !(sd >= 0) || math.IsInf(sd, 0) {
		return ToleranceLimits{}, outside("sd", sd, "must not be negative")
	}
	l := ToleranceLimits{
		TwoSided:     Interval{Low: mean - f.TwoSided*sd, High: mean + f.TwoSided*sd},
		TwoSidedHowe: Interval{Low: mean - f.TwoSidedHowe*sd, High: mean + f.TwoSidedHowe*sd},
		Upper:        mean + f.OneSided*sd, UpperNatrella: mean + f.OneSidedNatrella*sd,
	}
	for _, v := range []float64{l.TwoSided.Low, l.TwoSided.High, l.TwoSidedHowe.Low, l.TwoSidedHowe.High, l.Upper, l.UpperNatrella} {
		if _, err := finite("limit", v); err != nil {
			return ToleranceLimits{}, about("mean", err)
		}
	}
	return l, nil
}
