package models

import "time"

// DayBegins is the first moment of a day in a zone: its midnight, the first of two
// where clocks are set back over it, and where they are set on over it, the moment at
// which they go on. A day past the month's end is one of the next.
//
// time.Date promises no more than one of two zones there, and then its midnight may lie
// in the day before.
func DayBegins(year int, month time.Month, day int, zone *time.Location) time.Time {
	noon := time.Date(year, month, day, 12, 0, 0, 0, time.UTC)
	year, month, day = noon.Date()
	begins := func(t time.Time) bool { // t is in that day or later
		y, m, d := t.In(zone).Date()
		return !time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Before(noon)
	}
	// No clock was ever set by less than a minute in the years of which anything is
	// recorded here.
	from := time.Date(year, month, day, 0, 0, 0, 0, zone)
	for !begins(from) {
		from = from.Add(time.Minute)
	}
	// Twice as far back as clocks are ever set, so that the first of two is found.
	for t := from.Add(-2 * time.Hour); t.Before(from); t = t.Add(time.Minute) {
		if begins(t) {
			return t
		}
	}
	return from
}

// DayOf is the first moment of the day that it is at t, that many days later.
func DayOf(t time.Time, later int) time.Time {
	year, month, day := t.Date()
	return DayBegins(year, month, day+later, t.Location())
}

// ReadDay reads a day, YYYY-MM-DD, and gives its first moment.
func ReadDay(text string, zone *time.Location) (time.Time, error) {
	day, err := time.Parse(time.DateOnly, text)
	if err != nil {
		return time.Time{}, err
	}
	year, month, d := day.Date()
	return DayBegins(year, month, d, zone), nil
}

// MonthsLater is noon of the same day so many months on, or of the last day of that
// month where it has none: 31 August and six months is 28 February. Noon, for there are
// zones whose clocks skip midnight.
func MonthsLater(t time.Time, months int) time.Time {
	day := time.Date(t.Year(), t.Month()+time.Month(months), t.Day(), 12, 0, 0, 0, t.Location())
	if day.Day() != t.Day() {
		day = time.Date(day.Year(), day.Month(), 0, 12, 0, 0, 0, t.Location())
	}
	return day
}
