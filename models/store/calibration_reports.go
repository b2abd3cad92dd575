package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddCalibrationReport writes a calibration with what it found, and its instrument
// as change leaves it as it stands, in one transaction; since is when the instrument was
// put into the state in which it is. The calibration is always a new one, even where its
// days and its number are those of the one before. A state that it leaves counts from when
// it was made.
func (s *Store) AddCalibrationReport(ctx context.Context, stamp models.Stamp, c models.Calibration, r models.CalibrationReport, change func(i *models.Instrument, since time.Time)) (models.CalibrationReport, error) {
	r.EnteredAt, r.EnteredBy, r.MadeAt = settled(r.EnteredAt, stamp), orActor(r.EnteredBy, stamp), models.Moment(r.MadeAt)
	r.ID = orNewID(r.ID)
	if r.Points == nil {
		r.Points = []models.CalibrationPoint{}
	}
	c.InstrumentID, c.Reported = r.InstrumentID, true
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var i models.Instrument
		if err := s.lockedNamed(tx).Where("id = ?", r.InstrumentID).Take(&i).Error; err != nil {
			return err
		}
		states, err := statesOf(tx, i.ID)
		if err != nil {
			return err
		}
		change(&i, models.StateSince(states))
		if err := keepState(tx, stamp, states, i, r.MadeAt); err != nil {
			return err
		}
		added, err := addCalibration(tx, stamp, c)
		if err != nil {
			return err
		}
		if err := updateInstrument(tx, stamp, &i); err != nil {
			return err
		}
		r.N = added.N
		if err := add(tx, &r); err != nil {
			return err
		}
		return enter(tx, stamp, r, "")
	})
	return r, fault(err, "add a calibration of instrument %s", r.InstrumentID)
}

// CalibrationReports lists those of instruments by moment.
func (s *Store) CalibrationReports(ctx context.Context, instrumentIDs []string) ([]models.CalibrationReport, error) {
	if len(instrumentIDs) == 0 {
		return nil, nil
	}
	return list[models.CalibrationReport](ctx, s, "list reports of calibrations", "made_at, n", "instrument_id IN ?", instrumentIDs)
}

// CalibrationReport finds one by its key.
func (s *Store) CalibrationReport(ctx context.Context, id string) (models.CalibrationReport, error) {
	return first[models.CalibrationReport](ctx, s, "find the report of a calibration", "id = ?", id)
}

// ComparisonsWith lists what was held against an instrument after a moment, by
// calibrations and by short checks.
func (s *Store) ComparisonsWith(ctx context.Context, instrumentID string, after time.Time) ([]models.Comparison, error) {
	return s.comparisons(ctx, "standard_id = ?", instrumentID, after)
}

// ComparisonsOf lists what an instrument was held against after a moment.
func (s *Store) ComparisonsOf(ctx context.Context, instrumentID string, after time.Time) ([]models.Comparison, error) {
	return s.comparisons(ctx, "instrument_id = ? AND standard_id IS NOT NULL", instrumentID, after)
}

func (s *Store) comparisons(ctx context.Context, where, instrumentID string, after time.Time) ([]models.Comparison, error) {
	after = models.Moment(after)
	reports, err := list[models.CalibrationReport](ctx, s, "list calibrations against a standard", "made_at", where+" AND made_at > ?", instrumentID, after)
	if err != nil {
		return nil, err
	}
	var found []models.Comparison
	for _, r := range reports {
		found = append(found, models.Comparison{Checked: r.InstrumentID, Used: *r.StandardID, At: r.MadeAt})
	}
	checks, err := list[models.GaugeCheck](ctx, s, "list checks against a standard", "id", where, instrumentID)
	if err != nil || len(checks) == 0 {
		return found, err
	}
	standard := map[string]string{}
	for _, c := range checks {
		standard[c.ID] = *c.StandardID
	}
	readings, err := list[models.GaugeReading](ctx, s, "list readings of checks", "read_at", "check_id IN ? AND read_at > ?", keys(standard), after)
	for _, r := range readings {
		found = append(found, models.Comparison{Checked: r.InstrumentID, Used: standard[r.CheckID], At: r.ReadAt})
	}
	return found, err
}
