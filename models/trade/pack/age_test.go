package pack

import (
	"errors"
	"slices"
	"testing"
	"time"
)

// Limits of common practice: 365 days, and 182 for the refresh charge.
func TestBlockAge(t *testing.T) {
	limits := AgeLimits{MaxAgeDays: 365, RefreshDays: 182}
	for _, row := range []struct {
		name, made, charged, today string
		age, since                 int
		reasons                    []string
	}{
		{"365 days themselves pass", "2025-11-25", "2026-09-01", "2026-11-25", 365, 85, nil},
		{"a day more does not", "2025-11-24", "2026-09-01", "2026-11-25", 366, 85, []string{TooOldByDateCode}},
		{"182 days since the charge pass", "2026-05-01", "2026-05-27", "2026-11-25", 208, 182, nil},
		{"a day more does not", "2026-05-01", "2026-05-26", "2026-11-25", 208, 183, []string{RefreshOverdue}},
		{"charged on the day it was made", "2026-11-01", "2026-11-01", "2026-11-25", 24, 24, nil},
		{"charged the day before", "2026-11-02", "2026-11-01", "2026-11-25", 23, 24, []string{DateImpossible}},
		{"charged tomorrow", "2026-11-01", "2026-11-26", "2026-11-25", 24, -1, []string{DateImpossible}},
		{"made tomorrow", "2026-11-26", "2026-11-26", "2026-11-25", -1, -1, []string{DateImpossible}},
		{"over a leap day", "2024-02-28", "2024-02-28", "2024-03-01", 2, 2, nil},
		{"a year written short", "0026-11-25", "2026-11-25", "2026-11-25", 730485, 0, []string{TooOldByDateCode}},
		{"all at once, in order", "2025-01-01", "2024-12-31", "2026-11-25", 693, 694, []string{TooOldByDateCode, RefreshOverdue, DateImpossible}},
	} {
		t.Run(row.name, func(t *testing.T) {
			a, err := BlockAge(Dates{day(t, row.made), day(t, row.charged), day(t, row.today)}, limits)
			if err != nil {
				t.Fatal(err)
			}
			if a.AgeDays != row.age || a.DaysSinceCharge != row.since || !slices.Equal(a.Reasons, row.reasons) {
				t.Errorf("got %+v, want %d, %d, %v", a, row.age, row.since, row.reasons)
			}
		})
	}
}

func TestBlockAgeRefuses(t *testing.T) {
	good := Dates{day(t, "2026-03-10"), day(t, "2026-09-01"), day(t, "2026-11-25")}
	for name, err := range map[string]error{
		"no date code":      second(BlockAge(Dates{time.Time{}, good.LastCharge, good.Today}, AgeLimits{365, 182})),
		"no charge":         second(BlockAge(Dates{good.Made, time.Time{}, good.Today}, AgeLimits{365, 182})),
		"no today":          second(BlockAge(Dates{good.Made, good.LastCharge, time.Time{}}, AgeLimits{365, 182})),
		"negative age":      second(BlockAge(good, AgeLimits{-1, 182})),
		"negative interval": second(BlockAge(good, AgeLimits{365, -1})),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}
