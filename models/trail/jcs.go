package trail

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// deepest is how many arrays and objects may be nested in one another: far more
// than any record has, and few enough to keep the stack small.
const deepest = 200

// CanonicalJSON returns the canonical form of a JSON text (RFC 8785): members
// sorted by the UTF-16 code units of their names at every level, no spaces,
// numbers as ECMAScript writes them, the shortest escapes, UTF-8, no Unicode
// normalisation.
//
// It refuses what two readers could understand differently: see [ErrSyntax],
// [ErrDuplicateKey], [ErrLoneSurrogate], [ErrEncoding], [ErrNumberRange].
func CanonicalJSON(raw []byte) ([]byte, error) {
	value, err := parse(raw)
	if err != nil {
		return nil, err
	}
	return appendNode(nil, value)
}

// node is a JSON value: nil, bool, float64, string, []node or *object.
type node any

// object holds members in the order they came.
type object struct {
	names  []string
	values []node
}

// appendNode writes a value in canonical form.
func appendNode(out []byte, value node) ([]byte, error) {
	var err error
	switch v := value.(type) {
	case nil:
		return append(out, "null"...), nil
	case bool:
		return strconv.AppendBool(out, v), nil
	case float64:
		return appendNumber(out, v)
	case string:
		return appendString(out, v)
	case []node:
		out = append(out, '[')
		for i, element := range v {
			if i > 0 {
				out = append(out, ',')
			}
			if out, err = appendNode(out, element); err != nil {
				return nil, err
			}
		}
		return append(out, ']'), nil
	case *object:
		return appendObject(out, v)
	}
	return nil, fmt.Errorf("%T: %w", value, ErrType)
}

// appendObject writes the members sorted by name (RFC 8785, 3.2.3).
func appendObject(out []byte, o *object) ([]byte, error) {
	order := make([]int, len(o.names))
	for i := range order {
		order[i] = i
	}
	if !ascending(o.names) {
		slices.SortStableFunc(order, func(a, b int) int { return compareUnits(o.names[a], o.names[b]) })
	}
	var err error
	out = append(out, '{')
	for i, at := range order {
		name := o.names[at]
		if i > 0 {
			if name == o.names[order[i-1]] {
				return nil, fmt.Errorf("%q: %w", name, ErrDuplicateKey)
			}
			out = append(out, ',')
		}
		if out, err = appendString(out, name); err != nil {
			return nil, err
		}
		out = append(out, ':')
		if out, err = appendNode(out, o.values[at]); err != nil {
			return nil, err
		}
	}
	return append(out, '}'), nil
}

// ascending says whether names are ASCII and in order already, as those of our
// own records are.
func ascending(names []string) bool {
	for i, name := range names {
		if !ascii(name) || i > 0 && name < names[i-1] {
			return false
		}
	}
	return true
}

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// compareUnits compares by UTF-16 code units. In ASCII they are the bytes.
func compareUnits(a, b string) int {
	if ascii(a) && ascii(b) {
		return cmp.Compare(a, b)
	}
	return slices.Compare(utf16.Encode([]rune(a)), utf16.Encode([]rune(b)))
}

// appendNumber writes a number as ECMAScript's Number::toString does (RFC 8785,
// 3.2.2.3): the shortest digits that read back as the same binary64, plain from
// 1e-6 up to below 1e21, else with an exponent that has a sign and no leading
// zeros. Zero has no sign.
func appendNumber(out []byte, x float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, ErrNonFinite
	}
	if x == 0 {
		return append(out, '0'), nil
	}
	if size := math.Abs(x); size >= 1e-6 && size < 1e21 {
		return strconv.AppendFloat(out, x, 'f', -1, 64), nil
	}
	out = strconv.AppendFloat(out, x, 'e', -1, 64)
	// strconv writes at least two digits of exponent, ECMAScript as many as needed.
	if n := len(out); n >= 3 && out[n-2] == '0' && (out[n-3] == '+' || out[n-3] == '-') {
		out[n-2] = out[n-1]
		out = out[:n-1]
	}
	return out, nil
}

// appendString writes a string with the escapes of RFC 8785, 3.2.2.2: the two
// characters that need one, the five control characters with a short form, the
// other control characters as \u00xx, and everything else as it is.
func appendString(out []byte, s string) ([]byte, error) {
	if isPlain(s) {
		return append(append(append(out, '"'), s...), '"'), nil
	}
	if !utf8.ValidString(s) {
		return nil, fmt.Errorf("%q: %w", s, ErrEncoding)
	}
	const hex = "0123456789abcdef"
	out = append(out, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			out = append(out, '\\', c)
		case c >= 0x20:
			out = append(out, c)
		case c == '\b':
			out = append(out, '\\', 'b')
		case c == '\t':
			out = append(out, '\\', 't')
		case c == '\n':
			out = append(out, '\\', 'n')
		case c == '\f':
			out = append(out, '\\', 'f')
		case c == '\r':
			out = append(out, '\\', 'r')
		default:
			out = append(out, '\\', 'u', '0', '0', hex[c>>4], hex[c&15])
		}
	}
	return append(out, '"'), nil
}

// isPlain says whether s is ASCII that stands for itself between quotes, as
// nearly every code, number and key is.
func isPlain(s string) bool {
	for i := range len(s) {
		if c := s[i]; c < 0x20 || c >= utf8.RuneSelf || c == '"' || c == '\\' {
			return false
		}
	}
	return true
}
