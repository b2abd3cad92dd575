package capture_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

// points are those of testdata/cases/wheels.json, s-table-1.
var points = []models.GaugePoint{{Reading: "12", Tension: "420"}, {Reading: "15", Tension: "610"}, {Reading: "18", Tension: "830"}, {Reading: "20", Tension: "1000"},
	{Reading: "22", Tension: "1195"}, {Reading: "24", Tension: "1420"}, {Reading: "25.5", Tension: "1610"}}

// inDivisions is a wheel whose tensions were read in divisions.
func inDivisions(h *worktest.Shop, a, b []string) models.Submission {
	sub := h.Extremes()
	for i := range sub.Sets {
		switch sub.Sets[i].Characteristic {
		case "tension_a":
			sub.Sets[i].Unit, sub.Sets[i].Values = "div", a
		case "tension_b":
			sub.Sets[i].Unit, sub.Sets[i].Values = "div", b
		}
	}
	return sub
}

// Divisions of a gauge become newtons by the table of that gauge for the
// product's spoke: 20 is 1000 N on the point, 21.25 is 1118.6608 N between two.
func TestTensionInDivisions(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		points := slices.Clone(points)
		tables := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		inDivisions := func() models.Submission {
			return inDivisions(h, []string{"20", "21,25", "20 div"}, []string{"20", "20", "20"})
		}
		refused := func(field, code string, sub models.Submission) {
			t.Helper()
			_, err := h.Record(sub)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Field != field || invalid.Problems[0].Code != code {
				t.Errorf("%v, want %s at %s", err, code, field)
			}
		}
		refused("sets[3].unit", "spoke_type_unknown", inDivisions())
		h.SpokeType("2.3 mm plain")
		refused("sets[3].instrument", "no_gauge_table", inDivisions())
		_, err := tables.AddTable(t.Context(), h.Owner, "T-1", gauges.NewTable{SpokeType: "2.0 mm plain", Points: points, Reason: "another wire"})
		h.Must(err)
		refused("sets[3].instrument", "no_gauge_table", inDivisions())
		_, err = tables.AddTable(t.Context(), h.Owner, "T-1", gauges.NewTable{SpokeType: "2.3 mm plain", Points: points, Reason: "hung weights"})
		h.Must(err)
		h.Now = h.Now.Add(time.Hour)
		got := h.MustRecord(inDivisions())
		view, err := h.Store.InspectionView(t.Context(), got.Inspection.ID)
		h.Must(err)
		for _, set := range view.Sets {
			if set.Code != "tension_a" {
				continue
			}
			if set.Unit != "div" || set.Values[1] != "21,25" || len(set.Converted) != 3 || set.Converted[0] != "1000.0" || set.Converted[1] != "1118.7" {
				t.Errorf("stored %s %v as %v N, want what was typed, and 1000.0 and 1118.7", set.Unit, set.Values, set.Converted)
			}
			if len(set.Remarks) != 1 || set.Remarks[0].Code != "by_gauge_table" || set.Remarks[0].Values["n"] != "1" {
				t.Errorf("remarks %+v, want the table that was used", set.Remarks)
			}
		}
		// (1000 + 1118.7 + 1000)/3, the tighter side.
		for _, r := range got.Results {
			if r.Code == "tension_mean_tight" && r.Value != "1039.57" {
				t.Errorf("mean %s N, want 1039.57", r.Value)
			}
		}
		// A later table changes nothing that was measured.
		late := inDivisions()
		h.Now = h.Now.Add(time.Hour)
		points[3].Tension = "1010"
		_, err = tables.AddTable(t.Context(), h.Owner, "T-1", gauges.NewTable{SpokeType: "2.3 mm plain", Points: points, Reason: "checked again"})
		h.Must(err)
		again, err := h.Store.InspectionView(t.Context(), got.Inspection.ID)
		h.Must(err)
		for i, set := range again.Sets {
			if set.Code == "tension_a" && set.Converted[0] != view.Sets[i].Converted[0] {
				t.Errorf("a new table changed what was measured: %v", set.Converted)
			}
		}
		if set := h.MustRecord(late); valueOf(set.Results, "tension_lowest") != "1000.0" {
			t.Errorf("lowest %s N of what was read before it and sent after, want 1000.0", valueOf(set.Results, "tension_lowest"))
		}
		h.Now = h.Now.Add(time.Hour)
		if set := h.MustRecord(inDivisions()); set.Results == nil || valueOf(set.Results, "tension_lowest") != "1010.0" {
			t.Errorf("lowest %s N by the new table, want 1010.0", valueOf(set.Results, "tension_lowest"))
		}
	})
}

