package web

import (
	"testing"

	"tracewright/models"
)

// What is counted are inspections: six wheels of which three were read twice are nine
// of them, and never nine wheels.
func TestTheDayCountsInspections(t *testing.T) {
	wheels := func(n int, verdict string) models.DayCount {
		return models.DayCount{Kind: models.KindWheel, Count: n, Verdict: verdict}
	}
	for _, c := range []struct {
		counts []models.DayCount
		want   string
	}{
		{nil, "No inspection yet today."},
		{[]models.DayCount{wheels(8, models.VerdictPass), wheels(1, models.VerdictFail)}, "Today so far: 9 inspections of wheels; 8 of 9 passed."},
		{[]models.DayCount{wheels(1, models.VerdictPass)}, "Today so far: 1 inspection of a wheel; 1 of 1 passed."},
		{[]models.DayCount{{Kind: models.KindPack, Count: 3, Verdict: models.VerdictPass}, wheels(2, models.VerdictPass)}, "Today so far: 2 inspections of wheels and 3 of packs; 5 of 5 passed."},
	} {
		if got := daySoFar(c.counts); got != c.want {
			t.Errorf("%+v: %q, want %q", c.counts, got, c.want)
		}
	}
}
