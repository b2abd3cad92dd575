package store

import (
	"context"
	"slices"
	"strings"

	"tracewright/models"
)

// firstRounds says of an inspection that it is the first standing one of its item
// at the stage that judges it first. It is written as the index has it, which
// serves no other wording.
const firstRounds = "i.round = 1 AND i.stage IN ('final', 'incoming')"

// Series gives the newest, or the oldest, values of one result, oldest first, without those of
// inspections that another one replaced.
func (s *Store) Series(ctx context.Context, q models.SeriesQuery) ([]models.SeriesPoint, error) {
	limit := q.Limit
	if limit <= 0 {
		limit = 10_000
	}
	where, args := []string{"i.family_id = ?", "r.code = ?", "r.position = ''"}, []any{q.FamilyID, q.Result}
	value, lot, join := "r.value_f", "''", ""
	if q.Ticks {
		value = "CASE WHEN r.value = 'no' THEN 1.0 ELSE 0.0 END"
		where = append(where, "r.value IN ('yes', 'no')")
	} else {
		where = append(where, "r.value_f IS NOT NULL")
	}
	if q.Lots {
		lot, join = "l.code", " JOIN block_receipts AS b ON b.item_id = i.item_id JOIN lots AS l ON l.id = b.lot_id"
	}
	switch {
	case q.FirstSets:
		where = append(where, "i.first_set")
	case q.FirstRounds:
		where = append(where, firstRounds)
	default:
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
	order := "DESC"
	if q.Oldest {
		order = "ASC"
	}
	var points []models.SeriesPoint
	err := s.read.WithContext(ctx).Raw(`SELECT i.id AS inspection_id, i.item_id, coalesce(t.serial, '') AS serial, i.measured_at, r.value, `+value+` AS value_f,
	i.person_id, i.place, i.product_id, `+lot+` AS lot
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id JOIN items AS t ON t.id = i.item_id`+join+`
WHERE `+strings.Join(where, " AND ")+" ORDER BY i.measured_at "+order+", i.id "+order+" LIMIT ?", append(args, limit)...).Scan(&points).Error
	if !q.Oldest {
		slices.Reverse(points)
	}
	return points, fault(err, "read the series of %s", q.Result)
}
