package stats

import (
	"errors"
	"math"
)

// Interval runs from Low to High; where a side is open OpenLow or OpenHigh says
// so and its number means nothing.
type Interval struct {
	Low, High         float64
	OpenLow, OpenHigh bool
}

// MeanInterval returns the two-sided interval mean +- t s/sqrt(n) for the mean
// of a normal process, of at least two values (e-Handbook 1.3.5.2).
func MeanInterval(x []float64, confidence float64) (Interval, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return Interval{}, err
	}
	mean, err := Mean(x)
	if err != nil {
		return Interval{}, about("x", err)
	}
	sd, err := SD(x)
	if err != nil {
		return Interval{}, about("x", err)
	}
	n := float64(len(x))
	t, err := TQuantile((1-confidence)/2, n-1)
	if err != nil {
		return Interval{}, about("confidence", err)
	}
	half := -t * sd / math.Sqrt(n)
	if _, err := finite("interval", mean+half); err != nil {
		return Interval{}, about("x", err)
	}
	return Interval{Low: mean - half, High: mean + half}, nil
}

// SDInterval returns the two-sided interval for the standard deviation of a
// normal process from s on df degrees of freedom,
//
//	s sqrt(df/chi-square quantile) at (1+confidence)/2 and (1-confidence)/2
//
// (e-Handbook 7.2.3.1).
func SDInterval(s, df, confidence float64) (Interval, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return Interval{}, err
	}
	if !(s >= 0) || math.IsInf(s, 0) {
		return Interval{}, outside("sd", s, "must not be negative")
	}
	if err := checkFiniteDegrees("degrees of freedom", df); err != nil {
		return Interval{}, err
	}
	tail := (1 - confidence) / 2
	below, above := 2*gammaInverse(tail, 1-tail, df/2), 2*gammaInverse(1-tail, tail, df/2)
	high, err := finite("interval", s*math.Sqrt(df/below))
	if err != nil {
		return Interval{}, about("confidence", err)
	}
	return Interval{Low: s * math.Sqrt(df/above), High: high}, nil
}

// ProportionIntervals are intervals for the share p behind x of n.
type ProportionIntervals struct {
	Estimate float64 // x/n
	// Exact contains p with at least the confidence asked for, whatever it is
	// (Clopper and Pearson, Biometrika 26, 1934).
	Exact Interval
	// Wilson has the confidence on average (Wilson, Journal of the American
	// Statistical Association 22, 1927).
	Wilson Interval
	// Jeffreys holds the middle of the beta distribution of x+1/2 and n-x+1/2.
	Jeffreys Interval
	// ExactLow and ExactHigh are one-sided bounds, each with the whole confidence.
	ExactLow, ExactHigh float64
}

// ProportionIntervalsOf returns them for x of n, n at least 1.
func ProportionIntervalsOf(x, n int, confidence float64) (ProportionIntervals, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return ProportionIntervals{}, err
	}
	if n < 1 || float64(n) > MaxDegrees/2 {
		return ProportionIntervals{}, outside("n", n, "must be from 1 to 5e9")
	}
	if x < 0 || x > n {
		return ProportionIntervals{}, outside("x", x, "must be from 0 to n")
	}
	k, size := float64(x), float64(n)
	tail := (1 - confidence) / 2
	z := -normalAt(tail, 1-tail)
	p := k / size
	centre, half := (p+z*z/(2*size))/(1+z*z/size), z/(1+z*z/size)*math.Sqrt(p*(1-p)/size+z*z/(4*size*size))
	i := ProportionIntervals{
		Estimate:  p,
		Exact:     Interval{Low: exactLow(k, size, tail), High: exactHigh(k, size, tail)},
		Wilson:    Interval{Low: max(centre-half, 0), High: min(centre+half, 1)},
		ExactLow:  exactLow(k, size, 1-confidence),
		ExactHigh: exactHigh(k, size, 1-confidence),
	}
	// Exactly so: the formula leaves a rounding.
	if x == 0 {
		i.Wilson.Low = 0
	}
	if x == n {
		i.Wilson.High = 1
	}
	i.Jeffreys.Low, _ = betaInverse(tail, 1-tail, k+0.5, size-k+0.5)
	i.Jeffreys.High, _ = betaInverse(1-tail, tail, k+0.5, size-k+0.5)
	return i, nil
}

