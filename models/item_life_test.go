package models

import (
	"testing"
	"time"
)

func TestTheLifeOfAnItem(t *testing.T) {
	west := time.FixedZone("west", -8*3600)
	noon := time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		name string
		life ItemLife
		at   time.Time
		zone *time.Location
		day  string // before which it lies
	}{
		{"nothing known", ItemLife{}, noon.AddDate(-40, 0, 0), time.UTC, ""},
		{"later", ItemLife{Since: noon}, noon.Add(time.Hour), time.UTC, ""},
		{"the same day", ItemLife{Since: noon}, noon.Add(-11 * time.Hour), time.UTC, ""},
		{"the day before", ItemLife{Since: noon}, noon.Add(-13 * time.Hour), time.UTC, "2031-05-12"},
		{"the day before in the shop's zone", ItemLife{Since: noon}, noon.Add(-5 * time.Hour), west, "2031-05-12"},
		{"before it was made, of which no more is known", ItemLife{MadeOn: "2031-03-17"}, noon.AddDate(0, 0, -57), time.UTC, "2031-03-17"},
		{"before it came in and after it was made", ItemLife{Since: noon, MadeOn: "2031-03-17"}, noon.AddDate(0, 0, -5), time.UTC, "2031-05-12"},
		{"here by a clock that was years ahead", ItemLife{Since: noon.AddDate(5, 0, 0)}, noon, time.UTC, ""},
	} {
		day, earlier := row.life.EarlierThan(row.at, noon, row.zone)
		if earlier != (row.day != "") || earlier && day != row.day {
			t.Errorf("%s: %v, %s", row.name, earlier, day)
		}
	}
	// From the first hour of 17 March to noon of 12 May are 56.5 days, 1356 h.
	life := ItemLife{MadeOn: "2031-03-17"}
	if life.Outlived(1356, noon, time.UTC) || !life.Outlived(1356.1, noon, time.UTC) || (ItemLife{}).Outlived(1e6, noon, time.UTC) {
		t.Error("a rest is compared with the day it was made")
	}
}
