package gauges_test

import (
	"context"
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

func points(all ...string) (list []models.CalibrationPoint) {
	for i := 0; i < len(all); i += 4 {
		list = append(list, models.CalibrationPoint{Reference: all[i], AsFound: all[i+1], AsLeft: all[i+2], Tolerance: all[i+3]})
	}
	return list
}

// As found and as left are judged point by point, and the tolerance itself is
// within it. The shop's clock stands at noon of 12 May 2031.
func TestACalibrationIsChecked(t *testing.T) {
	h := worktest.New(t)
	s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
	good := gauges.NewCalibration{Day: "2031-05-12", Time: "11:00", By: "lab", Standard: "hung weights", Certificate: "K-7", Points: points("800", "838", "", "38", "400", "395", "", "38")}
	first, err := s.Calibrate(t.Context(), h.Owner, "T-1", good)
	h.Must(err)
	if r := first.Report; !r.AsFoundGood || !r.AsLeftGood || first.Trace != nil || r.Points[0].Reference != "400" || r.Points[0].AsLeft != "395" || !r.MadeAt.Equal(time.Date(2031, 5, 12, 11, 0, 0, 0, time.UTC)) {
		t.Errorf("entered as %+v", r)
	}
	v, err := s.Instrument(t.Context(), "T-1")
	h.Must(err)
	if i := v.Instrument; i.CalibratedOn != "2031-05-12" || i.DueOn != "2032-05-12" || i.CertificateNumber != "K-7" {
		t.Errorf("left as %+v", i)
	}
	for _, c := range []struct {
		name   string
		change func(*gauges.NewCalibration)
		want   []string
	}{
		{"nothing said", func(n *gauges.NewCalibration) { *n = gauges.NewCalibration{Day: "2031-05-12", Time: "11:30"} }, []string{"by: missing", "points: calibration_points", "standard: missing"}},
		{"after the readings that it should cover were taken, in the future", func(n *gauges.NewCalibration) { n.Time = "12:01" }, []string{"day: calibration_in_future"}},
		{"before the one that is entered", func(n *gauges.NewCalibration) { n.Time = "10:59" }, []string{"day: calibration_before_last"}},
		{"at the same moment again", func(n *gauges.NewCalibration) { n.Time = "11:00" }, []string{"day: calibration_before_last"}},
		{"before anything was recorded", func(n *gauges.NewCalibration) { n.Day = "1969-12-31" }, []string{"day: day_too_early"}},
		{"no such day", func(n *gauges.NewCalibration) { n.Day = "2031-02-30" }, []string{"day: bad_date"}},
		{"a time without its day", func(n *gauges.NewCalibration) { n.Day = "" }, []string{"day: missing"}},
		{"against itself", func(n *gauges.NewCalibration) { n.Standard = "T-1" }, []string{"standard: standard_is_itself"}},
		{"due before it", func(n *gauges.NewCalibration) { n.DueOn = "2031-05-11" }, []string{"due_on: end_before_start"}},
		{"no number", func(n *gauges.NewCalibration) { n.Points = points("800", "1.2.3", "", "38") }, []string{"points[0].as_found: not_a_number"}},
		{"no tolerance", func(n *gauges.NewCalibration) { n.Points = points("800", "801", "", "") }, []string{"points[0].tolerance: missing"}},
		{"adjusted, and not said to what", func(n *gauges.NewCalibration) { n.Adjusted, n.Points = true, points("800", "901", "", "38") }, []string{"points[0].as_left: missing"}},
		{"left as it was not found", func(n *gauges.NewCalibration) { n.Points = points("800", "901", "800", "38") }, []string{"points[0].as_left: left_as_found"}},
		{"a reference twice", func(n *gauges.NewCalibration) { n.Points = points("800", "801", "", "38", "800.0", "802", "", "38") }, []string{"points[1].reference: reference_twice"}},
		{"an uncertainty above the tolerance", func(n *gauges.NewCalibration) { n.Points[0].U = "39" }, []string{"points[0].u: u_above_tolerance"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad := good
			bad.Time, bad.Points = "11:30", points("800", "838", "", "38")
			c.change(&bad)
			_, err := s.Calibrate(t.Context(), h.Owner, "T-1", bad)
			worktest.WantProblems(t, err, c.want...)
		})
	}
}

// A gauge that was found out and left out goes out of use until it is left good;
// the day when it is next due follows from how it was found: 12 months, half of
// them after a failure, those again when it is good for the first time, and five
// quarters of them after twice.
func TestWhatACalibrationLeaves(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		for _, step := range []struct {
			name         string
			adjusted     bool
			found, left  string
			standing     gauges.Standing
			due          string
			traced, note bool
		}{
			{"out, and left so", false, "850", "850", gauges.Out, "2031-11-13", true, true},
			{"found out, and put right", true, "850", "801", gauges.InDate, "2031-08-14", true, false},
			{"good", false, "802", "802", gauges.InDate, "2031-08-15", false, false},
			{"good again", false, "802", "802", gauges.InDate, "2031-08-16", false, false},
		} {
			h.Now = h.Now.AddDate(0, 0, 1)
			out, err := s.Calibrate(ctx, h.Owner, "T-1", gauges.NewCalibration{By: "lab", Standard: "hung weights", Adjusted: step.adjusted, Points: points("800", step.found, step.left, "38")})
			h.Must(err)
			v, err := s.Instrument(ctx, "T-1")
			h.Must(err)
			if v.Standing != step.standing || v.Instrument.DueOn != step.due || (out.Trace != nil) != step.traced {
				t.Errorf("%s: it is %s, due on %s, traced %v; want %s, %s, %v", step.name, v.Standing, v.Instrument.DueOn, out.Trace != nil, step.standing, step.due, step.traced)
			}
			if err := s.JudgeAnyway(ctx, h.Owner, "T-1", nil, "only to sort"); (err == nil) != step.note {
				t.Errorf("%s: the owner lets it be used: %v", step.name, err)
			}
		}
		v, err := s.Instrument(ctx, "T-1")
		h.Must(err)
		if v.Instrument.OutNote != "" {
			t.Errorf("the note %q outlived the state", v.Instrument.OutNote)
		}
		if err := s.JudgeAnyway(ctx, h.Operator, "T-1", nil, "why not"); !errors.Is(err, models.ErrForbidden) {
			t.Errorf("an operator lets it be used: %v", err)
		}
		list, err := s.Calibrations(ctx, "T-1")
		h.Must(err)
		if len(list) < 4 || list[0].Report == nil || list[3].Report.AsLeftGood || list[3].Standard != "hung weights" {
			t.Errorf("the list: %+v", list)
		}
	})
}

