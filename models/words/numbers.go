package words

import (
	"strconv"
	"strings"
	"time"

	"tracewright/models/numbers/measure"
)

// Minus is the sign that people read before a negative number (U+2212): as
// wide as a plus, so that columns stay straight. Stored text has a hyphen.
const Minus = "\u2212"

// NoBreakSpace keeps a number and its unit on one line (U+00A0).
const NoBreakSpace = "\u00a0"

// Number shows a stored number: the hyphen becomes a minus sign, digits stay
// as they are.
func Number(text string) string {
	if rest, ok := strings.CutPrefix(text, "-"); ok {
		return Minus + rest
	}
	return text
}

// Signed shows a stored number with its sign, a plus too; zero has none.
func Signed(text string) string {
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "+") {
		return Number(text)
	}
	if strings.Trim(text, "0.") == "" {
		return text
	}
	return "+" + text
}

// Unit is a unit as people read it, by its stored code: "mΩ" for "mohm".
func Unit(code string) string { return measure.Unit(code).Symbol() }

// Quantity is a number with its unit on one line: "0.24 mm", "15 %".
func Quantity(text, unit string) string {
	symbol := Unit(unit)
	if symbol == "" {
		return Number(text)
	}
	if symbol == "\u00b0" {
		return Number(text) + symbol
	}
	return Number(text) + NoBreakSpace + symbol
}

// Date shows a day stored as YYYY-MM-DD: "9 Feb 2027". Other text comes back
// as it is.
func Date(day string) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return DateOf(t)
}

// DateOf is the day of a time in the time's own zone: "9 Feb 2027".
func DateOf(t time.Time) string { return t.Format("2 Jan 2006") }

// Moment is day and minute of a time in the time's own zone: "9 Feb 2027,
// 15:42".
func Moment(t time.Time) string { return t.Format("2 Jan 2006, 15:04") }

// MomentUTC shows a stored time (RFC 3339) to the minute, in UTC: "9 Feb 2027,
// 15:42 UTC". Other text comes back as it is.
func MomentUTC(stored string) string {
	t, err := time.Parse(time.RFC3339, stored)
	if err != nil {
		return stored
	}
	return Moment(t.UTC()) + " UTC"
}

// Count is a number and the word for so many of a thing, from the catalogue's
// group "count": "1 reading", "36 readings".
func (c *Catalogue) Count(n int, code string) string {
	form := "many"
	if n == 1 {
		form = "one"
	}
	return c.Say("count."+code+"."+form, map[string]string{"n": strconv.Itoa(n)})
}

// Of is the form of every share: "2 of 36".
func (c *Catalogue) Of(k, n int) string {
	return c.Say("share.of", map[string]string{"k": strconv.Itoa(k), "n": strconv.Itoa(n)})
}

// Join makes a list of its parts: "a", "a and b", "a, b and c".
func (c *Catalogue) Join(parts []string) string {
	switch len(parts) {
	case 0:
		return ""
	case 1:
		return parts[0]
	}
	last := len(parts) - 1
	return strings.Join(parts[:last], ", ") + " " + c.Say("list.and", nil) + " " + parts[last]
}

// Sentence begins a text with a capital: names in the catalogue are written
// as they stand inside a sentence.
func Sentence(text string) string {
	for i, r := range text {
		if i == 0 {
			return strings.ToUpper(string(r)) + text[len(string(r)):]
		}
	}
	return text
}
