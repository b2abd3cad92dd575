package shop_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shop"
)

// fickle is a database that is away now and then.
type fickle struct {
	away  bool
	asked int
}

func (f *fickle) Settings(context.Context) (map[string]string, error) {
	if f.asked++; f.away {
		return nil, errors.New("the database is away")
	}
	return map[string]string{models.SettingTimeZone: "Asia/Kolkata"}, nil
}

func (f *fickle) ChangeSettings(context.Context, models.Stamp, func(map[string]string) ([]models.Setting, error)) error {
	return nil
}

// A zone that could not be read is not taken for UTC once it can be; one that was read
// stays while the database is away, and is not asked for with each page.
func TestTheZoneWhileTheDatabaseIsAway(t *testing.T) {
	store, now := &fickle{away: true}, time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)
	service := shop.New(store, func() time.Time { return now })
	zone := func() string { return service.Zone(t.Context()).String() }
	if zone() != "UTC" {
		t.Error("a zone that nobody knows")
	}
	store.away = false
	if got := zone(); got != "Asia/Kolkata" {
		t.Errorf("once the database answers the zone is %s", got)
	}
	store.away, now = true, now.Add(2*time.Minute)
	for range 5 {
		if got := zone(); got != "Asia/Kolkata" {
			t.Errorf("while the database is away the zone is %s", got)
		}
	}
	if store.asked != 3 {
		t.Errorf("asked %d times, want 3: once for all who want it just after a failure", store.asked)
	}
}
