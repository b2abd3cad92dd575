package gauges

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
)

const (
	mostCalibrationPoints = 40
	longestNote           = 500
	usualInterval         = 12 // months, where no calibration before says another
)

// NewCalibration is a calibration as a person enters it. Day and Time are the
// shop's; empty is now. The day when the next is due may be left to the rule.
type NewCalibration struct {
	Day, Time   string // YYYY-MM-DD, HH:MM
	DueOn       string
	Certificate string // its number
	By          string // who calibrated
	Standard    string // the code of one of the register, or in words
	Adjusted    bool
	Points      []models.CalibrationPoint
	Note        string
}

// Calibrated is what came of entering a calibration. Trace stands where the
// instrument was found out of tolerance.
type Calibrated struct {
	Report   models.CalibrationReport
	Trace    *models.GaugeTrace
	Later    bool // a later calibration is known: the days of the instrument stay those of that one
	StaysOut bool // it was left good, and went out or failed a check since
}

// Calibrate keeps a calibration with what it found, and brings the instrument into
// the state in which it was left. Where it was found out of tolerance, what it had
// measured is traced at once.
func (s *Service) Calibrate(ctx context.Context, actor models.Actor, code string, in NewCalibration) (Calibrated, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return Calibrated{}, err
	}
	i := v.Instrument
	history, err := s.history(ctx, i)
	if err != nil {
		return Calibrated{}, err
	}
	invalid := &models.InvalidError{}
	r := models.CalibrationReport{ID: models.NewID(), InstrumentID: i.ID, Adjusted: in.Adjusted, AsFoundGood: true, AsLeftGood: true}
	r.MadeBy, r.Note = text(invalid, "by", in.By, longestText, true), text(invalid, "note", in.Note, longestNote, false)
	certificate := text(invalid, "certificate_number", in.Certificate, longestText, false)
	if err := s.standard(ctx, invalid, i, in.Standard, &r); err != nil {
		return Calibrated{}, err
	}
	r.Points = checkCalibration(invalid, in, &r)
	failed, err := s.checkFailed(ctx, i)
	if err != nil {
		return Calibrated{}, err
	}
	day := s.when(ctx, invalid, in, history, &r)
	if err := s.timeNeeded(ctx, invalid, in, i, failed, history, r, day); err != nil {
		return Calibrated{}, err
	}
	due := models.Instrument{CalibratedOn: day, DueOn: in.DueOn}
	checkDays(invalid, &due)
	if err := invalid.OrNil(); err != nil {
		return Calibrated{}, err
	}
	if due.DueOn == "" {
		if due.DueOn, err = offeredDay(day, history, r.AsFoundGood); err != nil {
			return Calibrated{}, err
		}
	}
	left := left{calibration: models.Calibration{CalibratedOn: day, DueOn: due.DueOn, CertificateNumber: certificate, Reported: true}, report: r, failed: failed, untimed: history.untimed(s.zone(ctx), day)}
	out := Calibrated{}
	out.Report, err = s.store.AddCalibrationReport(ctx, models.NewStamp(actor, s.now()), left.calibration, r, func(i *models.Instrument, since time.Time) {
		out.Later, out.StaysOut = left.on(i, since)
	})
	if err != nil {
		return Calibrated{}, fmt.Errorf("calibration of %s: %w", i.Code, err)
	}
	if !r.AsFoundGood {
		trace, err := s.Trace(ctx, actor, code, models.CauseCalibration, out.Report.ID)
		if err != nil {
			return Calibrated{}, err
		}
		out.Trace = &trace
	}
	return out, nil
}

// standard finds what an instrument was held against: one of the register by its
// code, or what is said of another.
func (s *Service) standard(ctx context.Context, invalid *models.InvalidError, i models.Instrument, said string, r *models.CalibrationReport) error {
	said = text(invalid, "standard", said, longestText, true)
	if said == "" {
		return nil
	}
	found, err := s.store.InstrumentsByCode(ctx, []string{said})
	if err != nil {
		return fmt.Errorf("instrument %.40q: %w", said, err)
	}
	switch {
	case len(found) == 0:
		r.Standard = said
	case found[0].ID == i.ID:
		invalid.Add("standard", "standard_is_itself", "instrument", i.Code)
	default:
		r.StandardID = &found[0].ID
	}
	return nil
}

