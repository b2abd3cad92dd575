package store

import (
	"testing"
	"time"
)

// In Santiago 7 September 2031 begins at one o'clock, 04:00 UTC, and ends at its own
// midnight: an hour earlier or later a wheel would be counted on no day, or on two.
func TestDaysWithoutAMidnightAreBounded(t *testing.T) {
	zone, err := time.LoadLocation("America/Santiago")
	if err != nil {
		t.Fatal(err)
	}
	for day, want := range map[string][2]string{
		"2031-09-06": {"2031-09-06T04:00:00Z", "2031-09-07T04:00:00Z"},
		"2031-09-07": {"2031-09-07T04:00:00Z", "2031-09-08T03:00:00Z"},
	} {
		from, to, err := dayBounds(day, zone)
		if got := [2]string{from.Format(time.RFC3339), to.Format(time.RFC3339)}; err != nil || got != want {
			t.Errorf("%s: %v, %v; want %v", day, got, err, want)
		}
	}
}
