package life

import (
	"math"
	"sort"

	"tracewright/models/numbers/stats"
)

// Assumed is what few failures, or none, say when the Weibull shape is assumed.
type Assumed struct {
	Shape      float64
	Scale      float64 // By maximum likelihood; it exists when ScaleKnown, from one failure on.
	ScaleKnown bool
	// Low and High bound the scale; High exists when ScaleKnown.
	Low, High       float64
	Units, Failures int
	Confidence      float64
}

// AssumedShape returns the range of a Weibull scale for a shape that is given,
// for t^shape is then exponential: with T = sum t^shape and r failures
//
//	2 T / chi2(1 - a/2; 2r + 2) <= scale^shape <= 2 T / chi2(a/2; 2r),
//
// a = 1 - confidence (Nelson, Journal of Quality Technology 17, 1985; limits of
// NIST/SEMATECH e-Handbook 8.4.5.1 for tests ended by time). The range does not
// hold what is not known of the shape: ask for several.
func AssumedShape(lives []Observation, shape, confidence float64) (Assumed, error) {
	t, err := count(lives)
	if err != nil {
		return Assumed{}, err
	}
	if err := checkShape(shape); err != nil {
		return Assumed{}, err
	}
	if _, err := bothSides(confidence); err != nil {
		return Assumed{}, err
	}
	var longest float64
	for _, l := range lives {
		if l.Count > 0 {
			longest = max(longest, l.Time)
		}
	}
	if longest == 0 {
		return Assumed{}, refuse("time", longest, "must be above 0 for one life at least")
	}
	var exposure float64 // In units of longest^shape.
	for _, l := range lives {
		exposure += float64(l.Count) * math.Pow(l.Time/longest, shape)
	}
	a := Assumed{Shape: shape, ScaleKnown: t.failures > 0, Units: t.units, Failures: t.failures, Confidence: confidence}
	r, tail := float64(t.failures), (1-confidence)/2
	scale := func(failures float64) float64 { return longest * math.Pow(exposure/failures, 1/shape) }
	most, err := stats.ChiSquareQuantile(1-tail, 2*r+2)
	if err != nil {
		return Assumed{}, err
	}
	if a.Low, err = finite("scale", scale(most/2)); err != nil {
		return Assumed{}, &stats.ArgumentError{Argument: "time", Err: err}
	}
	if !a.ScaleKnown {
		return a, nil
	}
	least, err := stats.ChiSquareQuantile(tail, 2*r)
	if err != nil {
		return Assumed{}, err
	}
	a.Scale = scale(r)
	if a.High, err = finite("scale", scale(least/2)); err != nil {
		return Assumed{}, &stats.ArgumentError{Argument: "time", Err: err}
	}
	return a, nil
}

// Forecast is [Fit.Forecast] for a shape that is assumed. The interval of the
// mean comes from both ends of the range of the scale, and the number counted
// is bounded by the Poisson quantiles of those, so that it leaves less outside
// than asked. Without failures the expected number is not known and 0 stands
// for it.
func (a Assumed) Forecast(lives []Observation, horizon, confidence float64, waiting ...Waiting) (Forecast, error) {
	forecast, out, err := newForecast(lives, waiting, horizon, confidence)
	if err != nil {
		return Forecast{}, err
	}
	if a.ScaleKnown {
		forecast.Expected = a.expected(out, a.Scale)
		forecast.Mean.Low = a.expected(out, a.High)
	}
	forecast.Mean.High = a.expected(out, a.Low)
	for _, v := range []float64{forecast.Expected, forecast.Mean.Low, forecast.Mean.High} {
		if _, err := finite("expected failures", v); err != nil {
			return Forecast{}, &stats.ArgumentError{Argument: "horizon", Err: err}
		}
	}
	tail := (1 - confidence) / 2
	low, high := newMixture(forecast.Mean.Low, 0, float64(forecast.StillOut)), newMixture(forecast.Mean.High, 0, float64(forecast.StillOut))
	forecast.Low = sort.Search(forecast.StillOut, func(k int) bool { return low.below(k) > tail })
	forecast.High = sort.Search(forecast.StillOut, func(k int) bool { return high.below(k) >= 1-tail })
	if low.err != nil {
		return Forecast{}, low.err
	}
	return forecast, high.err
}

func (a Assumed) expected(out []exposed, scale float64) float64 {
	var sum float64
	for _, u := range out {
		sum += u.n * -math.Expm1(math.Pow(u.now/scale, a.Shape)-math.Pow(u.then/scale, a.Shape))
	}
	return sum
}