func text(invalid *models.InvalidError, field, typed string, most int, needed bool) string {
	if typed = models.Trimmed(typed); typed == "" && needed {
		invalid.Add(field, "missing")
	}
	invalid.Lines(field, typed, most)
	return typed
}

// checkCalibration reads the points, puts them in order, and says in r whether
// the instrument was found and left within their tolerances. An error that is
// the tolerance itself is within it.
func checkCalibration(invalid *models.InvalidError, in NewCalibration, r *models.CalibrationReport) []models.CalibrationPoint {
	if n := len(in.Points); n < 1 || n > mostCalibrationPoints {
		invalid.Add("points", "calibration_points", "got", fmt.Sprint(n), "most", fmt.Sprint(mostCalibrationPoints))
		return nil
	}
	type read struct {
		reference measure.Decimal
		point     models.CalibrationPoint
	}
	var all []read
	for n, p := range in.Points {
		field := func(name string) string { return fmt.Sprintf("points[%d].%s", n, name) }
		number := func(name string, value *string, positive, needed bool) (measure.Decimal, bool) {
			if *value = strings.TrimSpace(*value); *value == "" && needed {
				invalid.Add(field(name), "missing")
				return measure.Decimal{}, false
			}
			return decimal(invalid, field(name), value, positive)
		}
		reference, ok := number("reference", &p.Reference, false, true)
		found, okFound := number("as_found", &p.AsFound, false, true)
		left, okLeft := found, okFound
		if p.AsLeft = strings.TrimSpace(p.AsLeft); p.AsLeft == "" && !in.Adjusted {
			p.AsLeft = p.AsFound
		} else {
			left, okLeft = number("as_left", &p.AsLeft, false, true)
		}
		tolerance, okTolerance := number("tolerance", &p.Tolerance, true, true)
		u, hasU := number("u", &p.U, true, false)
		if !ok || !okFound || !okLeft || !okTolerance {
			continue
		}
		if !in.Adjusted && found.Cmp(left) != 0 {
			invalid.Add(field("as_left"), "left_as_found")
		}
		if hasU && u.Cmp(tolerance) > 0 {
			invalid.Add(field("u"), "u_above_tolerance")
		}
		if slices.ContainsFunc(all, func(x read) bool { return x.reference.Equal(reference) }) {
			invalid.Add(field("reference"), "reference_twice", "reference", p.Reference)
		}
		r.AsFoundGood = r.AsFoundGood && within(found, reference, tolerance)
		r.AsLeftGood = r.AsLeftGood && within(left, reference, tolerance)
		all = append(all, read{reference, p})
	}
	slices.SortStableFunc(all, func(a, b read) int { return a.reference.Cmp(b.reference) })
	points := make([]models.CalibrationPoint, len(all))
	for i, x := range all {
		points[i] = x.point
	}
	return points
}

// ErrorOf is what an instrument was found to read too much at a point, and
// whether that is within its tolerance; empty where the point is none.
func ErrorOf(p models.CalibrationPoint) (off string, good bool) {
	found, errFound := measure.Parse(p.AsFound)
	reference, errReference := measure.Parse(p.Reference)
	tolerance, errTolerance := measure.Parse(p.Tolerance)
	if errors.Join(errFound, errReference, errTolerance) != nil {
		return "", false
	}
	d, err := found.Sub(reference)
	if err != nil {
		return "", false
	}
	return d.String(), within(found, reference, tolerance)
}

func within(reading, reference, tolerance measure.Decimal) bool {
	off, err := reading.Sub(reference)
	return err == nil && off.Abs().Cmp(tolerance) <= 0
}

// calibrations are those of one instrument, in the order in which they were entered.
type calibrations struct {
	all     []models.Calibration
	reports []models.CalibrationReport
}

