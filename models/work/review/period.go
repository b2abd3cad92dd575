package review

import (
	"time"

	"tracewright/models"
)

// span is a period in the shop's calendar.
type span struct {
	first, last string    // days
	from, to    time.Time // from <= t < to
}

// spanOf is the week, from Monday on, or the month that holds a day.
func spanOf(period, day string, zone *time.Location) (span, error) {
	at, err := models.ReadDay(day, zone)
	switch {
	case err != nil:
		return span{}, models.Invalid("day", "not_a_day", "typed", models.Shortened(day))
	case period != models.ReviewWeek && period != models.ReviewMonth:
		return span{}, models.Invalid("period", "unknown_choice", "typed", models.Shortened(period))
	}
	y, m, d := at.Date()
	first, next := models.DayBegins(y, m, 1, zone), models.DayBegins(y, m+1, 1, zone)
	if period == models.ReviewWeek {
		back := (int(at.Weekday()) + 6) % 7 // Monday is none.
		first, next = models.DayBegins(y, m, d-back, zone), models.DayBegins(y, m, d-back+7, zone)
	}
	return span{first: first.Format(time.DateOnly), last: models.DayOf(next, -1).Format(time.DateOnly), from: first, to: next}, nil
}

// Last gives the day of the last period that has ended.
func Last(period string, now time.Time) string {
	if period == models.ReviewMonth {
		return time.Date(now.Year(), now.Month(), 1, 12, 0, 0, 0, time.UTC).AddDate(0, -1, 0).Format(time.DateOnly)
	}
	return now.AddDate(0, 0, -7).Format(time.DateOnly)
}
