package backup

import "time"

const (
	// quietHour is when a shop sleeps, by its own zone.
	quietHour = 3
	// atMost is how old the last good one may grow before the next is made,
	// whatever the hour: a computer that is off at night makes it by day.
	atMost = 24 * time.Hour
	// Late is when somebody is told that the last good one is too old.
	Late = 48 * time.Hour
	// againAfter is how long what failed is left alone.
	againAfter = time.Hour
)

// due says whether a backup is to be made now. The last good one, the last try
// and the last restoration are zero before the first. What was put back is kept
// anew at once: put back a second time, the older backup would give the numbers
// out again that were given out since.
func due(now, lastGood, lastTry, restored time.Time, zone *time.Location) bool {
	if !lastTry.IsZero() && lastTry.After(lastGood) && now.Sub(lastTry) < againAfter {
		return false
	}
	if lastGood.IsZero() || now.Sub(lastGood) >= atMost || lastGood.Before(restored) {
		return true
	}
	local := now.In(zone)
	quiet := time.Date(local.Year(), local.Month(), local.Day(), quietHour, 0, 0, 0, zone)
	return !now.Before(quiet) && now.Before(quiet.Add(time.Hour)) && lastGood.Before(quiet)
}

// Rule says how many are kept: the newest of each of so many days, weeks (from
// Monday on, ISO 8601) and months that have any.
type Rule struct{ Days, Weeks, Months int }

// Kept is the rule of this program: what somebody spoiled this morning, what was
// noticed weeks later, and a year back.
var Kept = Rule{Days: 7, Weeks: 5, Months: 12}

// keep says of each moment, oldest first, whether its backup is kept. The newest
// always is.
func keep(taken []time.Time, zone *time.Location, rule Rule) []bool {
	type day struct{ year, of int }
	kept := make([]bool, len(taken))
	days, weeks, months := map[day]bool{}, map[day]bool{}, map[day]bool{}
	for i := len(taken) - 1; i >= 0; i-- {
		local := taken[i].In(zone)
		kept[i] = i == len(taken)-1
		isoYear, week := local.ISOWeek()
		for _, x := range []struct {
			seen map[day]bool
			in   day
			most int
		}{
			{days, day{local.Year(), local.YearDay()}, rule.Days},
			{weeks, day{isoYear, week}, rule.Weeks},
			{months, day{local.Year(), int(local.Month())}, rule.Months},
		} {
			if !x.seen[x.in] && len(x.seen) < x.most {
				x.seen[x.in], kept[i] = true, true
			}
		}
	}
	return kept
}

// yearsSince lists the last two digits of each year from one moment to another,
// with a day to spare at both ends for the shop's zone.
func yearsSince(from, to time.Time) []int {
	var years []int
	for y := from.AddDate(0, 0, -1).UTC().Year(); y <= to.AddDate(0, 0, 1).UTC().Year(); y++ {
		years = append(years, y%100)
	}
	return years
}
