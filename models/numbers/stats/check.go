package stats

import (
	"errors"
	"fmt"
	"math"
)

var (
	// ErrTooFew: fewer values than the figure needs.
	ErrTooFew = errors.New("too few values")
	// ErrNotFinite: a NaN or an infinity among the values, or values so large
	// that their figure overflows.
	ErrNotFinite = errors.New("not finite")
	// ErrNoSpread: all values are equal, and the figure divides by their spread.
	ErrNoSpread = errors.New("all values are equal")
)

// Check returns an error wrapping [ErrTooFew] when x has fewer than least
// values, and [ErrNotFinite] when one of them is NaN or infinite.
func Check(x []float64, least int) error {
	if len(x) < least {
		return fmt.Errorf("%d values where %d are needed: %w", len(x), least, ErrTooFew)
	}
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("value %d is %v: %w", i, v, ErrNotFinite)
		}
	}
	return nil
}

// finite returns x, or an error wrapping [ErrNotFinite].
func finite(what string, x float64) (float64, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%s: %w", what, ErrNotFinite)
	}
	return x, nil
}