// meanwhile is a store on which something happens after an instrument was read.
type meanwhile struct {
	*store.Store
	happens func()
}

func (m meanwhile) CalibrationReports(ctx context.Context, ids []string) ([]models.CalibrationReport, error) {
	m.happens()
	return m.Store.CalibrationReports(ctx, ids)
}

// A calibration changes the days, the certificate and the state of a gauge: what else is
// said of it while it is entered stands, and one that was retired stays so.
func TestACalibrationChangesNothingElse(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		before, err := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone).Instrument(t.Context(), "T-1")
		h.Must(err)
		s := gauges.New(meanwhile{h.Store, func() {
			_, err := h.Store.ChangeInstrument(t.Context(), models.NewStamp(h.Owner, h.Now), before.Instrument.ID, func(i *models.Instrument) error {
				i.Place, i.State = "stand 7", models.InstrumentRetired
				return nil
			})
			h.Must(err)
		}}, h.Capture, h.Clock, worktest.Zone)
		_, err = s.Calibrate(t.Context(), h.Owner, "T-1", gauges.NewCalibration{By: "lab", Standard: "hung weights", Certificate: "K-7", Points: points("800", "802", "", "38")})
		h.Must(err)
		v, err := s.Instrument(t.Context(), "T-1")
		h.Must(err)
		if i := v.Instrument; i.Place != "stand 7" || i.State != models.InstrumentRetired || i.CertificateNumber != "K-7" || i.CalibratedOn != "2031-05-12" {
			t.Errorf("it is left as %+v", i)
		}
	})
}

