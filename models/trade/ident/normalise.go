package ident

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
)

var (
	// ErrFormat: the text does not have the form of a serial of ours.
	ErrFormat = errors.New("not a serial number")
	// ErrCheck: it has the form, but the check character does not fit: a
	// character was misread or swapped.
	ErrCheck = errors.New("check character does not fit")
)

// Normalise reads a serial as typed or scanned and returns it in its stored
// form, nine characters without hyphens. It takes small letters, hyphens and
// spaces anywhere, I and L for 1, O for 0, and what a scanner adds: the symbology
// prefix of ISO/IEC 15424 ("]C0", "]d1", "]Q1") and a line end.
//
// The error wraps [ErrFormat] or [ErrCheck].
func Normalise(typed string) (serial string, err error) {
	serial = plain(WithoutPrefix(strings.TrimSpace(typed)))
	if len(serial) != serialLength || strings.IndexByte(kinds, serial[0]) < 0 ||
		!consistsOf(serial[1:3], digits) || !consistsOf(serial[3:], crockford) {
		return "", fmt.Errorf("%.20q: %w", typed, ErrFormat)
	}
	check, ok := hybridCheck(serial[:bodyLength], len(alphanumeric))
	if !ok || check != serial[bodyLength] {
		return "", fmt.Errorf("%.20q: %w", typed, ErrCheck)
	}
	return serial, nil
}

// KindOf returns the kind letter of a stored serial, 0 for anything else.
func KindOf(serial string) Kind {
	if len(serial) != serialLength || strings.IndexByte(kinds, serial[0]) < 0 {
		return 0
	}
	return Kind(serial[0])
}

// Print returns a stored serial in the groups that are printed and read aloud:
// W26-00005-1. Text that is no serial of ours, such as a maker's number, comes
// back unchanged.
func Print(serial string) string {
	if KindOf(serial) == 0 {
		return serial
	}
	return serial[:3] + "-" + serial[3:bodyLength] + "-" + serial[bodyLength:]
}

// tailLength is how many characters the short search goes by: the last four
// digits of the counter and the check character.
const tailLength = 5

// Tail returns the last five characters of a stored serial or maker's number,
// the key of the short search; all of it when it is shorter.
func Tail(serial string) string {
	if len(serial) <= tailLength {
		return serial
	}
	return serial[len(serial)-tailLength:]
}

// NormaliseTail reads the end of a serial as a person gives it, "0005-1" or
// "00005 1": four to six characters, hyphens and spaces aside, of which the
// last five are the key that [Tail] returns. With four, the zero that people
// drop is put in front. It reports false for anything else.
func NormaliseTail(typed string) (string, bool) {
	tail := plain(strings.TrimSpace(typed))
	if len(tail) < tailLength-1 || len(tail) > tailLength+1 || !consistsOf(tail, crockford) {
		return "", false
	}
	return Tail("0" + tail), true
}

// WithoutPrefix drops the symbology prefix a scanner may send: a bracket, a
// letter and a modifier.
func WithoutPrefix(scanned string) string {
	if len(scanned) > 3 && scanned[0] == ']' {
		return scanned[3:]
	}
	return scanned
}

// plain drops hyphens and spaces, raises small letters and reads the letters
// that look like digits as digits.
func plain(typed string) string {
	kept := strings.Map(func(r rune) rune {
		switch {
		case r == '-' || r >= '\u2010' && r <= '\u2015' || r == '\u2212' || unicode.IsSpace(r):
			return -1
		case r >= 'a' && r <= 'z':
			return r - 'a' + 'A'
		}
		return r
	}, typed)
	return lookalikes.Replace(kept)
}

func consistsOf(s, alphabet string) bool {
	return strings.Trim(s, alphabet) == ""
}
