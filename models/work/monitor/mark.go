package monitor

import (
	"context"
	"fmt"
	"strings"

	"tracewright/models"
)

// Mark changes when a chart does: with any of the points that it shows unless more
// are asked for, and with a cause or a baseline. It is cheap, for whoever asks every
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
	return strings.Join(parts, " "), nil
}
