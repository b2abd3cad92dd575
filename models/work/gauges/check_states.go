package gauges

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// How the short checks of an instrument stand.
const (
	ChecksDone   = "done"   // today, and good
	ChecksDue    = "due"    // one of them was not done today
	ChecksFailed = "failed" // the last reading of one of them was bad, and nothing has answered it
)

// CheckStates says of instruments that have short checks how these stand today. A
// failed one is answered by a good one, or by a calibration that leaves the
// instrument good: then it is due again.
func (s *Service) CheckStates(ctx context.Context, instruments []models.Instrument) (map[string]string, error) {
	ids := make([]string, len(instruments))
	for i, x := range instruments {
		ids[i] = x.ID
	}
	checks, err := s.store.GaugeChecks(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("checks of instruments: %w", err)
	}
	checks = slices.DeleteFunc(checks, func(c models.GaugeCheck) bool { return c.EndedAt != nil })
	last, err := s.lastReadings(ctx, checks)
	if err != nil {
		return nil, err
	}
	answered, err := s.leftGood(ctx, last)
	if err != nil {
		return nil, err
	}
	today, zone := s.today(ctx), s.zone(ctx)
	states := map[string]string{}
	for _, c := range checks {
		r, done := last[c.ID]
		switch {
		case done && !r.Good && !answered[c.InstrumentID].After(r.ReadAt):
			states[c.InstrumentID] = ChecksFailed
		case states[c.InstrumentID] == ChecksFailed:
		case !done || !r.Good || r.ReadAt.In(zone).Format(time.DateOnly) != today:
			states[c.InstrumentID] = ChecksDue
		case states[c.InstrumentID] == "":
			states[c.InstrumentID] = ChecksDone
		}
	}
	return states, nil
}

// lastReadings gives the newest reading of each check, by check.
func (s *Service) lastReadings(ctx context.Context, checks []models.GaugeCheck) (map[string]models.GaugeReading, error) {
	ids := make([]string, len(checks))
	for i, c := range checks {
		ids[i] = c.ID
	}
	list, err := s.store.LastGaugeReadings(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("last readings of checks: %w", err)
	}
	last := make(map[string]models.GaugeReading, len(list))
	for _, r := range list {
		last[r.CheckID] = r
	}
	return last, nil
}

// leftGood says of the instruments whose last reading of a check was bad when a
// calibration last left them good.
func (s *Service) leftGood(ctx context.Context, last map[string]models.GaugeReading) (map[string]time.Time, error) {
	failed := map[string]bool{}
	for _, r := range last {
		if !r.Good {
			failed[r.InstrumentID] = true
		}
	}
	if len(failed) == 0 {
		return nil, nil
	}
	reports, err := s.store.CalibrationReports(ctx, keysOf(failed))
	if err != nil {
		return nil, fmt.Errorf("calibrations since checks failed: %w", err)
	}
	at := map[string]time.Time{}
	for _, r := range reports {
		if r.AsLeftGood && r.MadeAt.After(at[r.InstrumentID]) {
			at[r.InstrumentID] = r.MadeAt
		}
	}
	return at, nil
}

// CheckNeeded is an instrument whose short checks want somebody.
type CheckNeeded struct {
	Instrument models.Instrument
	State      string // ChecksFailed or ChecksDue
}

// ChecksNeeded lists the instruments in use whose short checks failed or are due
// today, the failed ones first, each by code.
func (s *Service) ChecksNeeded(ctx context.Context) ([]CheckNeeded, error) {
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("instruments: %w", err)
	}
	all = slices.DeleteFunc(all, func(i models.Instrument) bool { return i.State != models.InstrumentInUse })
	states, err := s.CheckStates(ctx, all)
	if err != nil {
		return nil, err
	}
	var needed []CheckNeeded
	for _, want := range []string{ChecksFailed, ChecksDue} {
		for _, i := range all {
			if states[i.ID] == want {
				needed = append(needed, CheckNeeded{Instrument: i, State: want})
			}
		}
	}
	return needed, nil
}
