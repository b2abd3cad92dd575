package gauge

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// BiasStudy is the difference of repeated readings of a reference part from its
// reference value.
type BiasStudy struct {
	Mean        Mean
	Bias        float64 // Mean - reference.
	T           float64 // Bias / U of the mean.
	Low, High   float64 // Interval of the bias with confidence 1 - alpha.
	Significant bool    // The interval does not hold 0.
}

// Bias compares at least two readings of a part with its reference value by
// Student's t with n-1 degrees of freedom; alpha is the chance of calling a
// bias that is not there. The reference counts as exact: its own uncertainty
// belongs into the budget.
//
// Readings that never differ show no scatter to test against; the resolution
// hides it, and the error wraps [stats.ErrNoSpread].
func Bias(readings []float64, reference, alpha float64) (BiasStudy, error) {
	if err := checkAll(checkFinite("reference", reference), checkBetween("alpha", alpha, 0, 1)); err != nil {
		return BiasStudy{}, err
	}
	if len(readings) < 2 {
		return BiasStudy{}, about("readings", fmt.Errorf("%d values where 2 are needed: %w", len(readings), stats.ErrTooFew))
	}
	mean, err := MeanOf(readings)
	if err != nil {
		return BiasStudy{}, err
	}
	if stats.Distinct(readings) == 1 || mean.U == 0 {
		return BiasStudy{}, about("readings", stats.ErrNoSpread)
	}
	k, err := Coverage(1-alpha, float64(mean.DoF))
	if err != nil {
		return BiasStudy{}, about("alpha", err)
	}
	b := BiasStudy{Mean: mean, Bias: mean.Value - reference}
	b.T = b.Bias / mean.U
	b.Low, b.High = b.Bias-k*mean.U, b.Bias+k*mean.U
	b.Significant = math.Abs(b.T) > k
	return b, checkAll(checkFinite("readings", b.T), checkFinite("readings", b.Low), checkFinite("readings", b.High))
}
