package measure

import "fmt"

const (
	// quotientDigits is how many significant digits a conversion keeps that
	// does not end: a reciprocal, a division by 9.80665.
	quotientDigits = 12
	// productDigits is how many an exact conversion keeps. It is under
	// MaxDigits to leave room for the sum of converted readings.
	productDigits = 17
)

// Convert returns d, counted in the unit from, in the unit to.
//
// It is exact where the factor is: 104 kgf is 1019.8916 N; beyond 17
// significant digits the product is rounded half-even. Division by a factor
// that does not end is rounded half-even to 12 significant digits, and so is a
// resistance from a conductance, R = 1/G, and back. The decimals of a
// converted value say nothing about the resolution it was read with.
//
// The error wraps [ErrUnit] when the units count different things, and
// [ErrOutOfRange] when the value has no counterpart, as zero siemens.
func Convert(d Decimal, from, to Unit) (Decimal, error) {
	converted, err := convert(d, from, to)
	if err != nil {
		return Decimal{}, fmt.Errorf("convert %v %s to %s: %w", d, from, to, err)
	}
	return converted, nil
}

// Convertible reports whether values in the unit from can be given in to.
func Convertible(from, to Unit) bool {
	source, errFrom := lookUp(from)
	target, errTo := lookUp(to)
	return errFrom == nil && errTo == nil &&
		(source.quantity == target.quantity || reciprocal(source, target))
}

func convert(d Decimal, from, to Unit) (Decimal, error) {
	source, err := lookUp(from)
	if err != nil {
		return Decimal{}, err
	}
	target, err := lookUp(to)
	if err != nil {
		return Decimal{}, err
	}
	if from == to {
		return d, nil
	}
	multiply, err := Parse(source.perBase)
	if err != nil {
		return Decimal{}, err
	}
	divide, err := Parse(target.perBase)
	if err != nil {
		return Decimal{}, err
	}
	if reciprocal(source, target) {
		// 1/(d x a) in base units, then divided by b: one division, one rounding.
		below, err := product(d, multiply, divide)
		if err != nil {
			return Decimal{}, err
		}
		quotient, err := FromInt(1).Quo(below)
		if err != nil {
			return Decimal{}, err
		}
		return quotient.RoundSignificant(quotientDigits), nil
	}
	if source.quantity != target.quantity {
		return Decimal{}, ErrUnit
	}
	factor, exact := exactQuotient(multiply, divide)
	if exact {
		scaled, err := d.Mul(factor)
		if err != nil {
			return Decimal{}, err
		}
		return scaled.RoundSignificant(productDigits), nil
	}
	above, err := d.Mul(multiply)
	if err != nil {
		return Decimal{}, err
	}
	quotient, err := above.Quo(divide)
	if err != nil {
		return Decimal{}, err
	}
	return quotient.RoundSignificant(quotientDigits), nil
}

// reciprocal reports whether the one is a conductance and the other a
// resistance.
func reciprocal(a, b unitEntry) bool {
	return a.quantity == "conductance" && b.quantity == "resistance" ||
		a.quantity == "resistance" && b.quantity == "conductance"
}

// exactQuotient returns a/b and whether it is a finite decimal.
func exactQuotient(a, b Decimal) (Decimal, bool) {
	quotient, err := a.Quo(b)
	if err != nil {
		return Decimal{}, false
	}
	back, err := quotient.MulExact(b)
	return quotient, err == nil && back.Equal(a)
}

func product(factors ...Decimal) (Decimal, error) {
	total := FromInt(1)
	for _, factor := range factors {
		var err error
		if total, err = total.Mul(factor); err != nil {
			return Decimal{}, err
		}
	}
	return total, nil
}
