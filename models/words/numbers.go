package words

import (
	"fmt"
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

// Number shows a stored number: the hyphen becomes a minus sign, and decimals
// stand behind the mark of the language.
func (c *Catalogue) Number(text string) string {
	rest, negative := strings.CutPrefix(text, "-")
	if c.writes.mark != "." {
		rest = strings.Replace(rest, ".", c.writes.mark, 1)
	}
	if negative {
		return Minus + rest
	}
	return rest
}

// Signed shows a stored number with its sign, a plus too; zero has none.
func (c *Catalogue) Signed(text string) string {
	if strings.HasPrefix(text, "-") || strings.HasPrefix(text, "+") || strings.Trim(text, "0.") == "" {
		return c.Number(text)
	}
	return "+" + c.Number(text)
}

// Unit is a unit as people read it, by its stored code: "mΩ" for "mohm".
func (c *Catalogue) Unit(code string) string {
	if text, ok := c.words["unit."+code]; ok {
		return text
	}
	return measure.Unit(code).Symbol()
}

// Quantity is a number with its unit on one line: "0.24 mm", "15 %".
func (c *Catalogue) Quantity(text, unit string) string {
	symbol := c.Unit(unit)
	switch symbol {
	case "":
		return c.Number(text)
	case "\u00b0":
		return c.Number(text) + symbol
	}
	return c.Number(text) + NoBreakSpace + symbol
}

// Bytes is a size on a disk as people say it, in powers of ten; what is left of a
// kilobyte counts as one.
func Bytes(n int64) string {
	switch {
	case n >= 1e9:
		return fmt.Sprintf("%.1f GB", float64(n)/1e9)
	case n >= 1e6:
		return fmt.Sprintf("%.1f MB", float64(n)/1e6)
	}
	return fmt.Sprintf("%d kB", (n+999)/1000)
}

// Date shows a day stored as YYYY-MM-DD: "9 Feb 2027". Other text comes back
// as it is.
func (c *Catalogue) Date(day string) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return t.Format(c.writes.day)
}

// Month shows a month stored as YYYY-MM: "March 2027", and days of one with a stroke
// between them: "7 to 31 March 2027". Other text comes back as it is.
func (c *Catalogue) Month(month string) string {
	if from, to, part := strings.Cut(month, "/"); part {
		first, err := time.Parse(time.DateOnly, from)
		last, other := time.Parse(time.DateOnly, to)
		switch {
		case err != nil || other != nil:
			return month
		case from == to:
			return first.Format("2 January 2006")
		}
		return first.Format("2 to ") + last.Format("2 January 2006")
	}
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return month
	}
	return t.Format("January 2006")
}

// Moment is day and minute of a time in the time's own zone: "9 Feb 2027,
// 15:42".
func (c *Catalogue) Moment(t time.Time) string { return t.Format(c.writes.day + ", 15:04") }

// MomentAt shows a stored time by clocks that stood so far from UTC ("-05:00"):
// "9 Feb 2027, 10:42 UTC−5". Without an offset it is [Catalogue.MomentUTC].
func (c *Catalogue) MomentAt(stored, offset string) string {
	t, err := time.Parse(time.RFC3339, stored)
	zone, wrong := time.Parse("-07:00", offset)
	if err != nil || wrong != nil {
		return c.MomentUTC(stored)
	}
	_, seconds := zone.Zone()
	hours := strings.TrimSuffix(strings.TrimPrefix(offset[1:], "0"), ":00")
	return c.Moment(t.In(time.FixedZone(offset, seconds))) + " UTC" + strings.ReplaceAll(offset[:1], "-", "\u2212") + hours
}

// MomentUTC shows a stored time (RFC 3339) to the minute, in UTC: "9 Feb 2027,
// 15:42 UTC". Other text comes back as it is.
func (c *Catalogue) MomentUTC(stored string) string {
	t, err := time.Parse(time.RFC3339, stored)
	if err != nil {
		return stored
	}
	return c.Moment(t.UTC()) + " UTC"
}

// Inside is a name, written as a line begins, as it stands inside a sentence.
func (c *Catalogue) Inside(name string) string {
	if !c.writes.lowers {
		return name
	}
	for i, r := range name {
		if i == 0 {
			return strings.ToLower(string(r)) + name[len(string(r)):]
		}
	}
	return name
}

// The same in English, for pages and for the papers of the shop itself.

func Number(text string) string         { return english.Number(text) }
func Signed(text string) string         { return english.Signed(text) }
func Unit(code string) string           { return english.Unit(code) }
func Quantity(text, unit string) string { return english.Quantity(text, unit) }
func Date(day string) string            { return english.Date(day) }
func Moment(t time.Time) string         { return english.Moment(t) }
func MomentUTC(stored string) string    { return english.MomentUTC(stored) }

// DateOf is the day of a time in the time's own zone: "9 Feb 2027".
func DateOf(t time.Time) string { return t.Format(english.writes.day) }

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
