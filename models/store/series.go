package store

import (
	"context"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
)

// firstRounds says of an inspection that it is the first standing one of its item
// at the stage that judges it first. It is written as the index has it, which
// serves no other wording.
const firstRounds = "i.round = 1 AND i.stage IN ('final', 'incoming')"

// Series gives the newest, or the oldest, values of one result, oldest first, without those of
// inspections that another one replaced.
//
// It asks for as many inspections as it may give values, through an index that
// holds no others. Of a result that is not read each time it then looks at ten times
// as many, and gives the newest values among those: one that was never read costs a
// moment and no walk through years. The oldest values are looked for until the end.
func (s *Store) Series(ctx context.Context, q models.SeriesQuery) ([]models.SeriesPoint, error) {
	limit := q.Limit
	if limit <= 0 {
		limit = 10_000
	}
	points, seen, err := s.seriesWithin(ctx, q, limit, limit, "LEFT JOIN")
	if err == nil && len(points) < limit && seen == limit {
		points, _, err = s.seriesWithin(ctx, q, limit, 10*limit, "JOIN")
		if err == nil && q.Oldest && len(points) < limit {
			points, _, err = s.seriesWithin(ctx, q, limit, math.MaxInt32, "JOIN")
		}
	}
	if !q.Oldest {
		slices.Reverse(points)
	}
	return points, fault(err, "read the series of %s", q.Result)
}

// seriesWithin looks for values among so many inspections, or among those of the
// period where there are fewer. PostgreSQL does not end a walk through an index where
// the second column of a range between rows ends, but only where the first does: what
// would be walked towards the far end of a period is counted first, from that end.
func (s *Store) seriesWithin(ctx context.Context, q models.SeriesQuery, limit, among int, join string) ([]models.SeriesPoint, int, error) {
	far := q.From
	if q.Oldest {
		far = q.To
	}
	if s.dialect == Postgres && !far.IsZero() {
		there, err := s.countPeriod(ctx, q, among)
		if err != nil || there == 0 {
			return nil, 0, err
		}
		among = min(among, there)
	}
	return s.seriesAmong(ctx, q, limit, among, join)
}

// countPeriod counts the inspections of a period, up to a number, on PostgreSQL.
func (s *Store) countPeriod(ctx context.Context, q models.SeriesQuery, most int) (int, error) {
	open, order, bound, within := q, "ASC", q.To, "c.measured_at < ?"
	open.To = time.Time{}
	if q.Oldest {
		open, order, bound, within = q, "DESC", q.From, "c.measured_at >= ?"
		open.From = time.Time{}
	}
	where, args, lead := s.seriesOf(open)
	if bound.IsZero() {
		within = "true"
	} else {
		args = append(args, models.Moment(bound))
	}
	n := 0
	err := s.read.WithContext(ctx).Raw("SELECT count(*) FROM (SELECT i.measured_at FROM inspections AS i WHERE "+where+
		" ORDER BY "+lead(order)+"i.measured_at "+order+" LIMIT "+strconv.Itoa(most)+") AS c WHERE "+within, args...).Scan(&n).Error
	return n, err
}

// seriesOf says which inspections a series comes from.
func (s *Store) seriesOf(q models.SeriesQuery) (text string, args []any, lead func(order string) string) {
	where := []string{}
	and := func(text string, values ...any) { where, args = append(where, text), append(args, values...) }
	by, one := "i.family_id", q.FamilyID
	if q.ProductID != "" {
		by, one = "i.product_id", q.ProductID // It is of one family.
	}
	if q.Place != "" {
		and(by+" = ?", one)
		by, one = "i.place", q.Place
	}
	lead = s.andWhen(and, by, one, q.From, q.To)
	switch {
	case q.FirstSets:
		and("i.first_set")
	case q.FirstRounds:
		and(firstRounds)
	default:
		and("i.superseded_by IS NULL")
	}
	return strings.Join(where, " AND "), args, lead
}

// seriesAmong looks for values among so many inspections, in the order in which
// they are asked for; seen is how many rows there were, with a value or without.
func (s *Store) seriesAmong(ctx context.Context, q models.SeriesQuery, limit, among int, join string) (points []models.SeriesPoint, seen int, err error) {
	where, args, lead := s.seriesOf(q)
	value, read, lot := "r.value_f", "r.value_f IS NOT NULL", "''"
	if q.Ticks {
		value, read = "CASE r.value WHEN 'no' THEN 1.0 WHEN 'yes' THEN 0.0 END", "r.value IN ('yes', 'no')"
	}
	if q.Lots {
		lot = "coalesce((SELECT l.code FROM block_receipts AS b JOIN lots AS l ON l.id = b.lot_id WHERE b.item_id = c.item_id), '')"
	}
	order := "DESC"
	if q.Oldest {
		order = "ASC"
	}
	// The limits stand in the text: PostgreSQL plans a statement that it is given often
	// without its values, and of a limit that it does not know it expects a tenth of
	// the table. A serial is asked for point by point: joined, PostgreSQL would rather
	// read the items of a shop of middling size from end to end.
	var rows []struct {
		models.SeriesPoint
		Read *float64
	}
	err = s.read.WithContext(ctx).Raw(`WITH c AS MATERIALIZED (SELECT i.id, i.item_id, i.measured_at, i.person_id, i.place, i.product_id, i.family_id FROM inspections AS i WHERE `+where+
		" ORDER BY "+lead(order)+"i.measured_at "+order+", i.id "+order+" LIMIT "+strconv.Itoa(among)+`)
SELECT c.id AS inspection_id, c.item_id, coalesce((SELECT t.serial FROM items AS t WHERE t.id = c.item_id), '') AS serial, c.measured_at, coalesce(r.value, '') AS value, coalesce(`+value+`, 0) AS value_f, `+value+` AS read, c.person_id, c.place, c.product_id, `+lot+` AS lot
FROM c `+join+` results AS r ON r.inspection_id = c.id AND r.code = ? AND r.position = '' AND `+read+`
WHERE c.family_id = ? ORDER BY c.measured_at `+order+", c.id "+order+" LIMIT "+strconv.Itoa(limit), append(args, q.Result, q.FamilyID)...).Scan(&rows).Error
	for _, r := range rows {
		if r.Read != nil && (!q.Lots || r.Lot != "") {
			points = append(points, r.SeriesPoint)
		}
	}
	return points, len(rows), err
}

// andWhen asks for one value of a column and a span of moments. On PostgreSQL it
// asks for the range between two rows, in whose order they then come: only the index
// that holds these inspections alone can give them in it. The planner would else walk
// back in time through everybody's, where it expects to meet one soon that there may
// never have been.
func (s *Store) andWhen(and func(string, ...any), by, one string, from, to time.Time) (lead func(order string) string) {
	if s.dialect != Postgres {
		and(by+" = ?", one)
		if !from.IsZero() {
			and("i.measured_at >= ?", models.Moment(from))
		}
		if !to.IsZero() {
			and("i.measured_at < ?", models.Moment(to))
		}
		return func(string) string { return "" }
	}
	if to.IsZero() {
		to = time.Date(10_000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	and("("+by+", i.measured_at) >= (?, ?) AND ("+by+", i.measured_at) < (?, ?)", one, models.Moment(from), one, models.Moment(to))
	return func(order string) string { return by + " " + order + ", " }
}
