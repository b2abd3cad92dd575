package measure

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"unicode"

	"github.com/govalues/decimal"
)

// ErrNotANumber is returned for text that is not a plain decimal number.
var ErrNotANumber = errors.New("not a number")

// ErrTooLong is returned for a number of more than [MaxDigits] digits. It is an
// [ErrNotANumber] as well, for callers that need not tell the two apart.
var ErrTooLong = fmt.Errorf("%w with at most %d digits", ErrNotANumber, MaxDigits)

// minusSign is the typographic minus, U+2212, that some keyboards send.
const minusSign = "\u2212"

// Parse reads a number as it was stored or as a limit is written: an optional
// '-', digits, and behind a '.' more digits. It is strict, so that what it
// accepts prints as the same text again: no spaces, no plus, no comma, no
// exponent, no leading zeros, no bare mark, no minus before a zero.
func Parse(text string) (Decimal, error) {
	d, err := parsePlain(text, text)
	if err != nil {
		return Decimal{}, err
	}
	if digits, negative := strings.CutPrefix(text, "-"); negative && d.IsZero() || len(digits) > 1 && digits[0] == '0' && digits[1] != '.' {
		return Decimal{}, fmt.Errorf("%q: %w written plainly, such as %s", text, ErrNotANumber, d)
	}
	return d, nil
}

// ParseReading reads a number as a person types it at the bench. Spaces around
// it are ignored; the decimal mark is ',' or '.', once, and may lead (".21",
// ",21"); a sign may stand before it, also the typographic minus. Thousands
// marks, exponents, spaces inside and a mark with nothing behind it are refused:
// the slip "0." is not taken for a zero. Decimals are kept as typed.
//
// The error wraps [ErrNotANumber], and [ErrTooLong] for more than [MaxDigits]
// digits.
func ParseReading(typed string) (Decimal, error) {
	return parseTyped(strings.TrimSpace(typed), typed)
}

// ParseReadingUnit reads a number as [ParseReading] does, with a unit behind
// it when one was typed: "0,12 mm", "104kgf". The unit is "" when there is
// none. An unknown unit is an error wrapping [ErrUnit].
func ParseReadingUnit(typed string) (Decimal, Unit, error) {
	text := strings.TrimSpace(typed)
	cut := len(text)
	for i, r := range text {
		if unicode.IsLetter(r) || strings.ContainsRune("%\"\u00b0\u2103", r) {
			cut = i
			break
		}
	}
	number, rest := strings.TrimSpace(text[:cut]), text[cut:]
	d, err := parseTyped(number, typed)
	if err != nil {
		return Decimal{}, "", err
	}
	if rest == "" {
		return d, "", nil
	}
	// A digit behind a letter is a malformed number (1e3), not a unit.
	if strings.ContainsFunc(rest, unicode.IsDigit) {
		return Decimal{}, "", fmt.Errorf("%q: %w", typed, ErrNotANumber)
	}
	unit, err := ParseUnit(rest)
	if err != nil {
		return Decimal{}, "", err
	}
	return d, unit, nil
}

// parseTyped brings what a person typed to the plain form and reads it.
func parseTyped(text, typed string) (Decimal, error) {
	plain := strings.Replace(text, minusSign, "-", 1)
	plain = strings.Replace(plain, ",", ".", 1)
	if rest, ok := strings.CutPrefix(plain, "+"); ok && !strings.HasPrefix(rest, "-") {
		plain = rest
	}
	sign, digits := "", plain
	if rest, ok := strings.CutPrefix(plain, "-"); ok {
		sign, digits = "-", rest
	}
	if len(digits) > 1 && digits[0] == '.' {
		digits = "0" + digits
	}
	return parsePlain(sign+digits, typed)
}

// parsePlain reads [-]digits[.digits] and nothing else; leading zeros are let
// through. The text as it was given stands in the error.
func parsePlain(plain, given string) (Decimal, error) {
	digits, negative := strings.CutPrefix(plain, "-")
	whole, fraction, marked := strings.Cut(digits, ".")
	if !digitsOnly(whole) || marked && !digitsOnly(fraction) {
		return Decimal{}, fmt.Errorf("%q: %w", shorten(given), ErrNotANumber)
	}
	whole = strings.TrimLeft(whole, "0")
	significant := len(whole) + len(fraction)
	if whole == "" {
		significant = len(strings.TrimLeft(fraction, "0"))
	}
	// The library rounds what is too long; a reading is never rounded.
	if significant > MaxDigits || len(fraction) > MaxDigits {
		return Decimal{}, fmt.Errorf("%q: %w", shorten(given), ErrTooLong)
	}
	if significant > int64Digits {
		text := cmp.Or(whole, "0") + "." + fraction
		if negative {
			text = "-" + text
		}
		d, err := decimal.Parse(strings.TrimSuffix(text, "."))
		if err != nil {
			return Decimal{}, fmt.Errorf("%q: %w: %w", shorten(given), ErrNotANumber, err)
		}
		return wrap(d), nil
	}
	coefficient := digitsOf(digitsOf(0, whole), fraction)
	if negative {
		coefficient = -coefficient
	}
	d, err := decimal.New(coefficient, len(fraction))
	if err != nil {
		return Decimal{}, fmt.Errorf("%q: %w: %w", shorten(given), ErrNotANumber, err)
	}
	return wrap(d), nil
}

// int64Digits is how many digits an int64 holds whatever they are.
const int64Digits = 18

// digitsOf puts digits behind those of n.
func digitsOf(n int64, digits string) int64 {
	for _, c := range []byte(digits) {
		n = 10*n + int64(c-'0')
	}
	return n
}

func digitsOnly(s string) bool {
	for _, c := range []byte(s) {
		if c < '0' || c > '9' {
			return false
		}
	}
	return s != ""
}

// shorten keeps an error readable when somebody pasted a page into a field.
func shorten(s string) string {
	const most = 40
	if len(s) <= most {
		return s
	}
	runes := []rune(s)
	if len(runes) <= most {
		return s
	}
	return string(runes[:most]) + "..."
}