// exactLow is the p at which x or more of n have the probability tail.
func exactLow(x, n, tail float64) float64 {
	if x == 0 {
		return 0
	}
	p, _ := betaInverse(tail, 1-tail, x, n-x+1)
	return p
}

// exactHigh is the p at which x or fewer of n have the probability tail.
func exactHigh(x, n, tail float64) float64 {
	if x == n {
		return 1
	}
	p, _ := betaInverse(1-tail, tail, x+1, n-x)
	return p
}

// CountIntervals are exact intervals for the mean behind a count of events
// (Garwood, Biometrika 28, 1936).
type CountIntervals struct {
	TwoSided Interval
	// Low and High are one-sided bounds, each with the whole confidence.
	Low, High float64
}

// CountIntervalsOf returns half the chi-square quantiles on 2 count and
// 2 count + 2 degrees of freedom.
func CountIntervalsOf(count int, confidence float64) (CountIntervals, error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return CountIntervals{}, err
	}
	if count < 0 || float64(count) > MaxDegrees/2 {
		return CountIntervals{}, outside("count", count, "must be from 0 to 5e9")
	}
	c, tail := float64(count), (1-confidence)/2
	return CountIntervals{
		TwoSided: Interval{Low: countLow(c, tail), High: countHigh(c, tail)},
		Low:      countLow(c, 1-confidence), High: countHigh(c, 1-confidence),
	}, nil
}

// countLow is the mean at which count or more events have the probability tail.
func countLow(count, tail float64) float64 {
	if count == 0 {
		return 0
	}
	return gammaInverse(tail, 1-tail, count)
}

// countHigh is the mean at which count or fewer have it.
func countHigh(count, tail float64) float64 { return gammaInverse(1-tail, tail, count+1) }

// Rate is events per unit of exposure.
type Rate struct {
	Estimate float64
	TwoSided Interval
}

// RateIntervalOf returns the rate behind a count over an exposure (hours, units,
// area) with the exact interval, and the intervals of the count itself.
func RateIntervalOf(count int, exposure, confidence float64) (Rate, CountIntervals, error) {
	if err := checkPositive("exposure", exposure); err != nil {
		return Rate{}, CountIntervals{}, err
	}
	counts, err := CountIntervalsOf(count, confidence)
	if err != nil {
		return Rate{}, CountIntervals{}, err
	}
	r := Rate{
		Estimate: float64(count) / exposure,
		TwoSided: Interval{Low: counts.TwoSided.Low / exposure, High: counts.TwoSided.High / exposure},
	}
	if _, err := finite("rate", r.TwoSided.High); err != nil {
		return Rate{}, CountIntervals{}, about("exposure", err)
	}
	return r, counts, nil
}

// MTBF is the mean time between failures of a process without wear.
type MTBF struct {
	// Estimate is total time / failures; without a failure there is none.
	Estimate      float64
	EstimateKnown bool
	// TwoSided is open above when nothing failed. Low is the one-sided bound.
	TwoSided Interval
	Low      float64
}

// MTBFOf returns intervals for a test that ended at a fixed time, the time of
// all units added up,
//
//	2 T/chi-square quantile((1+confidence)/2, 2r+2) and 2 T/chi-square quantile((1-confidence)/2, 2r)
//
// (e-Handbook 8.4.5.1). The unit is that of the time.
func MTBFOf(totalTime float64, failures int, confidence float64) (MTBF, error) {
	if err := checkPositive("total_time", totalTime); err != nil {
		return MTBF{}, err
	}
	if failures < 0 {
		return MTBF{}, outside("failures", failures, "must not be negative")
	}
	counts, err := CountIntervalsOf(failures, confidence)
	if err != nil {
		var named *ArgumentError
		if errors.As(err, &named) && named.Argument == "count" {
			named.Argument = "failures"
		}
		return MTBF{}, err
	}
	m := MTBF{
		EstimateKnown: failures > 0,
		TwoSided:      Interval{Low: totalTime / counts.TwoSided.High, OpenHigh: failures == 0},
		Low:           totalTime / counts.High,
	}
	if failures > 0 {
		m.Estimate, m.TwoSided.High = totalTime/float64(failures), totalTime/counts.TwoSided.Low
	}
	for _, v := range []float64{m.Estimate, m.TwoSided.Low, m.TwoSided.High, m.Low} {
		if _, err := finite("interval", v); err != nil {
			return MTBF{}, about("total_time", err)
		}
	}
	return m, nil
}
