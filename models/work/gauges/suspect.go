package gauges

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
)

// failure is an event that found an instrument out of tolerance, with what was
// good before it.
type failure struct {
	instrument models.Instrument
	cause, id  string
	at         time.Time
	leftGood   bool
	good       time.Time // the last good event before; not used when none is known
	known      bool
	errors     []models.TraceError
}

// failed finds the event that a trace begins with.
func (s *Service) failed(ctx context.Context, i models.Instrument, cause, id string) (failure, error) {
	f := failure{instrument: i, cause: cause, id: id}
	history, err := s.history(ctx, i)
	if err != nil {
		return f, err
	}
	entered := math.MaxInt // before the report that failed
	switch cause {
	case models.CauseCalibration:
		r, err := s.store.CalibrationReport(ctx, id)
		if err == nil && (r.InstrumentID != i.ID || r.AsFoundGood) {
			err = models.ErrNotFound
		}
		if err != nil {
			return f, fmt.Errorf("failed calibration %.40q of %s: %w", id, i.Code, err)
		}
		f.at, f.leftGood, entered = r.MadeAt, r.AsLeftGood, r.N
		if f.errors, err = errorsAsFound(r.Points); err != nil {
			return f, fmt.Errorf("what calibration %s found: %w", id, err)
		}
	case models.CauseCheck:
		r, err := s.store.GaugeReading(ctx, id)
		if err == nil && (r.InstrumentID != i.ID || r.Good) {
			err = models.ErrNotFound
		}
		if err != nil {
			return f, fmt.Errorf("failed check %.40q of %s: %w", id, i.Code, err)
		}
		f.at = r.ReadAt
		if err := s.sinceLastCheck(ctx, &f, r); err != nil {
			return f, err
		}
	default:
		return f, fmt.Errorf("cause %.40q: %w", cause, models.ErrNotFound)
	}
	for _, good := range history.good(s.zone(ctx), entered) {
		f.after(good)
	}
	return f, nil
}

// after notes a good event, if it is later than those before and earlier than the
// failure.
func (f *failure) after(good time.Time) {
	if good.Before(f.at) && (!f.known || good.After(f.good)) {
		f.good, f.known = good, true
	}
}

// sinceLastCheck notes what a failed check found, and the last time that the same
// check was good.
func (s *Service) sinceLastCheck(ctx context.Context, f *failure, r models.GaugeReading) error {
	c, err := s.store.GaugeCheck(ctx, r.CheckID)
	if err != nil {
		return fmt.Errorf("check of %s: %w", f.instrument.Code, err)
	}
	if f.errors, err = errorsAsFound([]models.CalibrationPoint{{Reference: c.Reference, AsFound: r.Value}}); err != nil {
		return fmt.Errorf("what a check of %s found: %w", f.instrument.Code, err)
	}
	last, err := s.store.LastGoodReading(ctx, r)
	if errors.Is(err, models.ErrNotFound) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("check of %s before: %w", f.instrument.Code, err)
	}
	f.after(last.ReadAt)
	return nil
}

// good lists the moments at which the instrument was found good, or was left so.
// A calibration of which only the day was noted was good, or the instrument would
// not have been used: from the beginning of its day on. One whose day is that of
// a report is the same one, noted again. Reports count that were entered before one: those
// after it were made after it, though it may count from the end of its day.
func (c calibrations) good(zone *time.Location, before int) []time.Time {
	var moments []time.Time
	reported := map[string]bool{}
	for _, r := range c.reports {
		reported[r.MadeAt.In(zone).Format(time.DateOnly)] = true
		if r.N < before && (r.AsFoundGood || r.AsLeftGood) {
			moments = append(moments, r.MadeAt)
		}
	}
	for _, x := range c.all {
		day, err := models.ReadDay(x.CalibratedOn, zone)
		if err == nil && c.report(x.N) == nil && !reported[x.CalibratedOn] {
			moments = append(moments, day.UTC())
		}
	}
	return moments
}

// windows are the stretches in which the instrument, and whatever was held
// against it meanwhile, are suspect.
func (s *Service) windows(ctx context.Context, f failure) ([]gauge.Window, error) {
	calibrated := []gauge.Calibration{{Instrument: f.instrument.ID, At: f.at, AsLeftGood: f.leftGood}}
	if f.known {
		calibrated = append(calibrated, gauge.Calibration{Instrument: f.instrument.ID, At: f.good, AsFoundGood: true, AsLeftGood: true})
	}
	var held []gauge.Comparison
	seen, queue := map[string]bool{f.instrument.ID: true}, []string{f.instrument.ID}
	for len(queue) > 0 {
		used := queue[0]
		queue = queue[1:]
		against, err := s.store.ComparisonsWith(ctx, used, f.good)
		if err != nil {
			return nil, fmt.Errorf("what was held against %s: %w", f.instrument.Code, err)
		}
		for _, c := range against {
			if seen[c.Checked] {
				continue
			}
			seen[c.Checked] = true
			queue = append(queue, c.Checked)
			of, err := s.store.ComparisonsOf(ctx, c.Checked, f.good)
			if err != nil {
				return nil, fmt.Errorf("what an instrument was held against: %w", err)
			}
			for _, x := range of {
				held = append(held, gauge.Comparison{Checked: x.Checked, Used: x.Used, At: x.At})
			}
			events, err := s.history(ctx, models.Instrument{ID: c.Checked, Code: c.Checked})
			if err != nil {
				return nil, err
			}
			// Whether they found it good is their own trace; here they end what was passed
			// on to it.
			moments := events.good(s.zone(ctx), math.MaxInt)
			for _, r := range events.reports {
				moments = append(moments, r.MadeAt)
			}
			for _, at := range moments {
				calibrated = append(calibrated, gauge.Calibration{Instrument: c.Checked, At: at, AsFoundGood: true})
			}
		}
	}
	traced, err := gauge.Trace(calibrated, held, nil)
	if err != nil {
		return nil, fmt.Errorf("windows of %s: %w", f.instrument.Code, err)
	}
	return traced.Windows, nil
}
