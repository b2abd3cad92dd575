package specify

import (
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

const (
	longestName   = 80
	longestReason = 500
)

// checker gathers the problems of an input and brings its texts to the form in
// which they are stored.
type checker struct{ models.InvalidError }

// text trims *value and refuses one that is too long, or holds what nobody sees.
func (c *checker) text(field string, value *string, most int) {
	*value = models.Trimmed(*value)
	c.Line(field, *value, most)
}

// needed is text that may not be empty.
func (c *checker) needed(field string, value *string, most int) {
	c.text(field, value, most)
	if *value == "" {
		c.Add(field, "missing")
	}
}

// reason is a text that says why something is changed.
func (c *checker) reason(value *string) {
	*value = models.Trimmed(*value)
	c.Reason("reason", *value)
}

// sign is what a number may be.
type sign int

const (
	anySign  sign = iota // any number
	notBelow             // zero or more
	above                // more than zero
)

// decimal reads *value, which may be empty, and stores it plainly. It reports
// false when there is no number to go on with.
func (c *checker) decimal(field string, value *string, allowed sign) (measure.Decimal, bool) {
	*value = strings.TrimSpace(*value)
	if *value == "" {
		return measure.Decimal{}, false
	}
	d, err := measure.ParseReading(*value)
	switch {
	case errors.Is(err, measure.ErrTooLong):
		c.Add(field, "too_many_digits", "typed", models.Shortened(*value))
		return measure.Decimal{}, false
	case err != nil:
		c.Add(field, "not_a_number", "typed", models.Shortened(*value))
		return measure.Decimal{}, false
	case allowed != anySign && d.Sign() < 0:
		c.Add(field, "negative_not_possible")
		return measure.Decimal{}, false
	case allowed == above && d.Sign() == 0:
		c.Add(field, "zero_not_possible")
		return measure.Decimal{}, false
	}
	*value = d.String()
	return d, true
}

// whole refuses a count outside least to most.
func (c *checker) whole(field string, n, least, most int) {
	switch {
	case n < least:
		c.Add(field, "too_small", "least", fmt.Sprint(least))
	case n > most:
		c.Add(field, "too_big", "most", fmt.Sprint(most))
	}
}
