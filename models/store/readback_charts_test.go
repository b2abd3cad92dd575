package store_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackCharts is the part of TestEveryRecordReadsBack that charts leave behind.
func readBackCharts(t *testing.T, h *worktest.Shop, stamp models.Stamp, inspection models.Inspection) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	wheel := h.Item[models.KindWheel]
	spec := must(s.SpecificationInForce(ctx, *wheel.FamilyID, wheel.ProductID))
	key := models.ChartKey{FamilyID: *wheel.FamilyID, ProductID: *wheel.ProductID, Place: "stand 2", Result: "lateral_tir"}
	later := moment.Add(time.Hour)
	b := models.ChartBaseline{ID: models.NewID(), FamilyID: key.FamilyID, ProductID: wheel.ProductID, Place: key.Place, Result: key.Result, SpecificationID: spec.ID, FirstInspection: inspection.ID, LastInspection: inspection.ID,
		HoldsFrom: later, Limits: `{"kind": "individuals", "centre": 0.10}`, Excluded: []models.ChartExclusion{{InspectionID: inspection.ID, Reason: "Ω"}}, Note: "n", MadeBy: by, MadeAt: moment}
	other := b
	other.ID, other.HoldsFrom, other.Excluded = models.NewID(), moment, []models.ChartExclusion{}
	all := other
	all.ID, all.ProductID = models.NewID(), nil
	for _, x := range []models.ChartBaseline{b, other, all} {
		h.Must(s.AddChartBaseline(ctx, stamp, x))
	}
	same(t, "baselines by when they hold", must(s.ChartBaselines(ctx, key)), []models.ChartBaseline{other, b})
	same(t, "of all products", must(s.ChartBaselines(ctx, all.Key())), []models.ChartBaseline{all})
	same(t, "charts with a baseline", must(s.ChartsWithBaseline(ctx)), []models.ChartKey{all.Key(), key})

	c := models.SignalCause{ID: models.NewID(), FamilyID: key.FamilyID, ProductID: wheel.ProductID, Place: key.Place, Result: key.Result, Rule: "smoothed_mean", Side: "high", InspectionID: inspection.ID, Code: "tool", Note: "Ω", Action: "x", MadeBy: by, MadeAt: moment}
	second := c
	second.ID, second.Code = models.NewID(), "gauge"
	h.Must(s.AddSignalCause(ctx, stamp, c))
	h.Must(s.AddSignalCause(ctx, stamp, second))
	same(t, "causes", must(s.SignalCauses(ctx, key)), []models.SignalCause{c, second})
	same(t, "causes of all products", len(must(s.SignalCauses(ctx, all.Key()))), 0)

	e := models.ChartEvent{ID: models.NewID(), FamilyID: wheel.FamilyID, Place: "stand 2", At: later, Words: "Ω", MadeBy: by, MadeAt: moment}
	everywhere := models.ChartEvent{ID: models.NewID(), At: later.Add(time.Minute), Words: "heater on", MadeBy: by, MadeAt: moment}
	h.Must(s.AddChartEvent(ctx, stamp, e))
	h.Must(s.AddChartEvent(ctx, stamp, everywhere))
	own, of := models.Happening{At: e.At, Kind: models.HappenedEvent, Place: "stand 2", Detail: "Ω", Person: by}, models.Happening{At: everywhere.At, Kind: models.HappenedEvent, Detail: "heater on", Person: by}
	events := func(family, place string, from, to time.Time) []models.Happening {
		var list []models.Happening
		for _, x := range must(s.Happenings(ctx, family, place, from, to, 10)) {
			if x.Kind == models.HappenedEvent {
				list = append(list, x)
			}
		}
		return list
	}
	same(t, "events at its place", events(key.FamilyID, "stand 2", later, later.Add(time.Hour)), []models.Happening{own, of})
	same(t, "events at another place", events(key.FamilyID, "stand 1", later, later.Add(time.Hour)), []models.Happening{of})
	same(t, "events of another family", events(*h.Item[models.KindPack].FamilyID, "", later, later.Add(time.Hour)), []models.Happening{of})
	same(t, "events before the end", events(key.FamilyID, "", later, later.Add(time.Minute)), []models.Happening{own})
}
