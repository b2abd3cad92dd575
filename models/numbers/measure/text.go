package measure

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
)

// MarshalText writes the digits as [Decimal.String] does.
func (d Decimal) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads the form that [Parse] accepts.
func (d *Decimal) UnmarshalText(text []byte) error {
	parsed, err := Parse(string(text))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}

// MarshalJSON writes a JSON string, "0.210": a JSON number would lose the
// trailing zero on its way through most programs.
func (d Decimal) MarshalJSON() ([]byte, error) { return []byte(`"` + d.String() + `"`), nil }

// UnmarshalJSON reads a JSON string in the form of [Parse], or a JSON number
// taken exactly from its text, with an exponent if it has one.
func (d *Decimal) UnmarshalJSON(raw []byte) error {
	raw = bytes.TrimSpace(raw)
	if string(raw) == "null" {
		return nil
	}
	if len(raw) > 0 && raw[0] == '"' {
		var text string
		if err := json.Unmarshal(raw, &text); err != nil {
			return fmt.Errorf("read a decimal: %w", err)
		}
		return d.UnmarshalText([]byte(text))
	}
	parsed, err := ParseJSONNumber(string(raw))
	if err != nil {
		return err
	}
	*d = parsed
	return nil
}

// ParseJSONNumber reads the text of a JSON number exactly: "12.86", "1.5e-3"
// (0.0015). A zero may carry a minus there; it is dropped.
func ParseJSONNumber(text string) (Decimal, error) {
	if !json.Valid([]byte(text)) {
		return Decimal{}, fmt.Errorf("%q: %w", shorten(text), ErrNotANumber)
	}
	mantissa, exponent := text, 0
	if i := strings.IndexAny(text, "eE"); i >= 0 {
		mantissa = text[:i]
		var err error
		if exponent, err = strconv.Atoi(text[i+1:]); err != nil {
			return Decimal{}, fmt.Errorf("%q: %w", shorten(text), ErrTooLong)
		}
	}
	// An exponent far beyond the digits we hold needs no writing out.
	if exponent > 2*MaxDigits || exponent < -2*MaxDigits {
		return Decimal{}, fmt.Errorf("%q: %w", shorten(text), ErrTooLong)
	}
	return parsePlain(shift(mantissa, exponent), text)
}

// shift moves the decimal mark of a plain number by the exponent of ten.
func shift(mantissa string, exponent int) string {
	if exponent == 0 {
		return mantissa
	}
	sign := ""
	if rest, ok := strings.CutPrefix(mantissa, "-"); ok {
		sign, mantissa = "-", rest
	}
	whole, fraction, _ := strings.Cut(mantissa, ".")
	digits, mark := whole+fraction, len(whole)+exponent
	if mark <= 0 {
		digits, mark = strings.Repeat("0", 1-mark)+digits, 1
	}
	if mark >= len(digits) {
		return sign + digits + strings.Repeat("0", mark-len(digits))
	}
	return sign + digits[:mark] + "." + digits[mark:]
}
