package store

import (
	"context"
	"slices"
	"strings"

	"tracewright/models"
)

// measuredFirst gives the conditions of a query on inspections AS i.
func measuredFirst(q models.MeasuredQuery) (string, []any) {
	where, args := []string{"i.family_id = ?"}, []any{q.FamilyID}
	switch q.Kind {
	case models.KindWheel:
		where = append(where, "i.first_set")
	default:
		stage := models.Final
		if q.Kind == models.KindBlock {
			stage = models.Incoming
		}
		where = append(where, "i.superseded_by IS NULL", "i.stage = ?", `NOT EXISTS (SELECT 1 FROM inspections AS b WHERE b.item_id = i.item_id AND b.stage = i.stage AND b.superseded_by IS NULL
	AND (b.measured_at < i.measured_at OR b.measured_at = i.measured_at AND b.id < i.id))`)
		args = append(args, stage)
	}
	return narrowed(q, where, args)
}

// narrowed adds what a query narrows any inspections by.
func narrowed(q models.MeasuredQuery, where []string, args []any) (string, []any) {
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
	return strings.Join(where, " AND "), args
}

// measuredPoint looks item and lot up for each value, so that no plan reads them whole.
const measuredPoint = `SELECT i.id AS inspection_id, i.item_id, (SELECT coalesce(t.serial, t.maker_number, '') FROM items AS t WHERE t.id = i.item_id) AS serial, i.measured_at, r.value, r.value_f, r.low, r.high,
	coalesce((SELECT CAST(br.lot_id AS text) FROM block_receipts AS br WHERE br.item_id = i.item_id), '') AS lot_id, coalesce((SELECT lo.code FROM block_receipts AS br JOIN lots AS lo ON lo.id = br.lot_id WHERE br.item_id = i.item_id), '') AS lot
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id AND r.code = ? AND r.position = '' AND r.value_f IS NOT NULL
WHERE `

// MeasuredFirst gives the newest values of one result, oldest first.
func (s *Store) MeasuredFirst(ctx context.Context, q models.MeasuredQuery) ([]models.MeasuredPoint, error) {
	where, args := measuredFirst(q)
	return s.measured(ctx, q, where, args)
}

// MeasuredLast gives the values that were certified: of the inspection that a
// certificate names which still holds.
func (s *Store) MeasuredLast(ctx context.Context, q models.MeasuredQuery) ([]models.MeasuredPoint, error) {
	where, args := narrowed(q, []string{"i.family_id = ?", `EXISTS (SELECT 1 FROM certificates AS c WHERE c.item_id = i.item_id AND c.inspection_id = i.id
	AND NOT EXISTS (SELECT 1 FROM certificate_changes AS cc WHERE cc.certificate_id = c.id))`}, []any{q.FamilyID})
	return s.measured(ctx, q, where, args)
}

func (s *Store) measured(ctx context.Context, q models.MeasuredQuery, where string, args []any) ([]models.MeasuredPoint, error) {
	var points []models.MeasuredPoint
	args = append(append([]any{q.Result}, args...), q.Limit)
	err := s.read.WithContext(ctx).Raw(measuredPoint+where+" ORDER BY i.measured_at DESC, i.id DESC LIMIT ?", args...).Scan(&points).Error
	slices.Reverse(points)
	return points, fault(err, "read the values of %s", q.Result)
}

// beyond is 1 for a result of r with a value beyond one of its limits.
const (
	beyondLow  = `CASE WHEN r.low = '' OR r.value_f IS NULL THEN 0 WHEN r.value_f < CAST(r.low AS double precision) THEN 1 ELSE 0 END`
	beyondHigh = `CASE WHEN r.high = '' OR r.value_f IS NULL THEN 0 WHEN r.value_f > CAST(r.high AS double precision) THEN 1 ELSE 0 END`
)

// ResultShares counts every result of the newest first sets, by its code.
func (s *Store) ResultShares(ctx context.Context, q models.MeasuredQuery) ([]models.ResultShare, error) {
	where, args := measuredFirst(q)
	var shares []models.ResultShare
	err := s.read.WithContext(ctx).Raw(`SELECT r.code, count(*) AS n, sum(`+beyondLow+`) AS below, sum(`+beyondHigh+`) AS above,
	sum(CASE WHEN r.value_f IS NULL AND r.verdict = 'fail' THEN 1 ELSE 0 END) AS failed, count(DISTINCT r.low || ' ' || r.high) AS limits, max(r.low) AS low, max(r.high) AS high
FROM (SELECT i.id FROM inspections AS i WHERE `+where+` ORDER BY i.measured_at DESC, i.id DESC LIMIT ?) AS n JOIN results AS r ON r.inspection_id = n.id
WHERE r.position = '' AND (r.value_f IS NOT NULL OR r.verdict IN ('pass', 'fail')) GROUP BY r.code ORDER BY r.code`, append(args, q.Limit)...).Scan(&shares).Error
	return shares, fault(err, "count what lies beyond its limits")
}

