package wheel

import (
	"errors"
	"fmt"
	"math"
)

// ErrInput is wrapped by every error that an impossible or missing value
// causes.
var ErrInput = errors.New("reading or dimension is not usable")

// FieldError names one field and what is wrong with it, so that a form can
// show the message where it belongs. It unwraps to ErrInput.
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

// finite says whether a number can be computed with.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// allFinite refuses a list that holds NaN or an infinity, naming its place.
func allFinite(field string, values []float64) error {
	for i, v := range values {
		if !finite(v) {
			return fieldf(fmt.Sprintf("%s[%d]", field, i), "is not a number")
		}
	}
	return nil
}
