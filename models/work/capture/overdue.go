package capture

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// asTheyStood are gauges as they stood when readings were taken, at a moment on a day of
// the shop: in the state in which they were and under the calibration in force, whatever
// became of them until the readings arrived, now. A certificate asks the same of calibrations.
// traced are the reverse traces that were made before they arrived.
// Nothing is asked where nothing was said since they were taken.
func (s *Service) asTheyStood(ctx context.Context, gauges []models.Instrument, measured time.Time, day string, now time.Time) (stood []models.Instrument, traced []string, err error) {
	if !slices.ContainsFunc(gauges, func(i models.Instrument) bool { return !i.ChangedAt.Before(measured) }) {
		return gauges, nil, nil
	}
	ids := make([]string, len(gauges))
	for n, i := range gauges {
		ids[n] = i.ID
	}
	known, err := s.store.HowGaugesStood(ctx, ids, measured)
	if err != nil {
		return nil, nil, fmt.Errorf("how the gauges stood: %w", err)
	}
	stood = make([]models.Instrument, len(gauges))
	for n, i := range gauges {
		stood[n] = i.CalibratedAt(known.Calibrations, measured, day).InStateAt(known.States, measured, now)
	}
	return stood, known.Traced, nil
}

// blocksOverdue says whether the shop lets no reading of an overdue gauge be
// judged.
func (s *Service) blocksOverdue(ctx context.Context) (bool, error) {
	values, err := s.store.Settings(ctx)
	if err != nil {
		return false, fmt.Errorf("settings of the shop: %w", err)
	}
	return values[models.SettingBlockOverdue] == "yes", nil
}

// blockOverdue marks the sets of overdue gauges where the shop wants it: they are
// kept, and nothing is judged by them.
func (s *Service) blockOverdue(ctx context.Context, sets []parsed) error {
	overdue := func(p parsed) bool { return hasRemark(p.remarks, "instrument_overdue") }
	if !slices.ContainsFunc(sets, overdue) {
		return nil
	}
	block, err := s.blocksOverdue(ctx)
	if err != nil || !block {
		return err
	}
	for i := range sets {
		if overdue(sets[i]) {
			sets[i].remarks = append(sets[i].remarks, models.NewRemark("overdue_blocked", "instrument", sets[i].instrument.Code))
		}
	}
	return nil
}
