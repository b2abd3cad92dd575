package monitor

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// watchedChart is a chart that counts, with how many items came to it in the last
// volumeDays.
type watchedChart struct {
	models.ChartKey
	items int
}

// Watched lists the charts that count: each limited result that is a number, of
// each family at each place at which something was measured in the last 90 days,
// and every chart with a baseline that somebody chose, also one of weeks or lots.
func (s *Service) Watched(ctx context.Context) ([]models.ChartKey, error) {
	charts, err := s.watched(ctx, false)
	keys := make([]models.ChartKey, len(charts))
	for i, c := range charts {
		keys[i] = c.ChartKey
	}
	return keys, err
}

// watched lists them; how many points those with a chosen baseline had is only counted
// when it is asked for.
func (s *Service) watched(ctx context.Context, counted bool) ([]watchedChart, error) {
	volumes, err := s.store.ChartVolumes(ctx, s.now().AddDate(0, 0, -volumeDays))
	if err != nil {
		return nil, fmt.Errorf("volume of the charts: %w", err)
	}
	var charts []watchedChart
	listed, limits := map[models.ChartKey]bool{}, map[string][]string{}
	for _, v := range volumes {
		results, known := limits[v.FamilyID]
		if !known {
			specification, err := s.store.SpecificationInForce(ctx, v.FamilyID, nil)
			if err != nil && !errors.Is(err, models.ErrNotFound) {
				return nil, fmt.Errorf("specification of a watched family: %w", err)
			}
			results = limitedNumbers(specification)
			limits[v.FamilyID] = results
		}
		for _, result := range results {
			key := models.ChartKey{FamilyID: v.FamilyID, Place: v.Place, Result: result}
			listed[key] = true
			charts = append(charts, watchedChart{key, v.Items})
		}
	}
	chosen, err := s.store.ChartsWithBaseline(ctx)
	if err != nil {
		return nil, fmt.Errorf("charts with a baseline: %w", err)
	}
	for _, key := range chosen {
		if listed[key] {
			continue
		}
		points := 0
		if counted {
			if points, err = s.pointsOf(ctx, volumes, key); err != nil {
				return nil, err
			}
		}
		charts = append(charts, watchedChart{ChartKey: key, items: points})
	}
	return charts, nil
}

// pointsOf is how many points a chart with a chosen baseline had in the last
// volumeDays: its items, its weeks, or its lots.
func (s *Service) pointsOf(ctx context.Context, volumes []models.ChartVolume, key models.ChartKey) (int, error) {
	v, characteristic, err := s.subject(ctx, ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result})
	var invalid *models.InvalidError
	switch {
	case errors.As(err, &invalid), errors.Is(err, models.ErrNotFound):
		return 0, nil // It cannot be drawn any more, and gives no alarm.
	case err != nil:
		return 0, fmt.Errorf("volume of a chart with a baseline: %w", err)
	case v.Grouped == ByWeek:
		return volumeDays / 7, nil
	case v.Grouped != ByLot:
		return itemsOf(volumes, key), nil
	}
	r, err := s.reader(ctx, &v, characteristic)
	if err != nil {
		return 0, err
	}
	v.Query.From = s.now().AddDate(0, 0, -volumeDays)
	if err := r.readGroups(ctx); err != nil {
		return 0, err
	}
	return len(v.Points) - r.before, nil
}

// itemsOf is how many items a chart had, at its place or at all. Those of one
// product are not counted apart: the figure is then too high, and the limits a
// little wider than they need be.
func itemsOf(volumes []models.ChartVolume, key models.ChartKey) int {
	n := 0
	for _, v := range volumes {
		if v.FamilyID == key.FamilyID && (key.Place == "" || key.Place == v.Place) {
			n += v.Items
		}
	}
	return n
}

// Chartable lists the results of a kind of item that have a chart: numbers of a
// whole item, numbers of blocks by their lots, and what is ticked.
func Chartable(kind string, specification models.Specification) []string {
	var results []string
	for _, c := range specification.Characteristics {
		for _, l := range c.Results {
			if c.Form != models.Chosen && (kind == models.KindBlock || !ofOneBlock[l.Result]) {
				results = append(results, l.Result)
			}
		}
	}
	return results
}

// limitedNumbers lists the results that are judged numbers of a whole item.
func limitedNumbers(specification models.Specification) []string {
	var results []string
	for _, c := range specification.Characteristics {
		for _, l := range c.Results {
			if (c.Form == models.Measured || c.Form == models.Counted) && !ofOneBlock[l.Result] && l.HasLimit() {
				results = append(results, l.Result)
			}
		}
	}
	return results
}

// ofOneBlock are the results of each block of a pack: many to an item.
var ofOneBlock = map[string]bool{"block_ocv25": true, "block_soc": true, "block_r25": true}

// SignalsPoints is how many points of a chart are looked through for signals: of a
// longer phase the newest.
const SignalsPoints = 1000

// Signals gives what the chart of a key signals by the default rules over its
// present phase, oldest first: the smoothed mean beyond its limit, and single
// points beyond theirs, without those that a signal of the smoothed mean on the
// same side covers already. A chart that has nothing to say has none.
func (s *Service) Signals(ctx context.Context, key models.ChartKey) ([]models.ChartSignal, error) {
	v, err := s.Chart(ctx, ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result, Points: SignalsPoints})
	if err != nil {
		return nil, err
	}
	var signals []models.ChartSignal
	for _, g := range v.Signals {
		if g.Phase != len(v.Phases)-1 || g.Covered {
			continue
		}
		p := g.Raised
		if v.Grouped == ByLot { // The lot is what somebody goes and looks at.
			p.Serial = p.Group
		}
		signals = append(signals, models.ChartSignal{ChartKey: key, Rule: g.Reason.Code, Side: string(g.Side), InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial,
			MeasuredAt: p.MeasuredAt, Since: g.Began.MeasuredAt, Reason: v.Said(g), Settled: len(g.Causes) > 0})
	}
	return signals, nil
}
