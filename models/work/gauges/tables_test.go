package gauges_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

func TestGaugeTables(t *testing.T) {
	h := worktest.New(t)
	s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
	_, err := s.Add(t.Context(), h.Owner, models.Instrument{Code: "T-9", Kind: gauges.TensionGauge, Name: "Gauge", Unit: "N"})
	h.Must(err)
	points := func(all ...string) (list []models.GaugePoint) {
		for i := 0; i < len(all); i += 2 {
			list = append(list, models.GaugePoint{Reading: all[i], Tension: all[i+1]})
		}
		return list
	}
	good := gauges.NewTable{SpokeType: " 2.3 mm  plain ", Reason: "hung weights", Points: points("20", "1000", "12", "420", "25,5", "1610")}
	first, err := s.AddTable(t.Context(), h.Owner, "T-9", good)
	h.Must(err)
	if first.N != 1 || first.SpokeType != "2.3 mm plain" || first.Points[0].Reading != "12" || first.Points[2].Reading != "25.5" {
		t.Errorf("entered as %+v, want number 1, the spoke without loose spaces, points by rising reading", first)
	}
	again := good
	again.SpokeType = "2.3 MM Plain"
	second, err := s.AddTable(t.Context(), h.Owner, "T-9", again)
	h.Must(err)
	if second.SpokeType != first.SpokeType {
		t.Errorf("the same spoke in other letters is called %q beside %q", second.SpokeType, first.SpokeType)
	}
	tables, err := s.Tables(t.Context(), "T-9")
	h.Must(err)
	if second.N != 2 || len(tables) != 2 || tables[0].N != 2 {
		t.Errorf("tables %+v, want the second before the first", tables)
	}
	if got := models.GaugeTableFor(tables, first.InstrumentID, "2.3 MM plain", h.Now); got == nil || got.N != 2 {
		t.Errorf("in force: %+v, want the second", got)
	}
	if got := models.GaugeTableFor(tables, first.InstrumentID, "2.0 mm plain", h.Now); got != nil {
		t.Errorf("a table of another spoke was found: %+v", got)
	}
	for _, c := range []struct {
		name, code  string
		change      func(*gauges.NewTable)
		field, want string
	}{
		{"no spoke", "T-9", func(n *gauges.NewTable) { n.SpokeType = " " }, "spoke_type", "missing"},
		{"no reason", "T-9", func(n *gauges.NewTable) { n.Reason = "" }, "reason", "missing"},
		{"one point", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420") }, "points", "point_count"},
		{"no number", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420", "1.2.3", "500") }, "points[1].reading", "not_a_number"},
		{"a reading twice", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420", "12.0", "500") }, "points", "reading_twice"},
		{"turns back", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420", "13", "500", "14", "490") }, "points", "table_turns_back"},
		{"stands still", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420", "13", "420") }, "points", "table_turns_back"},
		{"far too much", "T-9", func(n *gauges.NewTable) { n.Points = points("12", "420", "13", "90000") }, "points", "no_table_of_this"},
		{"a dial gauge", "D-1", func(*gauges.NewTable) {}, "instrument", "no_table_for_kind"},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := good
			c.change(&bad)
			_, err := s.AddTable(t.Context(), h.Owner, c.code, bad)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Field != c.field || invalid.Problems[0].Code != c.want {
				t.Errorf("%v, want %s at %s", err, c.want, c.field)
			}
		})
	}
	if tables, _ := s.Tables(t.Context(), "T-9"); len(tables) != 2 {
		t.Errorf("%d tables after refusals, want 2", len(tables))
	}
	if _, err := s.AddTable(t.Context(), h.Owner, "T-99", good); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("an unknown gauge: %v", err)
	}
}
