package calc

import "tracewright/models/numbers/measure"

// exact is a decimal taken from the text of a JSON number and written as one,
// with its digits: 51.120 stays 51.120. Kinds that decide against limits read
// and answer with it.
type exact struct{ measure.Decimal }

// MarshalJSON writes a JSON number.
func (e exact) MarshalJSON() ([]byte, error) { return []byte(e.String()), nil }

// exactOf wraps an optional decimal; nil stays nil and becomes null.
func exactOf(d *measure.Decimal) *exact {
	if d == nil {
		return nil
	}
	return &exact{*d}
}
