package stats

import (
	"errors"
	"fmt"
	"math"
)

// ErrOutOfRange: a parameter outside the range in which the figure exists.
var ErrOutOfRange = errors.New("out of range")

// ArgumentError says which argument of a function cannot be used, and why.
// Elements carry their place: "groups[2]".
type ArgumentError struct {
	Argument string
	Err      error
}

// Error begins with the argument.
func (e *ArgumentError) Error() string { return e.Argument + ": " + e.Err.Error() }

// Unwrap returns the reason.
func (e *ArgumentError) Unwrap() error { return e.Err }

// about names the argument that an error is about; a name that the error
// carries already is kept.
func about(argument string, err error) error {
	var named *ArgumentError
	if err == nil || errors.As(err, &named) {
		return err
	}
	return &ArgumentError{Argument: argument, Err: err}
}

// outside makes the error of an argument outside its range.
func outside(argument string, value any, must string) error {
	return &ArgumentError{Argument: argument, Err: fmt.Errorf("%v %s: %w", value, must, ErrOutOfRange)}
}

// checkOpen refuses a probability that is not strictly between 0 and 1.
func checkOpen(argument string, p float64) error {
	if !(p > 0 && p < 1) {
		return outside(argument, p, "must lie between 0 and 1")
	}
	return nil
}

// checkPositive refuses what is not above 0 and finite.
func checkPositive(argument string, v float64) error {
	if !(v > 0) || math.IsInf(v, 0) {
		return outside(argument, v, "must be above 0")
	}
	return nil
}
