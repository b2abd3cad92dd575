package backup

import (
	"slices"
	"testing"
	"time"
)

var lisbon = must(time.LoadLocation("Europe/Lisbon"))

func must(zone *time.Location, err error) *time.Location {
	if err != nil {
		panic(err)
	}
	return zone
}

func at(text string) time.Time {
	if text == "" {
		return time.Time{}
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", text, lisbon)
	if err != nil {
		panic(err)
	}
	return t
}

func TestDue(t *testing.T) {
	for _, c := range []struct {
		name           string
		now, good, try string
		want           bool
	}{
		{"never made", "2031-06-10 09:00", "", "", true},
		{"made an hour ago", "2031-06-10 09:00", "2031-06-10 08:00", "2031-06-10 08:00", false},
		{"a minute before the quiet hour", "2031-06-10 02:59", "2031-06-09 03:00", "2031-06-09 03:00", false},
		{"the quiet hour begins", "2031-06-10 03:00", "2031-06-09 03:10", "2031-06-09 03:10", true},
		{"made in this quiet hour", "2031-06-10 03:50", "2031-06-10 03:00", "2031-06-10 03:00", false},
		{"the quiet hour is over", "2031-06-10 04:00", "2031-06-09 14:00", "2031-06-09 14:00", false},
		{"made by day, and now it is quiet", "2031-06-10 03:59", "2031-06-09 14:00", "2031-06-09 14:00", true},
		{"a day less a minute", "2031-06-10 13:59", "2031-06-09 14:00", "2031-06-09 14:00", false},
		{"a day", "2031-06-10 14:00", "2031-06-09 14:00", "2031-06-09 14:00", true},
		{"failed less than an hour ago", "2031-06-10 14:59", "2031-06-09 13:00", "2031-06-10 14:00", false},
		{"failed an hour ago", "2031-06-10 15:00", "2031-06-09 13:00", "2031-06-10 14:00", true},
		{"failed, and never made", "2031-06-10 14:59", "", "2031-06-10 14:00", false},
		{"failed just now, in the quiet hour", "2031-06-10 03:40", "2031-06-09 03:00", "2031-06-10 03:00", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := due(at(c.now), at(c.good), at(c.try), time.Time{}, lisbon); got != c.want {
				t.Errorf("due is %t at %s, last good %q, last try %q", got, c.now, c.good, c.try)
			}
		})
	}
	// The same moment is quiet in one zone and day in another.
	now := time.Date(2031, 6, 10, 2, 30, 0, 0, time.UTC)
	good := now.Add(-20 * time.Hour)
	if !due(now, good, good, time.Time{}, lisbon) || due(now, good, good, time.Time{}, time.UTC) {
		t.Error("the quiet hour is not the shop's")
	}
}

func TestKeep(t *testing.T) {
	kept := func(taken []time.Time) []string {
		t.Helper()
		var names []string
		for i, k := range keep(taken, lisbon, Kept) {
			if k {
				names = append(names, taken[i].In(lisbon).Format("2006-01-02 15:04"))
			}
		}
		return names
	}
	if got := kept(nil); len(got) != 0 {
		t.Errorf("of none: %v", got)
	}
	// One each night at three from 1 January 2030 to Tuesday 10 June 2031. Worked out
	// by hand with a calendar: the last seven days; the newest of each of the last
	// five weeks, which are that of 9 June and the Sundays 8 June, 1 June, 25 and 18
	// May; the newest of each of the last twelve months: 10 June, and the last days
	// of May 2031 back to July 2030.
	var nightly []time.Time
	for day := at("2030-01-01 03:00"); !day.After(at("2031-06-10 03:00")); day = day.AddDate(0, 0, 1) {
		nightly = append(nightly, day)
	}
	want := []string{"2030-07-31", "2030-08-31", "2030-09-30", "2030-10-31", "2030-11-30", "2030-12-31", "2031-01-31", "2031-02-28", "2031-03-31", "2031-04-30",
		"2031-05-18", "2031-05-25", "2031-05-31", "2031-06-01", "2031-06-04", "2031-06-05", "2031-06-06", "2031-06-07", "2031-06-08", "2031-06-09", "2031-06-10"}
	for i := range want {
		want[i] += " 03:00"
	}
	if got := kept(nightly); !slices.Equal(got, want) {
		t.Errorf("kept %v\nwant %v", got, want)
	}
	// Day by day with the rule applied each time, nothing is lost that the rule
	// would keep of all: what goes was not going to be wanted.
	var shelf []time.Time
	for _, night := range nightly {
		shelf = append(shelf, night)
		var next []time.Time
		for i, k := range keep(shelf, lisbon, Kept) {
			if k {
				next = append(next, shelf[i])
			}
		}
		shelf = next
	}
	if got := kept(shelf); !slices.Equal(got, want) || len(shelf) != len(want) {
		t.Errorf("kept night by night %v\nwant %v", got, want)
	}
	// Several a day: the newest stands for it. A shop that made none for long keeps
	// what it has: seven days that have one, not the last seven of the calendar.
	if got := kept([]time.Time{at("2031-06-09 03:00"), at("2031-06-10 03:00"), at("2031-06-10 09:00"), at("2031-06-10 23:59")}); !slices.Equal(got, []string{"2031-06-09 03:00", "2031-06-10 23:59"}) {
		t.Errorf("several a day: %v", got)
	}
	if got := kept([]time.Time{at("2025-01-01 03:00"), at("2031-06-10 03:00")}); len(got) != 2 {
		t.Errorf("after years without: %v", got)
	}
	// Days are the shop's: 23:30 UTC is after midnight in Lisbon in summer.
	if got := kept([]time.Time{time.Date(2031, 6, 9, 22, 30, 0, 0, time.UTC), time.Date(2031, 6, 9, 23, 30, 0, 0, time.UTC)}); len(got) != 2 {
		t.Errorf("two days of Lisbon: %v", got)
	}
}

func TestYearsSince(t *testing.T) {
	for _, c := range []struct {
		from, to string
		want     []int
	}{
		{"2031-06-10 03:00", "2031-06-12 09:00", []int{31}},
		{"2031-12-30 12:00", "2032-01-03 09:00", []int{31, 32}},
		{"2031-12-31 23:30", "2031-12-31 23:40", []int{31, 32}}, // it is next year somewhere
		{"2032-01-01 00:30", "2032-01-01 00:40", []int{31, 32}},
		{"2099-06-01 00:00", "2101-06-01 00:00", []int{99, 0, 1}},
	} {
		if got := yearsSince(at(c.from), at(c.to)); !slices.Equal(got, c.want) {
			t.Errorf("from %s to %s: %v, want %v", c.from, c.to, got, c.want)
		}
	}
}
