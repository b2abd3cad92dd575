package life

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// logLives are lives with their logarithms taken, without those that say
// nothing: lines of no unit, and units censored at age 0.
type logLives struct {
	x       []float64 // ln t.
	weight  []float64 // Units.
	failed  []bool
	longest float64
	totals
	failedUnits, meanFailed, logTimes float64 // Failed units, their mean ln t and its sum.
}

// logsOf checks the lives and takes their logarithms. Something must have
// failed, and not at age 0.
func logsOf(lives []Observation) (logLives, error) {
	t, err := count(lives)
	if err != nil {
		return logLives{}, err
	}
	if t.failures == 0 {
		return logLives{}, &stats.ArgumentError{Argument: "event", Err: ErrNoFailures}
	}
	l := logLives{
		x: make([]float64, 0, len(lives)), weight: make([]float64, 0, len(lives)), failed: make([]bool, 0, len(lives)),
		longest: math.Inf(-1), totals: t,
	}
	for i, life := range lives {
		switch {
		case life.Count == 0 || life.Time == 0 && !life.Failed:
			continue
		case life.Time == 0:
			return logLives{}, refuse(fmt.Sprintf("time[%d]", i), life.Time, "must be above 0 for a failure, such as half of the first interval")
		}
		x, weight := math.Log(life.Time), float64(life.Count)
		l.x, l.weight, l.failed = append(l.x, x), append(l.weight, weight), append(l.failed, life.Failed)
		l.longest = max(l.longest, x)
		if life.Failed {
			l.logTimes += weight * x
		}
	}
	l.failedUnits = float64(t.failures)
	l.meanFailed = l.logTimes / l.failedUnits
	return l, nil
}

// spread reports whether a spread can be estimated: not when every failure came
// at the longest life of all, for then the likelihood grows without end as the
// spread vanishes.
func (l logLives) spread() error {
	for i, x := range l.x {
		if l.failed[i] && l.longest-x > 1e-9 {
			return nil
		}
	}
	return &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("all failures at the longest life: %w", stats.ErrNoSpread)}
}

// finish adds to a law with its location and spread what the lives say about
// it: the log-likelihood
//
//	sum over failures (ln density(z) - ln sigma - ln t) + sum over the rest ln survival(z)
//
// and the observed information of mu and ln sigma, with -first and -second the
// derivatives of each term with respect to z,
//
//	sum second / sigma^2,  sum (second z + first)/sigma,  sum (second z^2 + first z).
func (f *Fit) finish(l logLives) error {
	f.Units, f.Failures = l.units, l.failures
	logSpread := math.Log(f.Spread)
	f.LogLikelihood = -l.failedUnits*logSpread - l.logTimes
	var location, cross, spread float64
	for i, x := range l.x {
		z := (x - f.Location) / f.Spread
		first, second := f.Law.bend(z, l.failed[i])
		f.LogLikelihood += l.weight[i] * f.Law.logLikelihood(z, l.failed[i])
		location += l.weight[i] * second
		cross += l.weight[i] * (second*z + first)
		spread += l.weight[i] * (second*z*z + first*z)
	}
	return f.solve(location/f.Spread/f.Spread, cross/f.Spread, spread)
}
