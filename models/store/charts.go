package store

import (
	"context"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// ofChart is a condition on the rows of one chart.
func ofChart(tx *gorm.DB, key models.ChartKey) *gorm.DB {
	tx = tx.Where("family_id = ? AND result = ? AND place = ?", key.FamilyID, key.Result, key.Place)
	if key.ProductID == "" {
		return tx.Where("product_id IS NULL")
	}
	return tx.Where("product_id = ?", key.ProductID)
}

// AddChartBaseline keeps the baseline that somebody chose.
func (s *Store) AddChartBaseline(ctx context.Context, stamp models.Stamp, b models.ChartBaseline) error {
	b.ID, b.MadeAt, b.MadeBy, b.HoldsFrom = orNewID(b.ID), settled(b.MadeAt, stamp), orActor(b.MadeBy, stamp), models.Moment(b.HoldsFrom)
	if b.Excluded == nil {
		b.Excluded = []models.ChartExclusion{}
	}
	return addOne(ctx, s, stamp, b, "add a baseline of "+b.Result)
}

// AddSignalCause keeps what is behind a signal.
func (s *Store) AddSignalCause(ctx context.Context, stamp models.Stamp, c models.SignalCause) error {
	c.ID, c.MadeAt, c.MadeBy = orNewID(c.ID), settled(c.MadeAt, stamp), orActor(c.MadeBy, stamp)
	return addOne(ctx, s, stamp, c, "add a cause of a signal of "+c.Result)
}

// AddChartEvent keeps an event.
func (s *Store) AddChartEvent(ctx context.Context, stamp models.Stamp, e models.ChartEvent) error {
	e.ID, e.MadeAt, e.MadeBy, e.At = orNewID(e.ID), settled(e.MadeAt, stamp), orActor(e.MadeBy, stamp), models.Moment(e.At)
	return addOne(ctx, s, stamp, e, "add an event")
}

// addOne adds a record that stands for itself.
func addOne[T models.Recorded](ctx context.Context, s *Store, stamp models.Stamp, record T, doing string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, &record); err != nil {
			return err
		}
		return enter(tx, stamp, record, "")
	})
	return fault(err, "%s", doing)
}

// ChartBaselines lists the baselines of a chart by the moment from which they hold,
// of one moment the newest last.
func (s *Store) ChartBaselines(ctx context.Context, key models.ChartKey) ([]models.ChartBaseline, error) {
	var found []models.ChartBaseline
	err := ofChart(s.read.WithContext(ctx), key).Order("holds_from, id").Find(&found).Error
	return found, fault(err, "list baselines of %s", key.Result)
}

// ChartsWithBaseline lists the charts that have a baseline somebody chose.
func (s *Store) ChartsWithBaseline(ctx context.Context) ([]models.ChartKey, error) {
	var keys []models.ChartKey
	err := s.read.WithContext(ctx).Raw("SELECT DISTINCT family_id, coalesce(CAST(product_id AS text), '') AS product_id, place, result FROM chart_baselines ORDER BY 1, 4, 3, 2").Scan(&keys).Error
	return keys, fault(err, "list charts with a baseline")
}

// SignalCauses lists the causes given for signals of a chart, oldest first.
func (s *Store) SignalCauses(ctx context.Context, key models.ChartKey) ([]models.SignalCause, error) {
	var found []models.SignalCause
	err := ofChart(s.read.WithContext(ctx), key).Order("id").Find(&found).Error
	return found, fault(err, "list causes of signals of %s", key.Result)
}

// ChartVolumes counts the items first measured since a moment, by family and
// place.
func (s *Store) ChartVolumes(ctx context.Context, since time.Time) ([]models.ChartVolume, error) {
	since = models.Moment(since)
	var found []models.ChartVolume
	err := s.read.WithContext(ctx).Raw(`SELECT f.id AS family_id, v.place, v.items FROM families AS f JOIN (
SELECT i.family_id, i.place, count(*) AS items FROM inspections AS i WHERE i.first_set AND i.family_id IN (SELECT id FROM families) AND i.measured_at >= ? GROUP BY i.family_id, i.place
UNION ALL
SELECT i.family_id, i.place, count(*) AS items FROM inspections AS i WHERE `+firstRounds+` AND i.family_id IN (SELECT id FROM families) AND i.measured_at >= ? GROUP BY i.family_id, i.place
) AS v ON v.family_id = f.id ORDER BY f.name, f.id, v.place`, since, since).Scan(&found).Error
	return found, fault(err, "count what was measured")
}

// Happenings lists what a chart shows beside its points, in the order in which it
// happened: events of its family and place and of all, revisions of its
// specification, calibrations of gauges at its place, and corrective actions that
// were done, of each sort the newest so many. A place of "" takes all places.
func (s *Store) Happenings(ctx context.Context, familyID, place string, from, to time.Time, limit int) ([]models.Happening, error) {
	from, to = models.Moment(from), models.Moment(to)
	var found []models.Happening
	for _, q := range []struct {
		text string
		args []any
	}{
		{`SELECT e.at, 'event' AS kind, e.place, '' AS name, e.words AS detail, CAST(e.made_by AS text) AS person
FROM chart_events AS e WHERE e.at >= ? AND e.at < ? AND (e.family_id IS NULL OR e.family_id = ?) AND (e.place = '' OR ? = '' OR e.place = ?) ORDER BY e.at DESC LIMIT ?`,
			[]any{from, to, familyID, place, place, limit}},
		{`SELECT p.created_at AS at, 'specification' AS kind, '' AS place, CAST(p.revision AS text) AS name, coalesce(q.name, '') AS detail, CAST(p.created_by AS text) AS person
FROM specifications AS p LEFT JOIN products AS q ON q.id = p.product_id WHERE p.family_id = ? AND p.revision > 1 AND p.created_at >= ? AND p.created_at < ? ORDER BY p.created_at DESC LIMIT ?`,
			[]any{familyID, from, to, limit}},
		{`SELECT c.made_at AS at, 'calibration' AS kind, g.place, g.code AS name, CASE WHEN c.as_found_good THEN 'good' WHEN c.as_left_good THEN 'found_out' ELSE 'out' END AS detail, c.made_by AS person
FROM calibration_reports AS c JOIN instruments AS g ON g.id = c.instrument_id WHERE c.made_at >= ? AND c.made_at < ? AND (? = '' OR g.place = ?) ORDER BY c.made_at DESC LIMIT ?`,
			[]any{from, to, place, place, limit}},
		{`SELECT s.made_at AS at, 'corrective_action' AS kind, '' AS place, a.number AS name, s.note AS detail, CAST(s.made_by AS text) AS person
FROM corrective_action_steps AS s JOIN corrective_actions AS a ON a.id = s.action_id WHERE s.what = 'done' AND s.made_at >= ? AND s.made_at < ? ORDER BY s.made_at DESC LIMIT ?`,
			[]any{from, to, limit}},
	} {
		var some []models.Happening
		if err := s.read.WithContext(ctx).Raw(q.text, q.args...).Scan(&some).Error; err != nil {
			return nil, fault(err, "list what happened")
		}
		found = append(found, some...)
	}
	slices.SortStableFunc(found, func(a, b models.Happening) int { return a.At.Compare(b.At) })
	return found, nil
}
