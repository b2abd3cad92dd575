package store

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// mostKeys is how many keys one query is asked about: databases bound the
// placeholders of a statement.
const mostKeys = 5000

// SetsTakenWith lists the reading sets that an instrument gave after a moment
// (zero: from the beginning) up to and with another, by moment.
func (s *Store) SetsTakenWith(ctx context.Context, instrumentID string, after, until time.Time) ([]models.TakenSet, error) {
	return s.taken(ctx, "r.instrument_id = ? AND r.inspection_id IN ("+usedIn+")", instrumentID, instrumentID, models.Moment(after), models.Moment(until))
}

// usedIn are the inspections that a gauge was used in after a moment up to and with
// another. The moment stands on one set of a gauge and an inspection: a gauge gives
// several sets of a wheel, and each entry of an index is paid for by whoever waits at
// a stand.
const usedIn = "SELECT inspection_id FROM reading_sets WHERE instrument_id = ? AND taken_at > ? AND taken_at <= ?"

// StandingSets lists the reading sets of items that no correction has replaced,
// by moment.
func (s *Store) StandingSets(ctx context.Context, itemIDs []string) ([]models.TakenSet, error) {
	var all []models.TakenSet
	for ids := range slices.Chunk(itemIDs, mostKeys) {
		found, err := s.taken(ctx, "i.item_id IN ? AND i.superseded_by IS NULL", ids)
		if err != nil {
			return nil, err
		}
		all = append(all, found...)
	}
	return all, nil
}

func (s *Store) taken(ctx context.Context, where string, args ...any) ([]models.TakenSet, error) {
	var found []models.TakenSet
	err := s.read.WithContext(ctx).Raw(`SELECT i.id AS inspection_id, i.item_id, r.code, r.method, r.instrument_id, i.measured_at, i.superseded_by IS NOT NULL AS replaced
	FROM reading_sets AS r JOIN inspections AS i ON i.id = r.inspection_id WHERE `+where+` ORDER BY i.measured_at, i.id, r.code, r.method`, args...).Scan(&found).Error
	return found, fault(err, "list reading sets")
}

// InspectionViews gives inspections by their keys, with their readings and
// results.
func (s *Store) InspectionViews(ctx context.Context, ids []string) ([]models.InspectionView, error) {
	var all []models.InspectionView
	for some := range slices.Chunk(ids, mostKeys) {
		found, err := list[models.Inspection](ctx, s, "list inspections by key", "measured_at, id", "id IN ?", some)
		if err != nil {
			return nil, err
		}
		views, err := s.views(ctx, found, whole)
		if err != nil {
			return nil, err
		}
		all = append(all, views...)
	}
	return all, nil
}

// AddGaugeTrace adds the next answer for its cause, and returns it with its
// number. models.ErrConflict says that somebody asked meanwhile. An inspection that was
// stored while the answer was made knows nothing of it, and the answer nothing of that:
// so it is to be looked at again, see [Store.TraceLacksNothing].
func (s *Store) AddGaugeTrace(ctx context.Context, stamp models.Stamp, t models.GaugeTrace) (models.GaugeTrace, error) {
	t.ID, t.MadeAt, t.MadeBy = orNewID(t.ID), settled(t.MadeAt, stamp), orActor(t.MadeBy, stamp)
	t.ArrivedAt = &t.MadeAt
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var before int64
		if err := tx.Model(&models.GaugeTrace{}).Where("cause_id = ?", t.CauseID).Count(&before).Error; err != nil {
			return err
		}
		t.N = int(before) + 1
		if err := add(tx, &t); err != nil {
			return err
		}
		// Its windows may be those of others that were held against the instrument.
		if err := tx.Model(&models.Instrument{}).Where("changed_at < ?", t.MadeAt).Update("changed_at", t.MadeAt).Error; err != nil {
			return err
		}
		return enter(tx, stamp, t, "")
	})
	return t, fault(err, "add a reverse trace of instrument %s", t.InstrumentID)
}

// TraceAgain says of reverse traces that what was read before them came at a moment: they
// are to be answered again, see [Store.UntracedFailures].
func (s *Store) TraceAgain(ctx context.Context, traceIDs []string, at time.Time) error {
	err := s.write.WithContext(ctx).Model(&models.GaugeTrace{}).Where("id IN ?", traceIDs).Update("arrived_at", models.Moment(at)).Error
	return fault(err, "ask for reverse traces again")
}

