package monitor

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// happened gathers what is to be shown beside the points, from the first of them
// on: what was added, what is recorded, and the baselines themselves.
func (s *Service) happened(ctx context.Context, v *ChartView, baselines []models.ChartBaseline) error {
	if len(v.Points) == 0 {
		return nil
	}
	from, to := v.Points[0].MeasuredAt, s.now().Add(time.Minute)
	if !v.Query.To.IsZero() {
		to = v.Query.To
	}
	var err error
	if v.Events, err = s.store.Happenings(ctx, v.Family.ID, v.Query.Place, from, to, mostHappenings); err != nil {
		return fmt.Errorf("what happened beside the chart of %s: %w", v.Query.Result, err)
	}
	if v.Product != nil { // A revision for another product is no matter of this one.
		v.Events = slices.DeleteFunc(v.Events, func(h models.Happening) bool {
			return h.Kind == models.HappenedSpecification && h.Detail != "" && h.Detail != v.Product.Name
		})
	}
	for _, b := range baselines {
		if !b.HoldsFrom.Before(from) && b.HoldsFrom.Before(to) {
			v.Events = append(v.Events, models.Happening{At: b.HoldsFrom, Kind: models.HappenedBaseline, Place: b.Place, Detail: b.Note, Person: b.MadeBy})
		}
	}
	slices.SortStableFunc(v.Events, func(a, b models.Happening) int { return a.At.Compare(b.At) })
	return nil
}
