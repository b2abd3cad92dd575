package gauges

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// left is how a calibration leaves its instrument.
type left struct {
	calibration models.Calibration
	report      models.CalibrationReport
	failed      time.Time // when the instrument last failed a short check that it has not passed since
	untimed     time.Time // from when the calibration before it counts that was made earlier on its day
}

// on changes an instrument that is in its state since a moment. The newest calibration
// gives it its days, and puts it out of use where it left it out of tolerance. One that
// left it good puts it back into use, unless it went out or failed a check after that: an
// earlier calibration knows nothing of it.
func (l left) on(i *models.Instrument, since time.Time) (later, staysOut bool) {
	c := l.calibration
	later = !c.Follows(i.CalibratedOn)
	if !later {
		i.CalibratedOn, i.DueOn, i.CertificateNumber = c.CalibratedOn, c.DueOn, c.CertificateNumber
	}
	switch made := l.report.MadeAt; {
	case i.State == models.InstrumentRetired:
	case l.report.AsLeftGood && i.State == models.InstrumentOut && !((made.After(since) || since.Equal(l.untimed)) && made.After(l.failed)):
		staysOut = true
	case l.report.AsLeftGood:
		i.State, i.OutNote = models.InstrumentInUse, ""
	case !later:
		i.State, i.OutNote = models.InstrumentOut, ""
	}
	return later, staysOut
}

// checkFailed is when an instrument last failed a short check that it has not passed
// since, be the check asked for still or not; zero for never.
func (s *Service) checkFailed(ctx context.Context, i models.Instrument) (at time.Time, err error) {
	checks, err := s.store.GaugeChecks(ctx, []string{i.ID})
	if err != nil {
		return at, fmt.Errorf("checks of %s: %w", i.Code, err)
	}
	last, err := s.lastReadings(ctx, checks)
	if err != nil {
		return at, err
	}
	for _, r := range last {
		if !r.Good && r.ReadAt.After(at) {
			at = r.ReadAt
		}
	}
	return at, nil
}