// What was read before there was a table goes by the first one, and says so. The moment
// is that of the reading by the server's clock, not by the tablet's.
func TestDivisionsGoByTheTableOfTheirTime(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		h.SpokeType("2.3 mm plain")
		tables := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		began := h.Now
		for _, tension := range []string{"500", "700", "900"} { // At 0, 2 and 4 hours.
			_, err := tables.AddTable(t.Context(), h.Owner, "T-1", gauges.NewTable{SpokeType: "2.3 mm plain", Reason: "hung weights", Points: []models.GaugePoint{{Reading: "20", Tension: tension}, {Reading: "30", Tension: "1500"}}})
			h.Must(err)
			h.Now = h.Now.Add(2 * time.Hour)
		}
		for _, c := range []struct {
			name   string
			read   time.Duration
			ahead  time.Duration // of the tablet's clock
			table  string
			lowest string
			before bool
		}{
			{"an hour before the first", -time.Hour, 0, "1", "500.0", true},
			{"just before the second", 2*time.Hour - time.Second, 0, "1", "500.0", false},
			{"as the second was entered", 2 * time.Hour, 0, "2", "700.0", false},
			{"an hour on", 3 * time.Hour, 0, "2", "700.0", false},
			{"by a clock that is half an hour ahead", 105 * time.Minute, 30 * time.Minute, "1", "500.0", false},
			{"by a clock that is half an hour behind", 135 * time.Minute, -30 * time.Minute, "2", "700.0", false},
			{"after the third", 5 * time.Hour, 0, "3", "900.0", false},
		} {
			sub := inDivisions(h, []string{"20", "20", "20"}, []string{"20", "20", "20"})
			sub.Serial = *h.AnotherWheel().Serial
			sub.FinishedAt = began.Add(c.read + c.ahead)
			sub.StartedAt = sub.FinishedAt.Add(-time.Minute)
			got, err := h.Capture.Record(t.Context(), h.Operator, sub, h.Now.Add(c.ahead))
			h.Must(err)
			for _, set := range got.Sets {
				if set.Code != "tension_a" {
					continue
				}
				said := map[string]models.Remark{}
				for _, r := range set.Remarks {
					said[r.Code] = r
				}
				if _, before := said["read_before_table"]; said["by_gauge_table"].Values["n"] != c.table || before != c.before || valueOf(got.Results, "tension_lowest") != c.lowest {
					t.Errorf("%s: lowest %s N, %+v; want %s N by table %s", c.name, valueOf(got.Results, "tension_lowest"), set.Remarks, c.lowest, c.table)
				}
			}
		}
	})
}

// Beyond the table of a gauge there is no tension: the divisions are kept as typed,
// no newtons stand beside them, nothing is computed from that side and the inspection
// is incomplete, even where what is left would pass or fail. The end of the table is
// within it.
func TestDivisionsBeyondTheTableAreKept(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		h.SpokeType("2.3 mm plain")
		tables := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		_, err := tables.AddTable(t.Context(), h.Owner, "T-1", gauges.NewTable{SpokeType: "2.3 mm plain", Points: points, Reason: "hung weights"})
		h.Must(err)
		good := []string{"20", "20", "20"}
		for name, c := range map[string]struct {
			a, b         []string
			keptA, keptB bool
			has, hasNot  string
			verdict      string
		}{
			"above":         {a: []string{"20", "25,6", "20"}, b: good, keptA: true, has: "side_tension_dev_pct_b", hasNot: "side_tension_dev_pct_a", verdict: models.VerdictIncomplete},
			"below":         {a: good, b: []string{"11.99", "20", "20"}, keptB: true, has: "side_tension_dev_pct_a", hasNot: "tension_lowest", verdict: models.VerdictIncomplete},
			"both":          {a: []string{"26", "26", "26"}, b: []string{"26", "26", "26"}, keptA: true, keptB: true, has: "lateral_tir", hasNot: "tension_mean_tight", verdict: models.VerdictIncomplete},
			"at its end":    {a: []string{"12", "20", "25.5"}, b: good, has: "tension_lowest", verdict: models.VerdictFail},
			"all within it": {a: good, b: good, has: "tension_mean_tight", verdict: models.VerdictPass},
		} {
			t.Run(name, func(t *testing.T) {
				sub := inDivisions(h, c.a, c.b)
				sub.Serial = *h.AnotherWheel().Serial
				got := h.MustRecord(sub)
				if got.Inspection.Verdict != c.verdict || remarked(got.Inspection, models.BeyondTable) != (c.keptA || c.keptB) {
					t.Errorf("%s, %+v", got.Inspection.Verdict, got.Inspection.Remarks)
				}
				computed := func(code string) bool {
					return slices.ContainsFunc(got.Results, func(r models.Result) bool { return r.Code == code })
				}
				if !computed(c.has) || computed(c.hasNot) {
					t.Errorf("want %s and no %s", c.has, c.hasNot)
				}
				view, err := h.Store.InspectionView(t.Context(), got.Inspection.ID)
				h.Must(err)
				for _, set := range view.Sets {
					want, kept := c.a, c.keptA
					switch set.Code {
					case "tension_a":
					case "tension_b":
						want, kept = c.b, c.keptB
					default:
						continue
					}
					values, unit := set.Readable()
					if set.Unit != "div" || !slices.Equal(set.Values, want) || set.Meaningless() != kept || (unit == "div") != kept || kept && !slices.Equal(values, want) {
						t.Errorf("%s: %v %s, readable %v %s, remarks %+v", set.Code, set.Values, set.Unit, values, unit, set.Remarks)
					}
				}
				// Judged again as if nothing had been wrong it comes to the same.
				again, err := h.Capture.Rejudge(t.Context(), []models.InspectionView{view}, func(_ models.ReadingSet, _ measure.Unit, v measure.Decimal) (measure.Decimal, error) { return v, nil })
				h.Must(err)
				if judged := again[got.Inspection.ID]; judged.Err != nil || len(judged.Results) != len(got.Results) {
					t.Errorf("judged again: %+v", judged)
				}
			})
		}
	})
}
