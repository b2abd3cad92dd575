package models

import "time"

// ItemLife is since when an item may have been measured or charged here.
type ItemLife struct {
	// Since is when it was made or came in; zero where that is not known.
	Since time.Time
	// MadeOn is the day by the date code of the block, or of the newest block in a
	// pack; empty where none is known.
	MadeOn string
}

// EarlierThan says that a moment lies on a day before the item was made or came
// in, and which day that was; both are days in zone, since neither is known
// better. What is here now did not come in later: a clock was wrong then, and the
// day is not known.
func (l ItemLife) EarlierThan(at, now time.Time, zone *time.Location) (day string, earlier bool) {
	moment := at.In(zone).Format(time.DateOnly)
	if !l.Since.IsZero() && !l.Since.After(now.Add(24*time.Hour)) {
		if day = l.Since.In(zone).Format(time.DateOnly); moment < day {
			return day, true
		}
	}
	return l.MadeOn, moment < l.MadeOn
}

// Outlived says that a rest of so many hours before a moment began before the
// block was made.
func (l ItemLife) Outlived(hours float64, at time.Time, zone *time.Location) bool {
	made, err := ReadDay(l.MadeOn, zone)
	return err == nil && hours > at.Sub(made).Hours()
}