// A short check has its own limits, is judged by them, and one that failed is
// traced from the last one that was good.
func TestAShortCheck(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx := t.Context()
		for name, c := range map[string]struct {
			in   gauges.NewCheck
			want []string
		}{
			"nothing":               {gauges.NewCheck{}, []string{"high: missing", "low: missing", "reference: missing", "what: unknown_choice"}},
			"a reference beside it": {gauges.NewCheck{What: models.CheckZero, Reference: "0.03", Low: "-0.02", High: "0.02"}, []string{"reference: reference_outside_limits"}},
			"limits turned round":   {gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "0.02", High: "-0.02"}, []string{"reference: reference_outside_limits"}},
			"the gauge by itself":   {gauges.NewCheck{What: models.CheckZero, Piece: "D-1", Reference: "0", Low: "0", High: "0"}, []string{"piece: standard_is_itself"}},
		} {
			t.Run(name, func(t *testing.T) {
				_, err := r.s.AddCheck(ctx, r.Owner, "D-1", c.in)
				worktest.WantProblems(t, err, c.want...)
			})
		}
		zero, err := r.s.AddCheck(ctx, r.Owner, "D-1", gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0,02", High: ".02"})
		r.Must(err)
		early := r.wheel("D-1", "0.05", "-0.05")
		r.Now = r.Now.Add(time.Minute)
		id := models.NewID()
		for range 2 { // Sent twice it is done once.
			out, err := r.s.Check(ctx, r.Operator, "D-1", zero.ID, id, "0,02")
			r.Must(err)
			if !out.Reading.Good || out.Trace != nil || out.Reading.Value != "0.02" {
				t.Errorf("a reading at its limit: %+v", out)
			}
		}
		if _, err := r.s.Check(ctx, r.Operator, "D-1", zero.ID, id, "0.01"); !errors.Is(err, models.ErrConflict) {
			t.Errorf("the same key with another value: %v", err)
		}
		r.Now = r.Now.Add(time.Minute)
		late := r.wheel("D-1", "0.14", "-0.14")
		r.Now = r.Now.Add(time.Minute)
		failed, err := r.s.Check(ctx, r.Operator, "D-1", zero.ID, models.NewID(), "0.03")
		r.Must(err)
		sets := content(t, failed.Trace).Sets
		again, err := r.s.Check(ctx, r.Operator, "D-1", zero.ID, failed.Reading.ID, "0.03")
		r.Must(err)
		if again.Trace == nil || again.Trace.ID != failed.Trace.ID {
			t.Errorf("a failed one sent twice leads to %+v, want the trace that there is", again.Trace)
		}
		stopped := models.GaugeReading{ID: models.NewID(), CheckID: zero.ID, InstrumentID: failed.Reading.InstrumentID, Value: "0.03", ReadAt: failed.Reading.ReadAt, ReadBy: failed.Reading.ReadBy}
		r.Must(r.Store.AddGaugeReading(ctx, models.NewStamp(r.Operator, r.Now), stopped)) // The program stopped after this.
		if again, err = r.s.Check(ctx, r.Operator, "D-1", zero.ID, stopped.ID, "0.03"); err != nil || again.Trace == nil || again.Trace.CauseID != stopped.ID {
			t.Errorf("a failed one that was never traced, sent again: %+v, %v", again.Trace, err)
		}
		if len(sets) != 2 || sets[0].Inspection != late.ID {
			t.Errorf("since it was last good: %+v, not %s", sets, early.ID)
		}
		for _, set := range sets { // The same error everywhere takes nothing from a run-out.
			if set.Effect != models.SetStaysGood {
				t.Errorf("%+v", set)
			}
		}
		list, err := r.s.Checks(ctx, "D-1")
		r.Must(err)
		if len(list) != 1 || len(list[0].Readings) != 3 || !list[0].Today || list[0].Last().Good {
			t.Errorf("checks: %+v", list)
		}
		_, err = r.s.Check(ctx, r.Operator, "D-1", zero.ID, models.NewID(), " ")
		worktest.WantProblems(t, err, "value: missing")
		r.Must(r.s.EndCheck(ctx, r.Owner, "D-1", zero.ID))
		_, err = r.s.Check(ctx, r.Operator, "D-1", zero.ID, models.NewID(), "0")
		worktest.WantProblems(t, err, "value: check_ended")
		if _, err := r.s.Check(ctx, r.Operator, "D-2", zero.ID, models.NewID(), "0"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a check of another gauge: %v", err)
		}
		if err := r.s.EndCheck(ctx, r.Owner, "D-1", zero.ID); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("ended twice: %v", err)
		}
	})
}

