package zones

import (
	"io/fs"
	"testing"
	"time"
)

// The offsets are those of the tz database's files europe, asia, australasia and
// southamerica, release 2025c: Berlin in summer and winter, Lord Howe's half hour of
// summer time, Kathmandu's quarter, Kiritimati a day ahead of Hawaii, Bogota without
// summer time.
func TestTheOwnTable(t *testing.T) {
	for _, row := range []struct {
		name    string
		at      time.Time
		minutes int
	}{
		{"Europe/Berlin", time.Date(2026, 3, 29, 0, 59, 59, 0, time.UTC), 60},
		{"Europe/Berlin", time.Date(2026, 3, 29, 1, 0, 0, 0, time.UTC), 120},
		{"Europe/Berlin", time.Date(2045, 7, 1, 12, 0, 0, 0, time.UTC), 120},
		{"Australia/Lord_Howe", time.Date(2026, 1, 15, 0, 0, 0, 0, time.UTC), 660},
		{"Australia/Lord_Howe", time.Date(2026, 7, 15, 0, 0, 0, 0, time.UTC), 630},
		{"Asia/Kathmandu", time.Date(2026, 7, 15, 0, 0, 0, 0, time.UTC), 345},
		{"Pacific/Kiritimati", time.Date(2026, 7, 15, 0, 0, 0, 0, time.UTC), 840},
		{"Pacific/Honolulu", time.Date(2026, 7, 15, 0, 0, 0, 0, time.UTC), -600},
		{"America/Bogota", time.Date(2026, 12, 15, 0, 0, 0, 0, time.UTC), -300},
	} {
		zone, err := load(row.name)
		if err != nil {
			t.Errorf("%s: %v", row.name, err)
			continue
		}
		if _, offset := row.at.In(zone).Zone(); offset != row.minutes*60 || zone.String() != row.name {
			t.Errorf("%s at %v lies %d minutes from UTC, want %d", zone, row.at, offset/60, row.minutes)
		}
	}
}

// The tz database has some 600 names, links among them.
func TestEveryZoneOfTheTableLoads(t *testing.T) {
	files, err := table()
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	err = fs.WalkDir(files, ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		seen++
		if _, err := load(name); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		return nil
	})
	if err != nil || seen < 500 {
		t.Errorf("%d zones, %v", seen, err)
	}
}

func TestNamesThatAreNoZone(t *testing.T) {
	for _, name := range []string{"Europe/Brackenlow", "../etc/passwd", "/etc/localtime", "Europe", "Europe/", "europe\\berlin", "."} {
		if zone, err := Load(name); err == nil {
			t.Errorf("%q is %v", name, zone)
		}
	}
	if zone, err := Load("UTC"); err != nil || zone != time.UTC {
		t.Errorf("UTC is %v, %v", zone, err)
	}
}
