package measure

import (
	"errors"
	"fmt"

	"github.com/govalues/decimal"
)

// MaxDigits is the greatest number of digits a value may have: all digits of
// the number without leading zeros, and likewise the digits behind the mark.
const MaxDigits = decimal.MaxPrec

// ErrOutOfRange is returned when a result does not fit in [MaxDigits] digits,
// or does not exist (a division by zero, a NaN).
var ErrOutOfRange = errors.New("out of range")

// Decimal is an exact decimal number that keeps its digits: 0.210 and 0.21 are
// equal by [Decimal.Cmp] and print as they were typed. The zero value counts as
// 0 in arithmetic; [Decimal.Given] tells it from a zero that somebody measured.
type Decimal struct {
	d     decimal.Decimal
	given bool
}

// tens are the powers of ten as far as decimals go.
var tens = [decimal.MaxScale + 1]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19}

func wrap(d decimal.Decimal) Decimal { return Decimal{d: d, given: true} }

// FromInt returns the whole number n.
func FromInt(n int64) Decimal {
	// A scale of 0 fits every int64: 19 digits at most.
	d, _ := decimal.New(n, 0)
	return wrap(d)
}

// Given reports whether d was parsed or computed. It is false for the zero
// value of the type, so that a field left out is told from a zero.
func (d Decimal) Given() bool { return d.given }

// String returns the digits of d with '.' as the mark, a digit before it, and
// the trailing zeros as typed: "0.210", "-3".
func (d Decimal) String() string { return d.d.String() }

// Float returns the binary number nearest to d, for statistics and drawing.
//
// Digits below 2^53 and a power of ten up to 10^22 are binary numbers themselves, and
// IEEE 754 rounds the quotient of two once: it is the nearest (W. D. Clinger, How to
// Read Floating Point Numbers Accurately, 1990).
func (d Decimal) Float() float64 {
	if digits := d.d.Coef(); digits < 1<<53 {
		f := float64(digits) / tens[d.d.Scale()]
		if d.d.IsNeg() {
			return -f
		}
		return f
	}
	// The conversion fails for no decimal of at most 19 digits.
	f, _ := d.d.Float64()
	return f
}

// Cmp returns -1, 0 or +1 as d is less than, equal to or greater than e.
// Trailing zeros do not count: 0.30 equals 0.3.
func (d Decimal) Cmp(e Decimal) int { return d.d.Cmp(e.d) }

// Equal reports whether d and e are the same number, trailing zeros aside.
func (d Decimal) Equal(e Decimal) bool { return d.d.Cmp(e.d) == 0 }

// IsZero reports whether d is 0, with any number of decimals. Do not use it
// through the json option omitzero: it would drop a measured 0.00.
func (d Decimal) IsZero() bool { return d.d.IsZero() }

// Sign returns -1, 0 or +1.
func (d Decimal) Sign() int { return d.d.Sign() }

// Abs returns d without its sign.
func (d Decimal) Abs() Decimal { return wrap(d.d.Abs()) }

// Neg returns d with the opposite sign. There is no negative zero.
func (d Decimal) Neg() Decimal { return wrap(d.d.Neg()) }

// Decimals returns the number of digits behind the mark: 3 for 0.210.
func (d Decimal) Decimals() int { return d.d.Scale() }

// Digits returns the number of digits of d without leading zeros: 3 for 0.210.
func (d Decimal) Digits() int { return d.d.Prec() }

// RoundTo returns d with exactly the given number of decimals, rounded to the
// nearest, an exact half to the even digit, padded with zeros where d has
// fewer. A number too long to be padded that far keeps the zeros that fit;
// fewer than no decimals count as none.
func (d Decimal) RoundTo(decimals int) Decimal {
	return wrap(d.d.Rescale(min(max(decimals, 0), decimal.MaxScale)))
}

// Trim returns the same number without trailing zeros behind the mark.
func (d Decimal) Trim() Decimal { return wrap(d.d.Trim(0)) }

// Add returns d + e exactly, with the decimals of the finer of the two; zeros
// at the end give way where the sum would not fit with them. It returns an
// error wrapping [ErrOutOfRange] when the sum needs more than [MaxDigits] digits.
func (d Decimal) Add(e Decimal) (Decimal, error) {
	for _, pair := range [][2]decimal.Decimal{{d.d, e.d}, {d.d.Trim(0), e.d.Trim(0)}} {
		sum, err := pair[0].AddExact(pair[1], max(pair[0].Scale(), pair[1].Scale()))
		if err == nil {
			return wrap(sum), nil
		}
	}
	return Decimal{}, fmt.Errorf("add %v and %v: %w", d, e, ErrOutOfRange)
}

// Sub returns d - e exactly; see [Decimal.Add].
func (d Decimal) Sub(e Decimal) (Decimal, error) {
	difference, err := d.Add(e.Neg())
	if err != nil {
		return Decimal{}, fmt.Errorf("subtract %v from %v: %w", e, d, ErrOutOfRange)
	}
	return difference, nil
}

// Mul returns d * e. The product is exact while it has at most [MaxDigits]
// digits and is rounded half-even to that many beyond; [Decimal.MulExact]
// refuses instead.
func (d Decimal) Mul(e Decimal) (Decimal, error) {
	product, err := d.d.Mul(e.d)
	if err != nil {
		return Decimal{}, fmt.Errorf("multiply %v by %v: %w", d, e, ErrOutOfRange)
	}
	return wrap(product), nil
}

// MulExact returns d * e, or an error wrapping [ErrOutOfRange] when the exact
// product does not fit in [MaxDigits] digits.
func (d Decimal) MulExact(e Decimal) (Decimal, error) {
	// Trailing zeros are not worth an error; they are dropped where they must.
	for _, pair := range [][2]decimal.Decimal{{d.d, e.d}, {d.d.Trim(0), e.d.Trim(0)}} {
		scale := pair[0].Scale() + pair[1].Scale()
		if scale > decimal.MaxScale {
			continue
		}
		if product, err := pair[0].MulExact(pair[1], scale); err == nil {
			return wrap(product), nil
		}
	}
	return Decimal{}, fmt.Errorf("multiply %v by %v exactly: %w", d, e, ErrOutOfRange)
}

// Quo returns d / e rounded half-even to [MaxDigits] digits, without needless
// trailing zeros. Dividing by zero is an error wrapping [ErrOutOfRange].
func (d Decimal) Quo(e Decimal) (Decimal, error) {
	quotient, err := d.d.Quo(e.d)
	if err != nil {
		return Decimal{}, fmt.Errorf("divide %v by %v: %w", d, e, ErrOutOfRange)
	}
	return wrap(quotient), nil
}

// Max returns the greatest of the values; the first one of equals.
func Max(first Decimal, more ...Decimal) Decimal {
	for _, d := range more {
		if d.Cmp(first) > 0 {
			first = d
		}
	}
	return first
}

// Min returns the least of the values; the first one of equals.
func Min(first Decimal, more ...Decimal) Decimal {
	for _, d := range more {
		if d.Cmp(first) < 0 {
			first = d
		}
	}
	return first
}

// Sum returns the exact sum of the values, 0 for none.
func Sum(values ...Decimal) (Decimal, error) {
	total := FromInt(0)
	for _, d := range values {
		var err error
		if total, err = total.Add(d); err != nil {
			return Decimal{}, err
		}
	}
	return total, nil
}
