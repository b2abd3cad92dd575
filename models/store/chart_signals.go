package store

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// KeepSignals replaces the stored signals of charts, in one transaction: new ones
// are stored, vanished ones removed, and what is there already is left alone. A
// chart that another server computed since, of a longer log, stays as that one
// left it.
func (s *Store) KeepSignals(ctx context.Context, charts []models.ChartSignals) error {
	charts = slices.Clone(charts)
	slices.SortFunc(charts, func(a, b models.ChartSignals) int { return a.Compare(b.ChartKey) })
	type known struct {
		newest bool
		stored map[signalKey]models.Remark
	}
	err := s.transactSilently(ctx, func(p pipeline) error {
		look, all := &batch{}, make([]known, len(charts))
		for n, c := range charts {
			all[n].stored = map[signalKey]models.Remark{}
			look.query(`INSERT INTO watched_charts (family_id, product_id, place, result, seen, computed_at) VALUES (?, ?, ?, ?, ?, ?)
ON CONFLICT (family_id, product_id, place, result) DO UPDATE SET seen = excluded.seen, computed_at = excluded.computed_at WHERE watched_charts.seen <= excluded.seen
RETURNING result`, func([]any) error { all[n].newest = true; return nil }, append(keyOf(c.ChartKey), c.Seen, models.Moment(c.ComputedAt))...)
			look.query("SELECT rule, side, CAST(inspection_id AS text), measured_at, since, CAST(reason AS text), CASE WHEN settled THEN 1 ELSE 0 END FROM chart_signals WHERE "+ofWatched, func(row []any) error {
				var reason models.Remark
				key := signalKey{textOf(row[0]), textOf(row[1]), textOf(row[2]), timeOf(row[3]), timeOf(row[4]), wholeOf(row[6]) == 1}
				err := json.Unmarshal([]byte(textOf(row[5])), &reason)
				all[n].stored[key] = reason
				return err
			}, keyOf(c.ChartKey)...)
		}
		if err := p.send(ctx, look); err != nil {
			return err
		}
		write := &batch{}
		var rows [][]any
		for n, c := range charts {
			if !all[n].newest {
				continue
			}
			for _, signal := range c.Signals {
				key := signalKeyOf(signal)
				reason, err := json.Marshal(signal.Reason)
				if err != nil {
					return fmt.Errorf("encode the reason of a signal: %w", err)
				}
				was, there := all[n].stored[key]
				delete(all[n].stored, key)
				if there && sameRemark(was, signal.Reason) {
					continue
				}
				if there {
					write.exec("DELETE FROM chart_signals WHERE "+ofSignal, append(keyOf(c.ChartKey), key.rule, key.side, key.inspection)...)
				}
				rows = append(rows, append(keyOf(c.ChartKey), key.rule, key.side, key.inspection, signal.ItemID, signal.Serial, key.at, key.since, string(reason), key.settled))
			}
			for key := range all[n].stored {
				write.exec("DELETE FROM chart_signals WHERE "+ofSignal, append(keyOf(c.ChartKey), key.rule, key.side, key.inspection)...)
			}
		}
		s.insert(write, chartSignalsTable, rows)
		return p.commit(ctx, write)
	})
	return fault(err, "keep the signals of %d charts", len(charts))
}

// signalKey is what makes a row another one: beside its key the moments, which a
// correction may move, and that somebody gave a cause.
type signalKey struct {
	rule, side, inspection string
	at, since              time.Time
	settled                bool
}

func signalKeyOf(s models.ChartSignal) signalKey {
	return signalKey{s.Rule, s.Side, s.InspectionID, models.Moment(s.MeasuredAt), models.Moment(cmp.Or(s.Since, s.MeasuredAt)), s.Settled}
}

func sameRemark(a, b models.Remark) bool {
	return a.Code == b.Code && fmt.Sprint(a.Values) == fmt.Sprint(b.Values) // Maps are printed in the order of their keys.
}

const (
	ofWatched = "family_id = ? AND product_id = ? AND place = ? AND result = ?"
	ofSignal  = ofWatched + " AND rule = ? AND side = ? AND inspection_id = ?"
)

func keyOf(k models.ChartKey) []any { return []any{k.FamilyID, k.ProductID, k.Place, k.Result} }

// ForgetCharts takes away charts that are not watched any more, with their
// signals.
func (s *Store) ForgetCharts(ctx context.Context, keys []models.ChartKey) error {
	keys = slices.Clone(keys)
	slices.SortFunc(keys, models.ChartKey.Compare)
	b := &batch{}
	for _, k := range keys {
		b.exec("DELETE FROM watched_charts WHERE "+ofWatched, keyOf(k)...)
	}
	err := s.transactSilently(ctx, func(p pipeline) error { return p.commit(ctx, b) })
	return fault(err, "forget %d charts", len(keys))
}

// DoubtCharts lets every chart be computed anew, whatever it has seen. Its
// signals stay until then.
func (s *Store) DoubtCharts(ctx context.Context) error {
	b := &batch{}
	b.exec("UPDATE watched_charts SET seen = 0")
	return fault(s.transactSilently(ctx, func(p pipeline) error { return p.commit(ctx, b) }), "doubt the signals of every chart")
}

// KeptCharts lists the charts that have stored signals, or none to store.
func (s *Store) KeptCharts(ctx context.Context) ([]models.KeptChart, error) {
	var kept []models.KeptChart
	err := s.read.WithContext(ctx).Raw("SELECT family_id, product_id, place, result, seen, computed_at FROM watched_charts ORDER BY family_id, product_id, place, result").Scan(&kept).Error
	return kept, fault(err, "list the watched charts")
}