func (s *Service) history(ctx context.Context, i models.Instrument) (calibrations, error) {
	all, err := s.store.CalibrationsOf(ctx, []string{i.ID})
	if err != nil {
		return calibrations{}, fmt.Errorf("calibrations of %s: %w", i.Code, err)
	}
	reports, err := s.store.CalibrationReports(ctx, []string{i.ID})
	if err != nil {
		return calibrations{}, fmt.Errorf("reports of calibrations of %s: %w", i.Code, err)
	}
	slices.SortFunc(reports, func(a, b models.CalibrationReport) int { return a.N - b.N })
	return calibrations{all: all, reports: reports}, nil
}

// report is that of a calibration, nil where only its days were noted.
func (c calibrations) report(n int) *models.CalibrationReport {
	for i := range c.reports {
		if c.reports[i].N == n {
			return &c.reports[i]
		}
	}
	return nil
}

// Offer is when the next calibration would be due by the rule, by how the
// instrument is found now.
type Offer struct {
	Last      int // months of the interval before
	Good, Bad int // months
}

// Offered gives the offer of the rule for an instrument.
func (s *Service) Offered(ctx context.Context, code string) (Offer, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return Offer{}, err
	}
	history, err := s.history(ctx, v.Instrument)
	if err != nil {
		return Offer{}, err
	}
	return history.offer()
}

func (c calibrations) offer() (Offer, error) {
	o := Offer{Last: c.interval()}
	var found []bool
	for _, r := range c.reports {
		found = append(found, r.AsFoundGood)
	}
	var err error
	if o.Good, err = gauge.NextInterval(o.Last, append(slices.Clone(found), true)); err != nil {
		return o, fmt.Errorf("interval to the next calibration: %w", err)
	}
	if o.Bad, err = gauge.NextInterval(o.Last, append(found, false)); err != nil {
		return o, fmt.Errorf("interval to the next calibration: %w", err)
	}
	return o, nil
}

// interval is the last one that was set, in whole months.
func (c calibrations) interval() int {
	for n := len(c.all) - 1; n >= 0; n-- {
		from, errFrom := time.Parse(time.DateOnly, c.all[n].CalibratedOn)
		to, errTo := time.Parse(time.DateOnly, c.all[n].DueOn)
		if errFrom != nil || errTo != nil {
			continue
		}
		months := (to.Year()-from.Year())*12 + int(to.Month()) - int(from.Month())
		if models.MonthsLater(from, months).Format(time.DateOnly) > c.all[n].DueOn {
			months--
		}
		if months >= 1 && months <= 10*gauge.LongestInterval {
			return months
		}
	}
	return usualInterval
}

func offeredDay(day string, history calibrations, good bool) (string, error) {
	offer, err := history.offer()
	if err != nil {
		return "", err
	}
	months := offer.Bad
	if good {
		months = offer.Good
	}
	from, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return "", fmt.Errorf("day of a calibration: %w", err)
	}
	return models.MonthsLater(from, months).Format(time.DateOnly), nil
}

// CalibrationView is one calibration, with what it found where that was entered.
type CalibrationView struct {
	models.Calibration
	Report   *models.CalibrationReport
	Standard string // code of the one of the register, or what was said
	Known    bool   // the standard stands in the register
}

// Calibrations lists those of an instrument, newest first.
func (s *Service) Calibrations(ctx context.Context, code string) ([]CalibrationView, error) {
	v, err := s.Instrument(ctx, code)
	if err != nil {
		return nil, err
	}
	history, err := s.history(ctx, v.Instrument)
	if err != nil {
		return nil, err
	}
	names, err := s.codes(ctx)
	if err != nil {
		return nil, err
	}
	var views []CalibrationView
	for n := len(history.all) - 1; n >= 0; n-- {
		c := history.all[n]
		view := CalibrationView{Calibration: c, Report: history.report(c.N)}
		if view.Report == nil && c.CalibratedOn == "" {
			continue // Nothing was known then.
		}
		if r := view.Report; r != nil {
			view.Standard = r.Standard
			if r.StandardID != nil {
				view.Standard, view.Known = names[*r.StandardID], true
			}
		}
		views = append(views, view)
	}
	return views, nil
}

// codes maps the keys of instruments to what they are called by.
func (s *Service) codes(ctx context.Context) (map[string]string, error) {
	all, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("instruments: %w", err)
	}
	names := make(map[string]string, len(all))
	for _, i := range all {
		names[i.ID] = i.Code
	}
	return names, nil
}