// How checks stand is the day's: not done they are due, a bad one stands until a
// good one or a calibration answers it, and the next day they are due again.
func TestHowChecksStand(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx := t.Context()
		want := func(when string, want ...gauges.CheckNeeded) {
			t.Helper()
			got, err := r.s.ChecksNeeded(ctx)
			r.Must(err)
			same := slices.EqualFunc(got, want, func(a, b gauges.CheckNeeded) bool {
				return a.Instrument.Code == b.Instrument.Code && a.State == b.State
			})
			if !same {
				t.Errorf("%s: %+v, want %+v", when, got, want)
			}
		}
		gauge := func(code, state string) gauges.CheckNeeded {
			return gauges.CheckNeeded{Instrument: models.Instrument{Code: code}, State: state}
		}
		ask := func(code string) models.GaugeCheck {
			c, err := r.s.AddCheck(ctx, r.Owner, code, gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0.02", High: "0.02"})
			r.Must(err)
			return c
		}
		check := func(c models.GaugeCheck, code, value string) gauges.Checked {
			r.Now = r.Now.Add(time.Minute)
			out, err := r.s.Check(ctx, r.Operator, code, c.ID, models.NewID(), value)
			r.Must(err)
			return out
		}
		want("none is asked for")
		first, second := ask("D-1"), ask("D-1")
		other := ask("D-2")
		want("none was done", gauge("D-1", gauges.ChecksDue), gauge("D-2", gauges.ChecksDue))
		check(first, "D-1", "0")
		check(other, "D-2", "0.03")
		want("one of two was done", gauge("D-2", gauges.ChecksFailed), gauge("D-1", gauges.ChecksDue))
		check(second, "D-1", "0.01")
		check(other, "D-2", "0.02")
		want("all were done, one again")
		check(first, "D-1", "0.5")
		check(second, "D-1", "0")
		want("another good one answers nothing", gauge("D-1", gauges.ChecksFailed))
		r.Now = r.Now.Add(time.Minute)
		r.calibrate("D-1", "HW-1", false, true)
		want("adjusted, it is to be looked at", gauge("D-1", gauges.ChecksDue))
		check(first, "D-1", "0")
		want("and was")
		r.Now = r.Now.AddDate(0, 0, 1)
		want("the next day", gauge("D-1", gauges.ChecksDue), gauge("D-2", gauges.ChecksDue))
		r.Must(r.s.EndCheck(ctx, r.Owner, "D-2", other.ID))
		out, err := r.s.Instrument(ctx, "D-1")
		r.Must(err)
		from, err := models.Digest(out.Instrument)
		r.Must(err)
		out.Instrument.State = models.InstrumentOut
		_, err = r.s.Update(ctx, r.Owner, "D-1", from, out.Instrument)
		r.Must(err)
		want("out of use, or asked for no longer")
	})
}

// What is offered where a month has no such day is its last one, and that counts as as
// many months the next time.
func TestADayThatAMonthDoesNotHave(t *testing.T) {
	h := worktest.New(t)
	s := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
	h.Now = time.Date(2030, 8, 31, 12, 0, 0, 0, time.UTC)
	// Out of tolerance, as found: half a year on, not a year.
	_, err := s.Calibrate(t.Context(), h.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Adjusted: true, Points: points("1.00", "1.10", "1.00", "0.02")})
	h.Must(err)
	v, err := s.Instrument(t.Context(), "D-1")
	h.Must(err)
	if v.Instrument.DueOn != "2031-02-28" {
		t.Errorf("six months after 31 August is %s", v.Instrument.DueOn)
	}
	offer, err := s.Offered(t.Context(), "D-1")
	h.Must(err)
	if offer.Last != 6 {
		t.Errorf("which counts as %d months", offer.Last)
	}
}
