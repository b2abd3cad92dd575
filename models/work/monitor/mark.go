package monitor

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// Mark changes when a chart does: with any of the points that it shows unless more
// are asked for, with a cause or a baseline, and with what happened beside them. It is cheap, for whoever asks every
// few seconds. The newest point alone would not do: one that a tablet sends late, or
// that comes after one of a clock that was ahead, is not the newest. A point that was
// corrected before the usual ones does not change it.
func (s *Service) Mark(ctx context.Context, key models.ChartKey) (string, error) {
	v, c, err := s.subject(ctx, ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result})
	if err != nil {
		return "", err
	}
	r, err := s.reader(ctx, &v, c)
	if err != nil {
		return "", err
	}
	newest, err := r.series(ctx, func(q *models.SeriesQuery) { q.Limit = UsualPoints })
	if err != nil {
		return "", err
	}
	parts := []string{v.Specification.ID}
	for _, p := range newest {
		parts = append(parts, p.InspectionID, p.Value)
	}
	causes, err := s.store.SignalCauses(ctx, key)
	if err != nil {
		return "", fmt.Errorf("causes of signals of %s: %w", key.Result, err)
	}
	for _, c := range causes[max(0, len(causes)-1):] {
		parts = append(parts, c.ID)
	}
	baselines, err := s.store.ChartBaselines(ctx, key)
	if err != nil {
		return "", fmt.Errorf("baselines of %s: %w", key.Result, err)
	}
	for _, b := range baselines {
		parts = append(parts, b.ID)
	}
	if len(newest) > 0 {
		first := slices.MinFunc(newest, func(a, b models.SeriesPoint) int { return a.MeasuredAt.Compare(b.MeasuredAt) })
		happenings, err := s.store.Happenings(ctx, v.Family.ID, key.Place, first.MeasuredAt, s.now().Add(time.Minute), mostHappenings)
		if err != nil {
			return "", fmt.Errorf("what happened beside the chart of %s: %w", key.Result, err)
		}
		for _, h := range happenings {
			parts = append(parts, h.Kind, models.TimeText(h.At), h.Name, h.Detail)
		}
	}
	return strings.Join(parts, " "), nil
}
