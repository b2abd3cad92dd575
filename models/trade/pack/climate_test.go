package pack

import (
	"math"
	"testing"
	"time"
)

func climate(t *testing.T, history ...Warmth) *Climate {
	t.Helper()
	c, err := NewClimate(history, DefaultAge())
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// The charge after a history of stays, the shared cases pk-hist-1 and
// pk-hist-2: once as temperatures of one place, once as places that it stood in.
func TestOutlookAgreesWithTheHistoryOfStorage(t *testing.T) {
	for _, row := range []struct {
		name      string
		soc0, s25 float64
		stays     []Segment
		want      float64
	}{
		{"pk-hist-1", 100, 3, []Segment{{18, 40}, {28, 50}, {35, 12}}, 89.1404},
		{"pk-hist-2", 98, 2.5, []Segment{{5, 60}, {22, 75}}, 91.7644},
	} {
		t.Run(row.name, func(t *testing.T) {
			start := day(t, "2026-02-27")
			now := start
			var place []Warmth
			var stays Stays
			for _, s := range row.stays {
				place = append(place, Warmth{now, s.TempC})
				stays = append(stays, Stay{climate(t, Warmth{start, s.TempC}), now})
				now = now.Add(time.Duration(s.Days * 24 * float64(time.Hour)))
			}
			for what, s := range map[string]Stays{"one place": {{climate(t, place...), start}}, "places": stays} {
				o, err := Standing{Measured: start, SoC0Pct: row.soc0, SoCMinPct: 70, S25: row.s25, MarginPct: math.NaN(), Stays: s}.Outlook(now)
				if err != nil {
					t.Fatal(err)
				}
				near(t, what, o.SoCPct, row.want, 0.002)
				if o.DaysReady != -1 {
					t.Errorf("%s: ready for %d days without a limit", what, o.DaysReady)
				}
			}
		})
	}
}

// At one temperature both dates are those of the shared cases pk-due-1 to
// pk-due-5.
func TestOutlookAgreesWithRefreshDue(t *testing.T) {
	for _, row := range []struct {
		name            string
		soc0, temp, s25 float64
		bySoC, byDays   int
		why             string
	}{
		{"pk-due-1", 100, 25, 3, 304, 182, GovernedByCalendar},
		{"pk-due-2", 100, 35, 3, 152, 91, GovernedByCalendar},
		{"pk-due-3", 85, 20, 3, 215, 182, GovernedByCalendar},
		{"pk-due-4", 96, 30, 4, 139, 129, GovernedByCalendar},
		{"pk-due-5", 66.667, 25, 3, 0, 182, GovernedBySoC},
		{"both on one day", 100, 25, 5, 182, 182, GovernedBySoC}, // 30 % at 5 % a month are six months too
	} {
		t.Run(row.name, func(t *testing.T) {
			start := day(t, "2026-09-01")
			for name, first := range map[string]time.Time{"known before": start.AddDate(0, -2, 0), "known after": start.AddDate(0, 0, 9)} {
				s := Standing{Measured: start, SoC0Pct: row.soc0, SoCMinPct: 70, S25: row.s25, MarginPct: math.NaN(), Stays: Stays{{climate(t, Warmth{first, row.temp}), first}}}
				o, err := s.Outlook(start)
				if err != nil {
					t.Fatal(err)
				}
				if o.DaysBySoC != row.bySoC || o.DaysByCalendar != row.byDays || o.GovernedBy != row.why {
					t.Errorf("%s: %d and %d days by %s, want %d and %d by %s", name, o.DaysBySoC, o.DaysByCalendar, o.GovernedBy, row.bySoC, row.byDays, row.why)
				}
			}
		})
	}
}

// Half the interval at 25 degrees, then at 35, where what is left goes twice as
// fast: 91.3125 days and then 45.65625, 136 whole ones; and 3 % of charge are a
// month, the second half of it in half the time: 22 whole days.
func TestWarmerWeatherBringsTheDatesNearer(t *testing.T) {
	start := day(t, "2026-03-01")
	half := start.Add(time.Duration(91.3125 * 24 * float64(time.Hour)))
	s := Standing{Measured: start, SoC0Pct: 100, SoCMinPct: 70, S25: 3, MarginPct: 3, Stays: Stays{{climate(t, Warmth{start, 25}, Warmth{half, 35}), start}}}
	o, err := s.Outlook(start)
	if err != nil || o.DaysByCalendar != 136 || o.DaysReady != 30 {
		t.Errorf("%+v, %v", o, err)
	}
	moved := Stays{{climate(t, Warmth{start, 25}), start}, {climate(t, Warmth{start, 35}), half}}
	s.Stays = moved
	if o, err = s.Outlook(start); err != nil || o.DaysByCalendar != 136 {
		t.Errorf("moved to a warmer place: %+v, %v", o, err)
	}
	s.Stays = Stays{{climate(t, Warmth{start, 25}), start}, {climate(t, Warmth{start, 35}), start.Add(time.Duration(15.21875 * 24 * float64(time.Hour)))}}
	if o, err = s.Outlook(start); err != nil || o.DaysReady != 22 {
		t.Errorf("moved in the middle of the month: %+v, %v", o, err)
	}
}

// The slope of the absorbed glass mat table: 0.20 V over the top 25 % is 8 mV a
// per cent, 0.30 V over the next are 12. 0.10 V above a limit of 12.70 V are
// 12.5 %.
func TestMarginAboveTheShippingLimit(t *testing.T) {
	for _, row := range []struct {
		name       string
		ocv, limit float64
		cells      int
		want       float64
	}{
		{"top segment", 12.80, 12.70, 6, 12.5},
		{"above the table", 12.90, 12.70, 6, 25},
		{"lower segment", 12.60, 12.48, 6, 10},
		{"half a block", 6.40, 6.35, 3, 12.5},
		{"at the limit", 12.70, 12.70, 6, 0},
		{"below it", 12.5, 12.70, 6, 0},
	} {
		got, err := ShipMargin(AGM, row.ocv, row.limit, row.cells)
		if err != nil {
			t.Fatal(err)
		}
		near(t, row.name, got, row.want, 1e-9)
	}
	if _, err := ShipMargin(LiFePO4, 3.3, 3.2, 1); err == nil {
		t.Error("lithium has a slope without a table")
	}
}

func TestClimateRefuses(t *testing.T) {
	at := day(t, "2026-03-01")
	for name, history := range map[string][]Warmth{
		"none":         nil,
		"no number":    {{at, math.NaN()}},
		"77":           {{at, 77}},
		"no moment":    {{time.Time{}, 20}},
		"out of order": {{at, 20}, {at.Add(-time.Hour), 20}},
	} {
		if _, err := NewClimate(history, DefaultAge()); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
	if _, err := (Standing{Measured: at, SoC0Pct: 90, SoCMinPct: 70, S25: 3}).Outlook(at); err == nil {
		t.Error("no climate is taken")
	}
}
