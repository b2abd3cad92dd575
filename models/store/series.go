package store

import (
	"context"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// firstRounds says of an inspection that it is the first standing one of its item
// at the stage that judges it first. It is written as the index has it, which
// serves no other wording.
const firstRounds = "i.round = 1 AND i.stage IN ('final', 'incoming')"

// walkedPerValue is how many inspections are looked through for each value that is
// asked for: of a result that is read of one wheel in twenty there are fewer than
// asked for, and one that was never read costs a moment and no walk through years.
const walkedPerValue = 10

// Series gives the newest, or the oldest, values of one result, oldest first, without those of
// inspections that another one replaced. The newest are those among ten times as
// many inspections.
func (s *Store) Series(ctx context.Context, q models.SeriesQuery) ([]models.SeriesPoint, error) {
	limit := q.Limit
	if limit <= 0 {
		limit = 10_000
	}
	where, args := []string{"i.family_id = ?"}, []any{q.FamilyID}
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
	} else {
		// The moment of the last inspection that is looked at; before it there may be none.
		since := "SELECT i.measured_at FROM inspections AS i WHERE " + strings.Join(where, " AND ") + " ORDER BY i.measured_at DESC, i.id DESC LIMIT 1 OFFSET ?"
		where = append(where, "i.measured_at >= coalesce(("+since+"), ?)")
		args = append(slices.Concat(args, args), walkedPerValue*limit-1, time.Unix(0, 0).UTC())
	}
	where, args = append(where, "r.code = ?", "r.position = ''"), append(args, q.Result)
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
