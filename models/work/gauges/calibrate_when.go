package gauges

import (
	"context"
	"fmt"
	"strings"
	"time"

	"tracewright/models"
)

// when reads the moment of a calibration in the shop's zone; nothing said is now. It
// lies after the calibration before it, since each covers what was measured from it
// on, and not in the future.
//
// Where only the day is said, the calibration counts from the moment that is safe. What
// it found out of tolerance ends with that day, or now where the day is not over: whatever
// was read on it is traced, and the gauge is good from then on alone. What it found good
// was so from the beginning of the day: a later failure reaches back to there. Neither
// says whether it answers what happened on that day: see timeNeeded.
func (s *Service) when(ctx context.Context, invalid *models.InvalidError, in NewCalibration, history calibrations, r *models.CalibrationReport) (day string) {
	zone := s.zone(ctx)
	now := s.now().In(zone)
	in.Day, in.Time = strings.TrimSpace(in.Day), strings.TrimSpace(in.Time)
	r.MadeAt = now
	switch {
	case in.Day == "" && in.Time == "":
	case in.Day == "":
		invalid.Add("day", "missing")
		return ""
	case in.Time == "":
		from, bad := models.ReadDay(in.Day, zone)
		if bad != nil {
			invalid.Add("day", "bad_date", "typed", models.Shortened(in.Day))
			return ""
		}
		if end := models.DayOf(from, 1).Add(-time.Millisecond); from.After(now) || r.AsFoundGood {
			r.MadeAt = from
		} else if end.Before(now) {
			r.MadeAt = end
		}
	default:
		at := in.Day + " " + in.Time
		made, bad := time.ParseInLocation("2006-01-02 15:04", at, zone)
		if bad != nil {
			invalid.Add("day", "bad_date", "typed", models.Shortened(at))
			return ""
		}
		r.MadeAt = made
	}
	if invalid.TooEarly("day", r.MadeAt.In(zone).Year()) {
		return ""
	}
	day = r.MadeAt.In(zone).Format(time.DateOnly)
	if r.MadeAt.After(now) {
		invalid.Add("day", "calibration_in_future")
	}
	last := len(history.reports) - 1
	if !history.untimed(zone, day).IsZero() {
		last--
	}
	if last >= 0 && !r.MadeAt.After(history.reports[last].MadeAt) {
		invalid.Add("day", "calibration_before_last", "date", history.reports[last].MadeAt.In(zone).Format(time.DateOnly))
	}
	r.MadeAt = models.Moment(r.MadeAt)
	return day
}

// untimed is the moment from which the newest report counts where it is of a day, and no
// time was said of it: the last of the day, though it was made before. It is zero otherwise.
// A calibration of that day which is entered after it may have been made at any time of it.
func (c calibrations) untimed(zone *time.Location, day string) (at time.Time) {
	if len(c.reports) == 0 {
		return at
	}
	made := c.reports[len(c.reports)-1].MadeAt.In(zone)
	if made.Format(time.DateOnly) == day && made.Equal(models.DayOf(made, 1).Add(-time.Millisecond)) {
		at = made
	}
	return at
}

// timeNeeded refuses a calibration without a time where it left good an instrument which
// failed a check on that day, and has not passed it since, or went out of use on it, and
// where the one before it is of that day and has no time either: only the time says what
// came first.
func (s *Service) timeNeeded(ctx context.Context, invalid *models.InvalidError, in NewCalibration, i models.Instrument, failed time.Time, history calibrations, r models.CalibrationReport, day string) error {
	if strings.TrimSpace(in.Day) == "" || strings.TrimSpace(in.Time) != "" {
		return nil
	}
	zone := s.zone(ctx)
	onDay := func(at time.Time) bool { return at.In(zone).Format(time.DateOnly) == day }
	undecided := r.AsLeftGood && onDay(failed) || !history.untimed(zone, day).IsZero()
	if r.AsLeftGood && i.State == models.InstrumentOut && !undecided {
		known, err := s.store.HowGaugesStood(ctx, []string{i.ID}, s.now())
		if err != nil {
			return fmt.Errorf("states of %s: %w", i.Code, err)
		}
		undecided = onDay(models.StateSince(known.States))
	}
	if undecided {
		invalid.Add("time", "calibration_time_needed")
	}
	return nil
}