// TraceLacksNothing says of a reverse trace that it holds all that came up to a moment,
// its ArrivedAt as it was read; where more has come since, that still counts.
func (s *Store) TraceLacksNothing(ctx context.Context, id string, arrived time.Time) error {
	err := s.write.WithContext(ctx).Model(&models.GaugeTrace{}).Where("id = ? AND arrived_at = ?", id, models.Moment(arrived)).Update("arrived_at", nil).Error
	return fault(err, "say that reverse trace %s lacks nothing", id)
}

// GaugeTraces lists those of an instrument, newest first, without their content.
func (s *Store) GaugeTraces(ctx context.Context, instrumentID string) ([]models.GaugeTrace, error) {
	var found []models.GaugeTrace
	err := s.read.WithContext(ctx).Omit("Content").Where("instrument_id = ?", instrumentID).Order("made_at DESC, n DESC").Find(&found).Error
	return found, fault(err, "list reverse traces")
}

// UntracedFailures lists failures of instruments since a moment that were entered before
// another and have no trace, and those to whose newest trace something came that had been
// read before it, the last of it before that other moment: as much of one as is known, the
// key of a trace that there is.
func (s *Store) UntracedFailures(ctx context.Context, since, before time.Time) ([]models.GaugeTrace, error) {
	const untraced = " AND NOT EXISTS (SELECT 1 FROM gauge_traces AS t WHERE t.cause_id = f.id)"
	var found []models.GaugeTrace
	since, before = models.Moment(since), models.Moment(before)
	const last = " AND NOT EXISTS (SELECT 1 FROM gauge_traces AS later WHERE later.cause_id = f.cause_id AND later.n > f.n)"
	// By instrument: the index of the readings of checks begins with it.
	err := s.read.WithContext(ctx).Raw(`SELECT f.instrument_id, '`+models.CauseCalibration+`' AS cause, f.id AS cause_id, '' AS id FROM calibration_reports AS f
	WHERE f.made_at > ? AND f.entered_at < ? AND NOT f.as_found_good`+untraced+`
	UNION ALL SELECT f.instrument_id, '`+models.CauseCheck+`', f.id, '' FROM instruments AS i JOIN gauge_readings AS f ON f.instrument_id = i.id
	WHERE f.read_at > ? AND f.read_at < ? AND NOT f.good`+untraced+`
	UNION ALL SELECT f.instrument_id, f.cause, f.cause_id, CAST(f.id AS text) FROM gauge_traces AS f WHERE f.made_at > ? AND f.arrived_at < ?`+last, since, before, since, before, since, before).Scan(&found).Error
	return found, fault(err, "list failures without a reverse trace")
}

// GaugeTrace finds one by its key.
func (s *Store) GaugeTrace(ctx context.Context, id string) (models.GaugeTrace, error) {
	return first[models.GaugeTrace](ctx, s, "find a reverse trace", "id = ?", id)
}

// HoldForGauge puts items on hold because of a gauge, in one transaction: each
// that is here, once for the gauge; it answers with those that it held. What is
// shipped or gone is left as it is.
func (s *Store) HoldForGauge(ctx context.Context, stamp models.Stamp, code string, itemIDs []string) ([]string, error) {
	var held []string
	ids := slices.Sorted(slices.Values(itemIDs)) // one order for all, so that two of these never wait for one another
	err := s.changing(ctx, func(tx *gorm.DB) error {
		held = nil
		for _, id := range ids {
			item, err := s.lockItem(tx, id)
			if err != nil {
				return err
			}
			if away(item.State) || gone(item.State) {
				continue
			}
			var open int64
			if err := tx.Model(&models.Hold{}).Where("item_id = ? AND code = ? AND reason = ? AND "+notLifted, id, models.HoldGauge, code).Count(&open).Error; err != nil {
				return err
			}
			if open > 0 {
				continue
			}
			h := models.Hold{ItemID: &item.ID, Code: models.HoldGauge, Reason: code}
			settleHold(&h, stamp)
			if err := s.raise(tx, stamp, &h); err != nil {
				return fmt.Errorf("item %s: %w", item.Name(), err)
			}
			held = append(held, id)
		}
		return nil
	})
	return held, fault(err, "hold what was judged with gauge %s", code)
}

// HoldsForGauge lists the holds on items that were raised because of a gauge,
// lifted ones too.
func (s *Store) HoldsForGauge(ctx context.Context, code string, itemIDs []string) ([]models.Hold, error) {
	var all []models.Hold
	for ids := range slices.Chunk(itemIDs, mostKeys) {
		holds, err := list[models.Hold](ctx, s, "list holds for a gauge", "raised_at, id", "item_id IN ? AND code = ? AND reason = ?", ids, models.HoldGauge, code)
		if err != nil {
			return nil, err
		}
		all = append(all, holds...)
	}
	return all, nil
}
