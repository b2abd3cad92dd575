package store

import (
	"context"
	"slices"
	"strings"

	"tracewright/models"
)

// Series gives the newest values of one result, oldest first, without those of
// inspections that another one replaced.
func (s *Store) Series(ctx context.Context, q models.SeriesQuery) ([]models.SeriesPoint, error) {
	limit := q.Limit
	if limit <= 0 {
		limit = 10_000
	}
	where, args := []string{"i.family_id = ?", "r.code = ?", "r.position = ''", "r.value_f IS NOT NULL"}, []any{q.FamilyID, q.Result}
	if q.FirstSets {
		where = append(where, "i.first_set")
	} else {
		where = append(where, "i.superseded_by IS NULL")
	}
	if q.ProductID != "" {
		where, args = append(where, "i.product_id = ?"), append(args, q.ProductID)
	}
	if q.Place != "" {
		where, args = append(where, "i.place = ?"), append(args, q.Place)
	}
	if !q.From.IsZero() {
		where, args = append(where, "i.measured_at >= ?"), append(args, models.Moment(q.From))
	}
	if !q.To.IsZero() {
		where, args = append(where, "i.measured_at < ?"), append(args, models.Moment(q.To))
	}
	var points []models.SeriesPoint
	err := s.read.WithContext(ctx).Raw(`SELECT i.id AS inspection_id, i.item_id, coalesce(t.serial, '') AS serial, i.measured_at, r.value, r.value_f,
	i.person_id, i.place, i.product_id
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id JOIN items AS t ON t.id = i.item_id
WHERE `+strings.Join(where, " AND ")+` ORDER BY i.measured_at DESC, i.id DESC LIMIT ?`, append(args, limit)...).Scan(&points).Error
	slices.Reverse(points)
	return points, fault(err, "read the series of %s", q.Result)
}
