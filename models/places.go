package models

import (
	"cmp"
	"strings"
)

// ComparePlaces orders places of parts as people count them: numbers by what
// they are worth, 1.2 before 1.10, all else as text.
func ComparePlaces(a, b string) int {
	for a != "" && b != "" {
		x, y := leading(a), leading(b)
		if digit(x) && digit(y) {
			m, n := strings.TrimLeft(x, "0"), strings.TrimLeft(y, "0")
			if c := cmp.Or(len(m)-len(n), strings.Compare(m, n)); c != 0 {
				return c
			}
		} else if c := strings.Compare(x, y); c != 0 {
			return c
		}
		a, b = a[len(x):], b[len(y):]
	}
	return len(a) - len(b)
}

// leading is the run of digits, or of everything else, that a text begins with.
func leading(text string) string {
	end := 1
	for end < len(text) && digit(text[end:]) == digit(text) {
		end++
	}
	return text[:end]
}

func digit(text string) bool { return text[0] >= '0' && text[0] <= '9' }
