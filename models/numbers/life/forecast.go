package life

import (
	"fmt"
	"math"
	"sort"

	"tracewright/models/numbers/stats"
)

// Forecast is how many of the units that still run fail within a time from now.
type Forecast struct {
	StillOut int     // Units that still run.
	Expected float64 // Their expected number of failures.
	// Mean bounds the expected number: what the fit does not know.
	Mean Interval
	// Low and High bound the number that will be counted: what the fit does not
	// know and chance on top of it.
	Low, High  int
	Confidence float64
}

// Forecast expects failures among the censored lives within a horizon from now,
//
//	m = sum (F(t+h) - F(t)) / (1 - F(t)),
//
// each unit at its age t; of those that wait for their life to begin t is 0, and h is
// less by the wait. Within a horizon of 0 none fails. Failed units count for nothing; leave out what is no longer in use.
// The interval of m is normal on its logarithm by the delta
// method, with the covariance of the fit. The number counted is Poisson of a
// mean that is lognormal with that spread; its bounds leave (1 - confidence)/2
// at most on either side, and are never above the units still out (after
// Meeker and Escobar, Statistical Methods for Reliability Data, 1998, chapter
// 12; the mixture instead of their calibration by simulation).
func (f Fit) Forecast(lives []Observation, horizon, confidence float64, waiting ...Waiting) (Forecast, error) {
	forecast, out, err := newForecast(lives, waiting, horizon, confidence)
	if err != nil {
		return Forecast{}, err
	}
	// Derivatives of m with respect to the location and the logarithm of the spread.
	var location, logSpread float64
	for _, u := range out {
		stays := math.Exp(f.logSurvival(u.then) - f.logSurvival(u.now))
		forecast.Expected += u.n * -math.Expm1(f.logSurvival(u.then)-f.logSurvival(u.now))
		nowLocation, nowSpread := f.slopes(u.now)
		thenLocation, thenSpread := f.slopes(u.then)
		location -= u.n * stays * (thenLocation - nowLocation)
		logSpread -= u.n * stays * (thenSpread - nowSpread)
	}
	if _, err := finite("expected failures", forecast.Expected); err != nil {
		return Forecast{}, &stats.ArgumentError{Argument: "horizon", Err: err}
	}
	if forecast.Expected == 0 {
		return forecast, nil
	}
	c := f.Covariance
	variance := location*location*c.Location + 2*location*logSpread*c.Cross + logSpread*logSpread*c.LogSpread
	spread := math.Sqrt(max(variance, 0)) / forecast.Expected
	if _, err := finite("spread of the expected failures", spread); err != nil {
		return Forecast{}, &stats.ArgumentError{Argument: "horizon", Err: err}
	}
	z, err := bothSides(confidence)
	if err != nil {
		return Forecast{}, err
	}
	most := float64(forecast.StillOut)
	forecast.Mean = Interval{forecast.Expected * math.Exp(-z*spread), min(forecast.Expected*math.Exp(z*spread), most)}
	counts := newMixture(forecast.Expected, spread, most)
	tail := (1 - confidence) / 2
	forecast.Low = sort.Search(forecast.StillOut, func(k int) bool { return counts.below(k) > tail })
	forecast.High = sort.Search(forecast.StillOut, func(k int) bool { return counts.below(k) >= 1-tail })
	return forecast, counts.err
}

// slopes returns the derivatives of the logarithm of the survival at a time
// with respect to the location and the logarithm of the spread.
func (f Fit) slopes(time float64) (location, logSpread float64) {
	if time <= 0 {
		return 0, 0
	}
	z := f.z(time)
	hazard := f.Law.hazard(z)
	return hazard / f.Spread, hazard * z
}

// Waiting are units whose life begins a time from now.
type Waiting struct {
	Wait  float64 // From 0.
	Count int
}

// exposed are n units by their age now and at the horizon.
type exposed struct{ now, then, n float64 }

func newForecast(lives []Observation, waiting []Waiting, horizon, confidence float64) (Forecast, []exposed, error) {
	none := func(err error) (Forecast, []exposed, error) { return Forecast{}, nil, err }
	t, err := count(lives)
	if err != nil {
		return none(err)
	}
	if !(horizon >= 0) || math.IsInf(horizon, 0) {
		return none(refuse("horizon", horizon, "must be 0 or above"))
	}
	var out []exposed
	for i, l := range lives {
		if math.IsInf(l.Time+horizon, 0) {
			return none(refuse(fmt.Sprintf("time[%d]", i), l.Time, "is too long for the horizon"))
		}
		if !l.Failed && l.Count > 0 {
			out = append(out, exposed{l.Time, l.Time + horizon, float64(l.Count)})
		}
	}
	forecast := Forecast{StillOut: t.units - t.failures, Confidence: confidence}
	for i, w := range waiting {
		if !(w.Wait >= 0) || w.Count < 0 || w.Count > MaxUnits-forecast.StillOut {
			return none(refuse(fmt.Sprintf("waiting[%d]", i), w, "must be a time and a number of units, each from 0"))
		}
		forecast.StillOut += w.Count
		out = append(out, exposed{0, max(horizon-w.Wait, 0), float64(w.Count)})
	}
	if _, err := bothSides(confidence); err != nil {
		return none(err)
	}
	return forecast, out, nil
}

// mixture is a Poisson distribution whose mean is lognormal, by the trapezium
// rule over seven standard deviations either way; sums of a smooth density over
// equal steps converge beyond all powers of the step.
type mixture struct {
	means, weights []float64
	err            error
}

func newMixture(mean, spread, most float64) *mixture {
	const steps, reach = 56, 7.
	var m mixture
	var sum float64
	for i := -steps; i <= steps; i++ {
		z := reach * float64(i) / steps
		weight := math.Exp(-z * z / 2)
		m.means = append(m.means, min(mean*math.Exp(spread*z), most))
		m.weights = append(m.weights, weight)
		sum += weight
	}
	for i := range m.weights {
		m.weights[i] /= sum
	}
	return &m
}

// below returns the probability of k or fewer.
func (m *mixture) below(k int) float64 {
	var sum float64
	for i, mean := range m.means {
		p, err := stats.PoissonBelow(float64(k), mean)
		if err != nil && m.err == nil {
			m.err = err
		}
		sum += m.weights[i] * p
	}
	return sum
}