// ChartMark is what every watched chart has taken in; zero where none was ever
// computed.
func (s *Store) ChartMark(ctx context.Context) (models.ChartMark, error) {
	var marks []models.ChartMark
	err := s.read.WithContext(ctx).Raw("SELECT seen, rules FROM chart_marks WHERE one = 1").Scan(&marks).Error
	if err != nil || len(marks) == 0 {
		return models.ChartMark{}, fault(err, "read the mark of the charts")
	}
	return marks[0], nil
}

// MarkCharts says what every watched chart has taken in. How much of the log that
// is never goes back: another server may be farther.
func (s *Store) MarkCharts(ctx context.Context, m models.ChartMark) error {
	b := &batch{}
	b.exec(`INSERT INTO chart_marks (one, seen, rules) VALUES (1, ?, ?) ON CONFLICT (one) DO UPDATE
SET seen = CASE WHEN chart_marks.seen < excluded.seen THEN excluded.seen ELSE chart_marks.seen END, rules = excluded.rules
WHERE chart_marks.seen < excluded.seen OR chart_marks.rules <> excluded.rules`, m.Seen, m.Rules)
	return fault(s.transactSilently(ctx, func(p pipeline) error { return p.commit(ctx, b) }), "set the mark of the charts")
}

// signalRow is a signal as it is read.
type signalRow struct {
	models.ChartKey
	Rule, Side, InspectionID, ItemID, Serial string
	MeasuredAt, Since                        time.Time
	Reason                                   string
	Settled                                  bool
}

const readSignals = `SELECT s.family_id, s.product_id, s.place, s.result, s.rule, s.side, s.inspection_id, s.item_id, s.serial, s.measured_at, s.since, CAST(s.reason AS text) AS reason,
	CASE WHEN s.settled OR ` + explained + ` THEN true ELSE false END AS settled
FROM chart_signals AS s `

// explained says of a signal that somebody gave its cause.
const explained = `EXISTS (SELECT 1 FROM signal_causes AS c WHERE c.inspection_id = s.inspection_id AND c.family_id = s.family_id AND c.result = s.result AND c.place = s.place
	AND coalesce(CAST(c.product_id AS text), '') = s.product_id AND c.rule = s.rule AND c.side = s.side)`

// OpenSignals lists the signals without a cause, newest first, at most limit.
func (s *Store) OpenSignals(ctx context.Context, limit int) ([]models.ChartSignal, error) {
	return s.signals(ctx, "WHERE NOT s.settled AND NOT "+explained+" ORDER BY s.measured_at DESC, s.family_id, s.product_id, s.place, s.result, s.rule, s.side LIMIT ?", limit)
}

// SignalsBetween lists the signals of points that were measured in from <= t < to,
// oldest first, at most limit.
func (s *Store) SignalsBetween(ctx context.Context, from, to time.Time, limit int) ([]models.ChartSignal, error) {
	return s.signals(ctx, "WHERE s.measured_at >= ? AND s.measured_at < ? ORDER BY s.measured_at, s.family_id, s.product_id, s.place, s.result, s.rule, s.side LIMIT ?",
		models.Moment(from), models.Moment(to), limit)
}

// SignalsLeft lists the signals of points that were measured before a moment and have no
// cause today, oldest first, at most limit.
func (s *Store) SignalsLeft(ctx context.Context, before time.Time, limit int) ([]models.ChartSignal, error) {
	return s.signals(ctx, "WHERE s.measured_at < ? AND NOT s.settled AND NOT "+explained+" ORDER BY s.measured_at, s.family_id, s.product_id, s.place, s.result, s.rule, s.side LIMIT ?", models.Moment(before), limit)
}

// MeasuredBetween says whether an inspection was measured in from <= t < to.
func (s *Store) MeasuredBetween(ctx context.Context, from, to time.Time) (bool, error) {
	var found []int
	err := s.read.WithContext(ctx).Raw("SELECT 1 FROM inspections WHERE measured_at >= ? AND measured_at < ? LIMIT 1", models.Moment(from), models.Moment(to)).Scan(&found).Error
	return len(found) > 0, fault(err, "look for inspections of a period")
}

// SignalsOf lists the signals of one chart, oldest first.
func (s *Store) SignalsOf(ctx context.Context, k models.ChartKey) ([]models.ChartSignal, error) {
	return s.signals(ctx, "WHERE s.family_id = ? AND s.product_id = ? AND s.place = ? AND s.result = ? ORDER BY s.measured_at, s.inspection_id, s.rule, s.side", keyOf(k)...)
}

func (s *Store) signals(ctx context.Context, rest string, args ...any) ([]models.ChartSignal, error) {
	var rows []signalRow
	if err := s.read.WithContext(ctx).Raw(readSignals+rest, args...).Scan(&rows).Error; err != nil {
		return nil, fault(err, "list signals of charts")
	}
	signals := make([]models.ChartSignal, len(rows))
	for n, r := range rows {
		signals[n] = models.ChartSignal{ChartKey: r.ChartKey, Rule: r.Rule, Side: r.Side, InspectionID: r.InspectionID, ItemID: r.ItemID, Serial: r.Serial,
			MeasuredAt: r.MeasuredAt, Since: r.Since, Settled: r.Settled}
		if err := json.Unmarshal([]byte(r.Reason), &signals[n].Reason); err != nil {
			return nil, fmt.Errorf("read the reason of a signal: %w", err)
		}
	}
	return signals, nil
}

var chartSignalsTable = newTable("chart_signals", "family_id uuid", "product_id text", "place text", "result text", "rule text", "side text", "inspection_id uuid", "item_id uuid", "serial text",
	"measured_at timestamptz", "since timestamptz", "reason json", "settled boolean")
