package pack

import (
	"errors"
	"testing"
	"time"
)

// ISO 8601: week 1 is the week of the year's first Thursday; 2026 has 53 weeks,
// 2025 has 52, and 2027-W01 begins on 4 January (calendar of 2026 and 2027).
func TestMadeOn(t *testing.T) {
	for _, c := range []struct{ form, code, want string }{
		{"iso", "2026-05-12", "2026-05-12"}, {"iso", "2026-05", "2026-05-01"}, {"iso", "2026-w20", "2026-05-11"}, {"iso", "2026-W01", "2025-12-29"}, {"iso", "2026-W53", "2026-12-28"},
		{"iso", "2027-W01", "2027-01-04"}, {"yyww", "2620", "2026-05-11"}, {"yymm", " 2605 ", "2026-05-01"},
		{"iso", "2025-W53", ""}, {"iso", "2026-02-30", ""}, {"iso", "2605", ""}, {"iso", "2026-W0", ""}, {"yyww", "2600", ""}, {"yyww", "2654", ""}, {"yyww", "262", ""}, {"yyww", "-262", ""},
		{"yymm", "2613", ""}, {"yymm", "2600", ""}, {"yymm", "26o5", ""}, {"iso", "", ""}, {"roman", "MMXXVI", ""},
	} {
		got, err := MadeOn(c.code, c.form)
		if c.want == "" {
			if !errors.Is(err, ErrInput) {
				t.Errorf("%s %q: %v, %v; want it refused", c.form, c.code, got, err)
			}
			continue
		}
		if err != nil || got.Format(time.DateOnly) != c.want {
			t.Errorf("%s %q: %v, %v; want %s", c.form, c.code, got, err, c.want)
		}
	}
}

// Linear between the rows by hand: 13.30 V lies halfway from 13.20 to 13.40.
func TestSoCFromATableOfItsOwn(t *testing.T) {
	table := []ChargeRow{{12.8, 5}, {13.2, 30}, {13.4, 90}, {13.6, 100}}
	for volts, want := range map[float64]float64{12: 5, 12.8: 5, 13.3: 60, 13.4: 90, 13.5: 95, 14: 100} {
		got, err := SoCFrom(table, volts)
		if err != nil || got < want-1e-9 || got > want+1e-9 {
			t.Errorf("%g V: %g, %v; want %g", volts, got, err, want)
		}
	}
	for name, bad := range map[string][]ChargeRow{"one row": table[:1], "falls": {{13, 50}, {12, 60}}, "charge stands still": {{12, 50}, {13, 50}}, "over full": {{12, 50}, {13, 101}}, "no volts": {{0, 0}, {13, 100}}} {
		if _, err := SoCFrom(bad, 13); !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
