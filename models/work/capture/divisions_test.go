package capture_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

// Divisions of a gauge become newtons by the table of that gauge for the
// product's spoke. The points are those of testdata/cases/wheels.json,
// s-table-1: 20 is 1000 N on the point, 21.25 is 1118.6608 N between two.
func TestTensionInDivisions(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		points := []models.GaugePoint{{Reading: "12", Tension: "420"}, {Reading: "15", Tension: "610"}, {Reading: "18", Tension: "830"}, {Reading: "20", Tension: "1000"},
			{Reading: "22", Tension: "1195"}, {Reading: "24", Tension: "1420"}, {Reading: "25.5", Tension: "1610"}}
		tables := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		inDivisions := func() models.Submission {
			sub := h.Extremes()
			for i := range sub.Sets {
				switch sub.Sets[i].Characteristic {
				case "tension_a":
					sub.Sets[i].Unit, sub.Sets[i].Values = "div", []string{"20", "21,25", "20 div"}
				case "tension_b":
					sub.Sets[i].Unit, sub.Sets[i].Values = "div", []string{"20", "20", "20"}
				}
			}
			return sub
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
		beyond := inDivisions()
		beyond.Sets[3].Values[1] = "25.6"
		refused("sets[3].values[1]", "outside_gauge_table", beyond)

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
		if set := h.MustRecord(inDivisions()); set.Results == nil || valueOf(set.Results, "tension_lowest") != "1010.0" {
			t.Errorf("lowest %s N by the new table, want 1010.0", valueOf(set.Results, "tension_lowest"))
		}
	})
}
