package sampling

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

const (
	// MaxLot bounds the size of a lot.
	MaxLot = 1_000_000_000
	// MaxSample bounds the size of a sample.
	MaxSample = 1_000_000
)

// refuse makes the error about one argument: a [stats.ArgumentError] that wraps
// [stats.ErrOutOfRange].
func refuse(argument string, value any, must string) error {
	return &stats.ArgumentError{Argument: argument, Err: fmt.Errorf("%v %s: %w", value, must, stats.ErrOutOfRange)}
}

// checkWhole refuses a count outside its bounds.
func checkWhole(argument string, value, least, most int) error {
	if value < least || value > most {
		return refuse(argument, value, fmt.Sprintf("must lie from %d to %d", least, most))
	}
	return nil
}

// checkFraction refuses a fraction nonconforming outside 0..1.
func checkFraction(argument string, p float64) error {
	if !(p >= 0 && p <= 1) {
		return refuse(argument, p, "must lie from 0 to 1")
	}
	return nil
}

// checkRisk refuses a probability that is not strictly between 0 and 1.
func checkRisk(argument string, p float64) error {
	if !(p > 0 && p < 1) {
		return refuse(argument, p, "must lie between 0 and 1")
	}
	return nil
}

// checkFinite refuses NaN and infinities.
func checkFinite(argument string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return &stats.ArgumentError{Argument: argument, Err: stats.ErrNotFinite}
	}
	return nil
}
