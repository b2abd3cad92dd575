package gauge

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// about names the argument that an error is about; a name that the error
// carries already is kept.
func about(argument string, err error) error {
	var named *stats.ArgumentError
	if err == nil || errors.As(err, &named) {
		return err
	}
	return &stats.ArgumentError{Argument: argument, Err: err}
}

// outside makes the error of an argument outside its range.
func outside(argument string, value any, must string) error {
	return &stats.ArgumentError{Argument: argument, Err: fmt.Errorf("%v %s: %w", value, must, stats.ErrOutOfRange)}
}

// checkFinite refuses NaN and the infinities.
func checkFinite(argument string, v float64) error {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return &stats.ArgumentError{Argument: argument, Err: fmt.Errorf("%v: %w", v, stats.ErrNotFinite)}
	}
	return nil
}

// checkPositive refuses what is not finite and above 0.
func checkPositive(argument string, v float64) error {
	if err := checkFinite(argument, v); err != nil {
		return err
	}
	if v <= 0 {
		return outside(argument, v, "must be above 0")
	}
	return nil
}

// checkNotNegative refuses what is not finite or below 0.
func checkNotNegative(argument string, v float64) error {
	if err := checkFinite(argument, v); err != nil {
		return err
	}
	if v < 0 {
		return outside(argument, v, "must not be negative")
	}
	return nil
}

// checkBetween refuses what does not lie strictly between two bounds.
func checkBetween(argument string, v, low, high float64) error {
	if !(v > low && v < high) {
		return outside(argument, v, fmt.Sprintf("must lie between %g and %g", low, high))
	}
	return nil
}

// checkAll returns the first of several errors.
func checkAll(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// at puts the place of an element in front of the argument an error names.
func at(place string, err error) error {
	var named *stats.ArgumentError
	if errors.As(err, &named) {
		return &stats.ArgumentError{Argument: place + "." + named.Argument, Err: named.Err}
	}
	return about(place, err)
}
