package pack

import (
	"errors"
	"math"
	"testing"
	"time"
)

// day reads a date.
func day(t *testing.T, text string) time.Time {
	t.Helper()
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A published shelf table: 6 months at 20 degrees, 4 at 30, 2 at 40. The rule of
// six months at 25 degrees, half for each 10 K above, stays within a quarter month.
func TestShelfTable(t *testing.T) {
	for temp, months := range map[float64]float64{20: 6, 30: 4, 40: 2} {
		s := DefaultShelf(100, temp)
		s.S25 = 0 // The calendar alone.
		r, err := RefreshDue(day(t, "2026-09-01"), s)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "months on the shelf", float64(r.DaysByCalendar)/DaysPerMonth, months, 0.25)
		if r.GovernedBy != GovernedByCalendar {
			t.Errorf("at %g degrees governed by %s", temp, r.GovernedBy)
		}
	}
}

func TestRefreshByCharge(t *testing.T) {
	for _, row := range []struct {
		name     string
		soc0     float64
		days     int
		due, why string
	}{
		{"at the minimum: at once", 70, 0, "2026-02-27", GovernedBySoC},
		{"below it: at once", 60, 0, "2026-02-27", GovernedBySoC},
		{"3 % above: one month of 30.4375 days", 73, 30, "2026-03-29", GovernedBySoC},
		{"6 % above: two months", 76, 60, "2026-04-28", GovernedBySoC},
		{"full: the calendar comes first", 100, 304, "2026-08-28", GovernedByCalendar},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, err := RefreshDue(day(t, "2026-02-27"), DefaultShelf(row.soc0, 25))
			if err != nil {
				t.Fatal(err)
			}
			if r.DaysBySoC != row.days || r.Due.Format(time.DateOnly) != row.due || r.GovernedBy != row.why {
				t.Errorf("got %d days, %s by %s, want %d, %s by %s", r.DaysBySoC, r.Due.Format(time.DateOnly), r.GovernedBy, row.days, row.due, row.why)
			}
		})
	}
}

// Days are counted on the calendar: a clock change in between moves nothing.
func TestRefreshIgnoresZones(t *testing.T) {
	zone := time.FixedZone("test", 13*3600)
	late := time.Date(2026, 2, 27, 23, 30, 0, 0, zone)
	r, err := RefreshDue(late, DefaultShelf(73, 25))
	if err != nil || r.Due.Format(time.DateOnly) != "2026-03-29" {
		t.Errorf("got %v, %v", r.Due, err)
	}
}

// Doubling per 10 K, and a month of stays adding up to what they are.
func TestSelfDischargeAndStays(t *testing.T) {
	for temp, want := range map[float64]float64{5: 0.75, 15: 1.5, 25: 3, 35: 6, 45: 12} {
		got, err := SelfDischargeRate(3, temp)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "rate", got, want, 1e-12)
	}
	loss, left, err := Stored(90, 3, []Segment{{25, DaysPerMonth}, {35, DaysPerMonth / 2}, {15, 2 * DaysPerMonth}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "loss", loss, 3+3+3, 1e-12)
	near(t, "left", left, 81, 1e-12)
	if loss, left, err := Stored(5, 3, []Segment{{25, 3 * DaysPerMonth}}); err != nil || left != 0 || math.Abs(loss-9) > 1e-12 {
		t.Errorf("more lost than there was: loss %g, left %g, %v", loss, left, err)
	}
	if loss, left, err := Stored(80, 3, nil); err != nil || loss != 0 || left != 80 {
		t.Errorf("no stay: %g, %g, %v", loss, left, err)
	}
}

func TestStorageRefuses(t *testing.T) {
	today := day(t, "2026-09-01")
	shelf := func(change func(*Shelf)) error {
		s := DefaultShelf(90, 20)
		change(&s)
		_, err := RefreshDue(today, s)
		return err
	}
	stored := func(soc, s25 float64, stay Segment) error {
		_, _, err := Stored(soc, s25, []Segment{stay})
		return err
	}
	undated := func() error { _, err := RefreshDue(time.Time{}, DefaultShelf(90, 20)); return err }
	for name, err := range map[string]error{
		"charge over 100":      shelf(func(s *Shelf) { s.SoC0Pct = 101 }),
		"minimum below 0":      shelf(func(s *Shelf) { s.SoCMinPct = -1 }),
		"negative rate":        shelf(func(s *Shelf) { s.S25 = -3 }),
		"77 degrees":           shelf(func(s *Shelf) { s.TempC = 77 }),
		"base at 77 degrees":   shelf(func(s *Shelf) { s.BaseTempC = 77 }),
		"no interval":          shelf(func(s *Shelf) { s.BaseMonths = 0 }),
		"no cap":               shelf(func(s *Shelf) { s.CapMonths = 0 }),
		"no month":             shelf(func(s *Shelf) { s.MonthDays = 0 }),
		"rate not a number":    shelf(func(s *Shelf) { s.S25 = math.NaN() }),
		"no date":              undated(),
		"stay of minus a day":  stored(90, 3, Segment{20, -1}),
		"stay at 77 degrees":   stored(90, 3, Segment{77, 1}),
		"stored, negative":     stored(-1, 3, Segment{20, 1}),
		"stored, rate of 101":  stored(90, 101, Segment{20, 1}),
		"rate at no number":    second(SelfDischargeRate(3, math.NaN())),
		"rate of minus a half": second(SelfDischargeRate(-0.5, 20)),
	} {
		if !errors.Is(err, ErrInput) {
			t.Errorf("%s: got %v, want ErrInput", name, err)
		}
	}
}

// Without self-discharge, or with an interval beyond reason, there is still a date.
func TestRefreshOfWhatKeepsForever(t *testing.T) {
	s := DefaultShelf(100, 25)
	s.S25, s.BaseMonths, s.CapMonths = 0, 1e12, 1e12
	r, err := RefreshDue(day(t, "2026-09-01"), s)
	if err != nil || r.Due.Year() != 2126 {
		t.Errorf("got %v, %v, want a date in a hundred years", r.Due, err)
	}
}
