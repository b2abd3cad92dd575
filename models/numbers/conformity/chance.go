package conformity

import (
	"errors"
	"fmt"
	"math"
)

// ErrUncertainty is returned when a standard uncertainty is not above 0 and
// finite. What is known exactly has no chances: [Judge] it.
var ErrUncertainty = errors.New("standard uncertainty must be above 0")

// Range is a tolerance interval in floating point, for chances and risks; nil
// where there is no limit on that side. Verdicts are never taken from it.
type Range struct {
	Low, High *float64
}

// Chance is where the true value may lie, given what was measured: the
// probabilities sum to 1, each computed on its own, so that a small one keeps
// its digits.
type Chance struct {
	Below, Inside, Above float64
}

// Outside is the probability that the item does not conform: the specific
// consumer's risk if it is accepted (JCGM 106:2012, 9.3.2). [Chance.Inside] is
// the specific producer's risk if it is rejected.
func (c Chance) Outside() float64 { return c.Below + c.Above }

// ChanceOf returns the conformance probability of a measured value y with
// standard uncertainty u, for a normal distribution of the true value around it,
//
//	Phi((TU - y)/u) - Phi((TL - y)/u),
//
// where a missing limit counts as infinitely far away (JCGM 106:2012, 7.3 and
// 7.4, formulas 7 to 11).
func ChanceOf(y, u float64, t Range) (Chance, error) {
	if err := t.check(); err != nil {
		return Chance{}, err
	}
	if err := checkUncertainty(u); err != nil {
		return Chance{}, err
	}
	if math.IsNaN(y) || math.IsInf(y, 0) {
		return Chance{}, fmt.Errorf("value %v: %w", y, ErrNotFinite)
	}
	// A limit can be so far away that its distance overflows; then it has no part.
	low, high := math.Inf(-1), math.Inf(1)
	if t.Low != nil {
		low = (*t.Low - y) / u
	}
	if t.High != nil {
		high = (*t.High - y) / u
	}
	return Chance{Below: below(low), Inside: between(low, high), Above: below(-high)}, nil
}

// RiskAtLimit returns the specific consumer's risk of a value right on its
// acceptance limit, with the guard band w = r U and U = k u,
//
//	1 - Phi(k r) + 1 - Phi((TU - TL)/u - k r),
//
// the second part being that of the other limit (JCGM 106:2012, 8.3.2.2;
// ILAC-G8:09/2019, table 1). width is (TU - TL)/u, infinite where there is one
// limit only.
func RiskAtLimit(r, k, width float64) (float64, error) {
	if math.IsNaN(r) || math.IsInf(r, 0) {
		return 0, fmt.Errorf("guard band factor %v: %w", r, ErrNotFinite)
	}
	if !(k > 0) || math.IsInf(k, 0) {
		return 0, fmt.Errorf("coverage factor %v must be above 0: %w", k, ErrRule)
	}
	if !(width >= 0) {
		return 0, fmt.Errorf("width %v must not be negative: %w", width, ErrLimits)
	}
	near, err := finite("guard band", k*r)
	if err != nil {
		return 0, err
	}
	if 2*near > width {
		return 0, fmt.Errorf("a guard band of %v u on each side of %v u: %w", near, width, ErrNoAcceptanceZone)
	}
	return min(below(-near)+below(near-width), 1), nil
}

// MeasurementCapability returns the index C_m = (TU - TL)/(4 u) of JCGM
// 106:2012, 7.6.3: how many times the interval of +-2 u fits into the tolerance.
func MeasurementCapability(u float64, t Range) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := checkUncertainty(u); err != nil {
		return 0, err
	}
	if t.Low == nil || t.High == nil {
		return 0, fmt.Errorf("a measurement capability index needs both limits: %w", ErrLimits)
	}
	return finite("measurement capability index", t.widthIn(u)/4)
}

// widthIn returns (TU - TL)/u, infinite where there is one limit only.
func (t Range) widthIn(u float64) float64 {
	if t.Low == nil || t.High == nil {
		return math.Inf(1)
	}
	return (*t.High - *t.Low) / u
}

func (t Range) check() error {
	if t.Low == nil && t.High == nil {
		return fmt.Errorf("no limit on either side: %w", ErrLimits)
	}
	for _, limit := range []*float64{t.Low, t.High} {
		if limit != nil && (math.IsNaN(*limit) || math.IsInf(*limit, 0)) {
			return fmt.Errorf("limit %v: %w", *limit, ErrLimits)
		}
	}
	if t.Low != nil && t.High != nil && *t.Low > *t.High {
		return fmt.Errorf("low limit %v above high limit %v: %w", *t.Low, *t.High, ErrLimits)
	}
	return nil
}

func checkUncertainty(u float64) error {
	if !(u > 0) || math.IsInf(u, 0) {
		return fmt.Errorf("%v: %w", u, ErrUncertainty)
	}
	return nil
}

// below is the standard normal distribution function.
func below(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// between returns Phi(high) - Phi(low), by the side on which it loses nothing.
func between(low, high float64) float64 {
	switch {
	case low >= high:
		return 0
	case low > 0:
		return below(-low) - below(-high)
	case high < 0:
		return below(high) - below(low)
	}
	return 1 - below(low) - below(-high)
}

// finite returns x, or an error wrapping [ErrNotFinite].
func finite(what string, x float64) (float64, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%s: %w", what, ErrNotFinite)
	}
	return x, nil
}
