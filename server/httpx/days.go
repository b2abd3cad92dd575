package httpx

import (
	"strconv"
	"time"

	"tracewright/models"
)

// DayOrMoment reads a day of the shop's zone, which begins at its midnight, or a
// moment (RFC 3339); empty is none. What is neither is noted.
func DayOrMoment(invalid *models.InvalidError, field, text string, zone *time.Location) time.Time {
	if text == "" {
		return time.Time{}
	}
	if t, err := time.Parse(time.RFC3339, text); err == nil {
		return t.UTC()
	}
	t, err := models.ReadDay(text, zone)
	if err != nil {
		invalid.Add(field, "bad_date", "typed", models.Shortened(text))
		return time.Time{}
	}
	return t.UTC()
}

// WholeDays reads a number of days; empty is 0.
func WholeDays(invalid *models.InvalidError, field, text string) int {
	if text == "" {
		return 0
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		invalid.Add(field, "not_a_number", "typed", models.Shortened(text))
	}
	return n
}
