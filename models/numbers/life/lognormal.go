package life

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// FitLognormal fits a lognormal law. The log-likelihood is concave in mu/sigma
// and 1/sigma (Burridge, Journal of the Royal Statistical Society B 43, 1981),
// so that Newton's method with shortened steps finds its one maximum.
func FitLognormal(lives []Observation) (Fit, error) {
	l, err := logsOf(lives)
	if err != nil {
		return Fit{}, err
	}
	if err := l.spread(); err != nil {
		return Fit{}, err
	}
	location, spread, err := l.lognormal()
	if err != nil {
		return Fit{}, err
	}
	fit := Fit{Law: Lognormal, Location: location, Spread: spread}
	return fit, fit.finish(l)
}

// place is a point of the search: z = slope x - offset.
type place struct{ offset, slope float64 }

// lognormal returns mu and sigma. Logarithms of lives are moved and stretched to
// lie about -1 to 1 first.
func (l logLives) lognormal() (location, spread float64, err error) {
	var reach float64
	for _, x := range l.x {
		reach = max(reach, math.Abs(x-l.meanFailed))
	}
	x := make([]float64, len(l.x))
	for i := range x {
		x[i] = (l.x[i] - l.meanFailed) / reach
	}
	here := place{slope: 1}
	value := l.concave(x, here)
	for range 200 {
		step, gain := l.newton(x, here)
		// The gain to expect of a step is half the slope along it.
		if gain <= 1e-13*(1+math.Abs(value)) {
			here = place{here.offset + step.offset, here.slope + step.slope}
			return l.meanFailed + reach*here.offset/here.slope, reach / here.slope, nil
		}
		for part := 1.; ; part /= 2 {
			next := place{here.offset + part*step.offset, here.slope + part*step.slope}
			if next.slope > 0 {
				if there := l.concave(x, next); there >= value+1e-4*part*gain {
					here, value = next, there
					break
				}
			}
			if part < 1e-12 {
				return 0, 0, noLognormal()
			}
		}
	}
	return 0, 0, noLognormal()
}

func noLognormal() error {
	return &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("lognormal law: %w", ErrNoFit)}
}

// concave is the log-likelihood without its constants.
func (l logLives) concave(x []float64, at place) float64 {
	sum := l.failedUnits * math.Log(at.slope)
	for i, v := range x {
		sum += l.weight[i] * Lognormal.logLikelihood(at.slope*v-at.offset, l.failed[i])
	}
	return sum
}

// newton returns the step to the maximum of the parabola that touches the
// log-likelihood, and the slope along it.
func (l logLives) newton(x []float64, at place) (step place, gain float64) {
	// Gradient and, with the sign turned, curvature.
	slope := l.failedUnits / at.slope
	offset, offsets, mixed, slopes := 0., 0., 0., l.failedUnits/(at.slope*at.slope)
	for i, v := range x {
		first, second := Lognormal.bend(at.slope*v-at.offset, l.failed[i])
		first, second = l.weight[i]*first, l.weight[i]*second
		offset += first
		slope -= first * v
		offsets += second
		mixed -= second * v
		slopes += second * v * v
	}
	determinant := offsets*slopes - mixed*mixed
	step = place{(slopes*offset - mixed*slope) / determinant, (offsets*slope - mixed*offset) / determinant}
	return step, step.offset*offset + step.slope*slope
}
