package app

import (
	"context"
	"errors"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/monitor"
)

// wholeFamilies watches each numeric result of a family over all its stands.
type wholeFamilies struct {
	store  *store.Store
	charts *monitor.Service
}

// Watched implements watch.Charts.
func (w wholeFamilies) Watched(ctx context.Context) ([]models.ChartKey, error) {
	families, err := w.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	var keys []models.ChartKey
	for _, f := range families {
		spec, err := w.store.SpecificationInForce(ctx, f.ID, nil)
		if errors.Is(err, models.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, c := range spec.Characteristics {
			for _, l := range c.Results {
				if c.Form != models.Ticked && c.Form != models.Chosen {
					keys = append(keys, models.ChartKey{FamilyID: f.ID, Result: l.Result})
				}
			}
		}
	}
	return keys, nil
}

// Signals implements watch.Charts.
func (w wholeFamilies) Signals(ctx context.Context, k models.ChartKey) ([]models.ChartSignal, error) {
	v, err := w.charts.Chart(ctx, monitor.ChartQuery{FamilyID: k.FamilyID, ProductID: k.ProductID, Place: k.Place, Result: k.Result})
	if err != nil {
		return nil, err
	}
	var list []models.ChartSignal
	for _, s := range v.Signals {
		if s.Panel != "values" {
			continue
		}
		p := v.Points[s.Point]
		list = append(list, models.ChartSignal{ChartKey: k, Rule: s.Reason.Code, Side: string(s.Side), InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial,
			MeasuredAt: p.MeasuredAt, Since: p.MeasuredAt, Reason: s.Reason})
	}
	return list, nil
}
