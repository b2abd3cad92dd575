package gauge

import (
	"math"
)

// Quantity is an estimate with its standard uncertainty, in one unit.
type Quantity struct {
	Value, U float64
}

// The laws below are of the first order (JCGM 100:2008, 5.1.2 and 5.2.2): they
// take the uncertainties as small against the values. Correlation is the
// coefficient between the errors of the two inputs, from -1 to 1: 0 for
// independent ones, near 1 for the scale error of one instrument in both.

// MeanUncertainty returns the standard uncertainty of a mean of n readings that
// scatter by s and share a systematic part, such as that of the calibration:
//
//	u^2 = s^2/n + systematic^2
//
// More readings make the first term small and leave the second as it is.
func MeanUncertainty(s float64, n int, systematic float64) (float64, error) {
	if err := checkAll(checkNotNegative("s", s), checkNotNegative("systematic", systematic)); err != nil {
		return 0, err
	}
	if n < 1 {
		return 0, outside("n", n, "must be at least 1")
	}
	u := math.Hypot(s/math.Sqrt(float64(n)), systematic)
	return u, checkFinite("systematic", u)
}

// Ratio returns a/b. Its relative variance is
//
//	(u/q)^2 = (ua/a)^2 + (ub/b)^2 - 2 r (ua/a)(ub/b)
//
// written so that a may be 0. With one instrument on both, r = 1, a scale error
// cancels.
func Ratio(a, b Quantity, correlation float64) (Quantity, error) {
	if err := checkPair(a, b, correlation); err != nil {
		return Quantity{}, err
	}
	if b.Value == 0 {
		return Quantity{}, outside("b", b.Value, "must not be 0")
	}
	q := a.Value / b.Value
	// dq/da = 1/b and dq/db = -q/b.
	return quantity(q, a.U/b.Value, -q*(b.U/b.Value), correlation)
}

// Product returns a b, with (u/q)^2 = (ua/a)^2 + (ub/b)^2 + 2 r (ua/a)(ub/b).
func Product(a, b Quantity, correlation float64) (Quantity, error) {
	if err := checkPair(a, b, correlation); err != nil {
		return Quantity{}, err
	}
	return quantity(a.Value*b.Value, b.Value*a.U, a.Value*b.U, correlation)
}

// Sum returns a + b, with u^2 = ua^2 + ub^2 + 2 r ua ub.
func Sum(a, b Quantity, correlation float64) (Quantity, error) {
	if err := checkPair(a, b, correlation); err != nil {
		return Quantity{}, err
	}
	return quantity(a.Value+b.Value, a.U, b.U, correlation)
}

// Difference returns a - b, with u^2 = ua^2 + ub^2 - 2 r ua ub.
func Difference(a, b Quantity, correlation float64) (Quantity, error) {
	if err := checkPair(a, b, correlation); err != nil {
		return Quantity{}, err
	}
	return quantity(a.Value-b.Value, a.U, -b.U, correlation)
}

// quantity joins a value with the two signed parts of its uncertainty. The form
// u^2 = (p + r q)^2 + (1 - r^2) q^2 is p^2 + q^2 + 2 r p q and cannot come out
// negative.
func quantity(value, p, q, r float64) (Quantity, error) {
	u := math.Hypot(p+r*q, math.Sqrt((1-r)*(1+r))*q)
	return Quantity{Value: value, U: u}, checkAll(checkFinite("a, b", value), checkFinite("a, b", u))
}

func checkPair(a, b Quantity, correlation float64) error {
	err := checkAll(
		checkFinite("a", a.Value), checkNotNegative("uncertainty of a", a.U),
		checkFinite("b", b.Value), checkNotNegative("uncertainty of b", b.U),
		checkFinite("correlation", correlation),
	)
	if err == nil && math.Abs(correlation) > 1 {
		err = outside("correlation", correlation, "must lie from -1 to 1")
	}
	return err
}