// FailedFirst gives those of the newest first sets that failed a result without a value,
// newest first.
func (s *Store) FailedFirst(ctx context.Context, q models.MeasuredQuery, most int) ([]models.MeasuredPoint, error) {
	where, args := measuredFirst(q)
	var points []models.MeasuredPoint
	err := s.read.WithContext(ctx).Raw(`SELECT n.id AS inspection_id, n.item_id, (SELECT coalesce(t.serial, t.maker_number, '') FROM items AS t WHERE t.id = n.item_id) AS serial, n.measured_at, r.value
FROM (SELECT i.id, i.item_id, i.measured_at FROM inspections AS i WHERE `+where+` ORDER BY i.measured_at DESC, i.id DESC LIMIT ?) AS n
JOIN results AS r ON r.inspection_id = n.id AND r.code = ? AND r.position = '' AND r.value_f IS NULL AND r.verdict = 'fail'
ORDER BY n.measured_at DESC, n.id DESC LIMIT ?`, append(args, q.Limit, q.Result, most)...).Scan(&points).Error
	return points, fault(err, "read what failed %s", q.Result)
}

// Rounds counts the newest wheels whose first set passed or failed, and those of them that
// it did not pass: these need a second round, whether they have had it or not.
func (s *Store) Rounds(ctx context.Context, q models.MeasuredQuery) (models.RoundCount, error) {
	where, args := measuredFirst(q)
	var count models.RoundCount
	err := s.read.WithContext(ctx).Raw(`SELECT count(*) AS items, coalesce(sum(CASE WHEN n.verdict = 'fail' THEN 1 ELSE 0 END), 0) AS more
FROM (SELECT i.verdict FROM inspections AS i WHERE `+where+` AND i.verdict IN ('pass', 'provisional', 'fail') ORDER BY i.measured_at DESC, i.id DESC LIMIT ?) AS n`, append(args, q.Limit)...).Scan(&count).Error
	return count, fault(err, "count rounds")
}

// BlockFalls gives what the newest blocks of a query fell by between their first
// reading and their second; one that was charged between them tells nothing.
func (s *Store) BlockFalls(ctx context.Context, q models.MeasuredQuery) ([]models.BlockFall, error) {
	where, args := measuredFirst(q)
	var falls []models.BlockFall
	err := s.read.WithContext(ctx).Raw(`SELECT i.item_id, coalesce(t.serial, t.maker_number, '') AS serial, CAST(lo.id AS text) AS lot_id, lo.code AS lot, r.value_f AS first, y.value_f AS second, i.measured_at AS first_at, j.measured_at AS second_at
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id AND r.code = 'block_ocv25' AND r.position = '' AND r.value_f IS NOT NULL
JOIN block_receipts AS br ON br.item_id = i.item_id JOIN lots AS lo ON lo.id = br.lot_id JOIN items AS t ON t.id = i.item_id
JOIN inspections AS j ON j.item_id = i.item_id AND j.stage = 'second_reading' AND j.superseded_by IS NULL AND j.measured_at > i.measured_at
JOIN results AS y ON y.inspection_id = j.id AND y.code = 'block_ocv25' AND y.position = '' AND y.value_f IS NOT NULL
WHERE `+where+` AND NOT EXISTS (SELECT 1 FROM inspections AS k WHERE k.item_id = j.item_id AND k.stage = j.stage AND k.superseded_by IS NULL AND k.measured_at > i.measured_at AND k.measured_at < j.measured_at)
AND NOT EXISTS (SELECT 1 FROM charges AS c WHERE c.item_id = i.item_id AND c.started_at >= i.measured_at AND c.started_at < j.measured_at)
ORDER BY i.measured_at DESC, i.id DESC LIMIT ?`, append(args, q.Limit)...).Scan(&falls).Error
	slices.Reverse(falls)
	return falls, fault(err, "read what blocks fell by")
}
