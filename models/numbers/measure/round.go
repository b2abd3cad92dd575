package measure

import (
	"fmt"
	"math"
	"strconv"
)

// Round makes the decimal of a computed result: x rounded once to the given
// number of decimals, from its exact binary value, an exact half to the even
// digit (IEEE 754 roundTiesToEven applied in base ten). So 0.125 becomes 0.12
// and 2.675, whose binary value lies under the half, becomes 2.67.
//
// NaN, an infinity, and a number that does not fit in [MaxDigits] digits are
// errors wrapping [ErrOutOfRange].
func Round(x float64, decimals int) (Decimal, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) >= 1e19 {
		return Decimal{}, fmt.Errorf("round %v: %w", x, ErrOutOfRange)
	}
	if decimals < 0 || decimals > MaxDigits {
		return Decimal{}, fmt.Errorf("round to %d decimals: %w", decimals, ErrOutOfRange)
	}
	// FormatFloat works on the exact expansion of x and rounds it half-even.
	d, err := parsePlain(strconv.FormatFloat(x, 'f', decimals, 64), "")
	if err != nil {
		return Decimal{}, fmt.Errorf("round %v to %d decimals: %w", x, decimals, ErrOutOfRange)
	}
	return d, nil
}

// RoundSignificant returns d rounded half-even to the given number of
// significant digits, without trailing zeros behind the mark. A number that
// is short enough stays as it is.
func (d Decimal) RoundSignificant(digits int) Decimal {
	surplus := d.d.Prec() - digits
	if surplus <= 0 {
		return d
	}
	rounded := wrap(d.d.Round(max(d.d.Scale()-surplus, 0)))
	return rounded.Trim()
}
