package models_test

import (
	"testing"
	"time"

	"tracewright/models"
)

// When days begin where clocks change at midnight, from the tz database (2025b): Santiago
// skips 00:00 to 01:00 (7 September 2031), Beirut too (30 March 2031); Havana sets its
// clocks back from 01:00 to 00:00 (2 November 2031), so that midnight comes twice; Apia had
// no 30 December 2011 at all.
func TestDayBegins(t *testing.T) {
	for _, tt := range []struct{ zone, day, want string }{
		{"Europe/Berlin", "2031-03-30", "2031-03-29T23:00:00Z"},
		{"America/Santiago", "2031-09-07", "2031-09-07T04:00:00Z"},
		{"America/Santiago", "2031-09-08", "2031-09-08T03:00:00Z"},
		{"Asia/Beirut", "2031-03-30", "2031-03-29T22:00:00Z"},
		{"Asia/Beirut", "2031-03-31", "2031-03-30T21:00:00Z"},
		{"America/Havana", "2031-11-02", "2031-11-02T04:00:00Z"},
		{"America/Havana", "2031-11-03", "2031-11-03T05:00:00Z"},
		{"Pacific/Apia", "2011-12-30", "2011-12-30T10:00:00Z"},
	} {
		zone, err := time.LoadLocation(tt.zone)
		if err != nil {
			t.Fatal(err)
		}
		got, err := models.ReadDay(tt.day, zone)
		if s := got.UTC().Format(time.RFC3339); err != nil || s != tt.want {
			t.Errorf("%s in %s begins at %s, %v; want %s", tt.day, tt.zone, s, err, tt.want)
		}
		// The day before ends there.
		if back := models.DayOf(got.Add(-time.Second), 1); tt.zone != "Pacific/Apia" && !back.Equal(got) {
			t.Errorf("the day before %s in %s ends at %s", tt.day, tt.zone, back)
		}
	}
}

// Every day of a year in every zone of the list begins where the one before ends, a
// second earlier it is that one, and none is shorter than 22 or longer than 26 hours.
func TestDaysFollowOneAnother(t *testing.T) {
	for _, name := range []string{"UTC", "America/Santiago", "Asia/Beirut", "America/Havana", "Africa/Cairo", "Asia/Tehran", "America/Asuncion", "Australia/Lord_Howe", "Pacific/Chatham", "America/Sao_Paulo"} {
		zone, err := time.LoadLocation(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, year := range []int{2017, 2031} {
			from := models.DayBegins(year, 1, 1, zone)
			for n := range 365 {
				next := models.DayBegins(year, 1, n+2, zone)
				if long := next.Sub(from); long < 22*time.Hour || long > 26*time.Hour {
					t.Errorf("%s: %s lasts %s", name, from, long)
				}
				if day, before := next.In(zone).YearDay(), next.Add(-time.Second).In(zone).YearDay(); day == before {
					t.Errorf("%s: at %s no day begins", name, next)
				}
				from = next
			}
		}
	}
}

// The day is the same by the calendar, or the last of a month that has no such day.
func TestMonthsLater(t *testing.T) {
	for _, c := range []struct {
		day    string
		months int
		want   string
	}{
		{"2026-10-09", 24, "2028-10-09"}, {"2031-08-31", 6, "2032-02-29"}, {"2030-08-31", 6, "2031-02-28"}, {"2032-02-29", 12, "2033-02-28"}, {"2031-12-31", 1, "2032-01-31"}, {"2031-05-01", 0, "2031-05-01"},
	} {
		day, err := time.Parse(time.DateOnly, c.day)
		if err != nil {
			t.Fatal(err)
		}
		if got := models.MonthsLater(day, c.months).Format(time.DateOnly); got != c.want {
			t.Errorf("%s and %d months: %s, want %s", c.day, c.months, got, c.want)
		}
	}
}

// In Santiago the clocks skip the midnight of 7 September 2031 (they go on at 24:00
// of the Saturday; zone data of 2024): the day is there all the same.
func TestMonthsLaterOnADayWithoutMidnight(t *testing.T) {
	zone, err := time.LoadLocation("America/Santiago")
	if err != nil {
		t.Fatal(err)
	}
	if got := models.MonthsLater(time.Date(2029, 9, 7, 15, 0, 0, 0, zone), 24).Format(time.DateOnly); got != "2031-09-07" {
		t.Errorf("24 months later it is %s", got)
	}
}
