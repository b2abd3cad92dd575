package pack

import (
	"errors"
	"fmt"
	"math"
)

// ErrInput is wrapped by every error that an impossible or missing value
// causes.
var ErrInput = errors.New("reading is not usable")

// ErrNoTable says that a chemistry has no default table, so that its state of
// charge, or its limit, is not known.
var ErrNoTable = errors.New("no table for this chemistry")

// ErrNotMeasurable says that a difference is too small for the instrument.
var ErrNotMeasurable = errors.New("difference is not measurable")

// FieldError names one field and what is wrong with it. It unwraps to
// ErrInput.
type FieldError struct {
	Field   string // name of the field as the caller knows it
	Problem string // what is wrong, in words
}

// Error gives "field: problem".
func (e *FieldError) Error() string { return e.Field + ": " + e.Problem }

// Unwrap makes errors.Is(err, ErrInput) true.
func (e *FieldError) Unwrap() error { return ErrInput }

// fieldf makes a FieldError from a format.
//
//go:noinline
func fieldf(field, format string, args ...any) error {
	return &FieldError{Field: field, Problem: fmt.Sprintf(format, args...)}
}

// finite refuses NaN and the infinities.
func finite(field string, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return fieldf(field, "is not a number")
	}
	return nil
}

// positive refuses what is not a number above zero.
func positive(field string, x float64) error {
	if err := finite(field, x); err != nil {
		return err
	}
	if x <= 0 {
		return fieldf(field, "must be above zero, not %g", x)
	}
	return nil
}

// first gives the first error of a list, or nil.
func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// computed refuses results that left the range of a double; the input was then
// beyond anything that is measured.
func computed(results ...float64) error {
	for _, x := range results {
		if err := finite("input", x); err != nil {
			return fieldf("input", "leads to a figure larger than can be held")
		}
	}
	return nil
}
