package life

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// FitWeibull fits a Weibull law of two parameters. The shape b solves
//
//	sum t^b ln t / sum t^b - 1/b = mean of ln t over failures,
//
// sums over all units, and scale^b = sum t^b / r with r failures (Cohen,
// Technometrics 7, 1965). The left side grows in b, so that there is one
// solution; Newton's method inside a bracket finds it.
func FitWeibull(lives []Observation) (Fit, error) {
	l, err := logsOf(lives)
	if err != nil {
		return Fit{}, err
	}
	if err := l.spread(); err != nil {
		return Fit{}, err
	}
	shape, err := l.weibullShape()
	if err != nil {
		return Fit{}, err
	}
	fit := Fit{Law: Weibull, Location: l.weibullLocation(shape), Spread: 1 / shape}
	return fit, fit.finish(l)
}

// FitWeibullShape fits the scale of a Weibull law whose shape is given.
func FitWeibullShape(lives []Observation, shape float64) (Fit, error) {
	if err := checkShape(shape); err != nil {
		return Fit{}, err
	}
	l, err := logsOf(lives)
	if err != nil {
		return Fit{}, err
	}
	fit := Fit{Law: Weibull, Location: l.weibullLocation(shape), Spread: 1 / shape, SpreadGiven: true}
	return fit, fit.finish(l)
}

// FitExponential fits an exponential law, mean = sum t / r with r failures,
// which is a Weibull law of shape 1.
func FitExponential(lives []Observation) (Fit, error) { return FitWeibullShape(lives, 1) }

func checkShape(shape float64) error {
	if !(shape >= 0.01 && shape <= 100) {
		return refuse("shape", shape, "must lie from 0.01 to 100")
	}
	return nil
}

// weibullShape solves the equation of the shape. Times are divided by the
// longest, so that no power overflows.
func (l logLives) weibullShape() (float64, error) {
	low, high := 0., math.Inf(1)
	shape := 1 / (l.longest - l.meanFailed)
	for range 200 {
		var s0, s1, s2 float64
		for i, x := range l.x {
			x -= l.longest
			power := l.weight[i] * math.Exp(shape*x)
			s0 += power
			s1 += power * x
			s2 += power * x * x
		}
		mean := s1 / s0
		value := mean - 1/shape - (l.meanFailed - l.longest)
		if value < 0 {
			low = shape
		} else {
			high = shape
		}
		next := shape - value/(max(s2/s0-mean*mean, 0)+1/(shape*shape))
		switch {
		case math.Abs(next-shape) <= 1e-14*shape:
			return next, nil
		case next > low && next < high:
		case math.IsInf(high, 1):
			next = 2 * shape
		default:
			next = low + (high-low)/2
		}
		shape = next
	}
	if high-low <= 1e-9*high {
		return shape, nil
	}
	return 0, &stats.ArgumentError{Argument: "time", Err: fmt.Errorf("shape of the weibull law: %w", ErrNoFit)}
}

// weibullLocation returns the logarithm of the scale that belongs to a shape.
func (l logLives) weibullLocation(shape float64) float64 {
	var sum float64
	for i, x := range l.x {
		sum += l.weight[i] * math.Exp(shape*(x-l.longest))
	}
	return l.longest + math.Log(sum/l.failedUnits)/shape
}
