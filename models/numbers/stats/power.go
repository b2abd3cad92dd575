package stats

import (
	"fmt"
	"math"
)

// PowerProfile is the likelihood of the Box-Cox powers for a sample: which power
// of the values looks most like a normal sample, and which others are possible.
type PowerProfile struct {
	logs   []float64 // About their mean.
	centre float64   // Mean of the logarithms.
	// Lambda has the greatest likelihood, LogLikelihood there; 0 is the logarithm.
	Lambda, LogLikelihood float64
}

// PowerProfileOf prepares at least 3 values, all above 0 and not all equal. The
// log-likelihood is that of Box and Cox (1964), mean and variance profiled out
// and constants dropped,
//
//	llf(lambda) = (lambda - 1) sum(ln x) - (n/2) ln(sum((y - mean y)^2)/n),
//	y = (x^lambda - 1)/lambda, or ln x for lambda 0.
func PowerProfileOf(x []float64) (PowerProfile, error) {
	if err := Check(x, 3); err != nil {
		return PowerProfile{}, err
	}
	if len(x) > MostFitted {
		return PowerProfile{}, outside("x", len(x), fmt.Sprintf("values are more than %d", MostFitted))
	}
	if err := positive(x); err != nil {
		return PowerProfile{}, err
	}
	if allEqual(x) {
		return PowerProfile{}, fmt.Errorf("power: %w", ErrNoSpread)
	}
	p := PowerProfile{logs: logs(x)}
	var err error
	if p.centre, err = Mean(p.logs); err != nil {
		return PowerProfile{}, err
	}
	for i := range p.logs {
		p.logs[i] -= p.centre
	}
	if p.Lambda, err = bestPower(p.logs); err != nil {
		return PowerProfile{}, err
	}
	if p.LogLikelihood, err = p.At(p.Lambda); err != nil {
		return PowerProfile{}, err
	}
	return p, nil
}

// At returns the log-likelihood of a power. With x divided by its geometric mean
// g the powers of g cancel but for n ln g, so that no unit of x overflows.
func (p PowerProfile) At(lambda float64) (float64, error) {
	y := make([]float64, len(p.logs))
	for i, u := range p.logs {
		y[i] = powered(u, lambda)
	}
	squares, err := sumOfSquares(y)
	if err != nil {
		return 0, err
	}
	n := float64(len(y))
	return finite("log-likelihood", -n*p.centre-n/2*math.Log(squares/n))
}

// Interval returns the powers whose likelihood a test would not reject,
//
//	2 (llf(best) - llf(lambda)) <= chi-square quantile(confidence, 1).
func (p PowerProfile) Interval(confidence float64) (low, high float64, err error) {
	if err := checkOpen("confidence", confidence); err != nil {
		return 0, 0, err
	}
	drop, err := ChiSquareQuantile(confidence, 1)
	if err != nil {
		return 0, 0, err
	}
	// above is positive as long as the power is inside; one too high to be
	// computed is outside.
	above := func(lambda float64) float64 {
		llf, err := p.At(lambda)
		if err != nil {
			return math.Inf(-1)
		}
		return drop/2 - (p.LogLikelihood - llf)
	}
	side := func(sign float64) (float64, error) {
		const farthest = 1e4
		step := 0.5
		for above(p.Lambda+sign*step) > 0 {
			if step *= 2; step > farthest {
				return 0, fmt.Errorf("the likelihood hardly changes with the power: %w", ErrOutOfRange)
			}
		}
		inside, outer := 0., step
		for range 60 {
			middle := inside + (outer-inside)/2
			if above(p.Lambda+sign*middle) > 0 {
				inside = middle
			} else {
				outer = middle
			}
			if outer-inside < 1e-12*max(1, outer) {
				break
			}
		}
		return p.Lambda + sign*inside, nil
	}
	if low, err = side(-1); err != nil {
		return 0, 0, err
	}
	high, err = side(1)
	return low, high, err
}
