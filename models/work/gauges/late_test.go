package gauges_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/worktest"
)

// say changes the entry of a gauge now.
func (r *room) say(code string, change func(*models.Instrument)) {
	r.Helper()
	v, err := r.s.Instrument(r.Context(), code)
	r.Must(err)
	from, err := models.Digest(v.Instrument)
	r.Must(err)
	change(&v.Instrument)
	_, err = r.s.Update(r.Context(), r.Owner, code, from, v.Instrument)
	r.Must(err)
}

func out(i *models.Instrument)   { i.State = models.InstrumentOut }
func inUse(i *models.Instrument) { i.State = models.InstrumentInUse }

// ofDay is a calibration of D-1 at ten in the morning, at one point of 1 mm within
// 0.02 mm or beyond.
func ofDay(day, left string) gauges.NewCalibration {
	return gauges.NewCalibration{Day: day, Time: "10:00", DueOn: "2033-01-01", By: "lab", Standard: "x", Certificate: "K-1", Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: left, Tolerance: "0.02"}}}
}

// A calibration that is entered after a later one, or after the gauge went out or
// failed a check, takes nothing back: the days are those of the newest one, and what
// was found since stands.
func TestACalibrationEnteredLateTakesNothingBack(t *testing.T) {
	const good, bad = "1.00", "1.10"
	noted := func(day string) func(*models.Instrument) {
		return func(i *models.Instrument) { i.CalibratedOn, i.DueOn, i.CertificateNumber = day, "2032-05-11", "K-9" }
	}
	for _, c := range []struct {
		name        string
		before      func(t *testing.T, r *room)
		day, left   string
		calibrated  string // the day on the entry after it
		state       string
		later, stay bool
	}{
		{"a later one is noted", func(_ *testing.T, r *room) { r.say("D-1", noted("2031-05-11")) }, "2031-04-12", good, "2031-05-11", models.InstrumentInUse, true, false},
		{"one of the same day is noted", func(_ *testing.T, r *room) { r.say("D-1", noted("2031-05-11")) }, "2031-05-11", good, "2031-05-11", models.InstrumentInUse, false, false},
		{"an earlier one is noted", func(_ *testing.T, r *room) { r.say("D-1", noted("2031-05-10")) }, "2031-05-11", good, "2031-05-11", models.InstrumentInUse, false, false},
		{"it went out since", func(_ *testing.T, r *room) { r.at("2031-05-13T09:00:00Z"); r.say("D-1", out) }, "2031-05-12", good, "2031-05-12", models.InstrumentOut, false, true},
		{"it went out before", func(_ *testing.T, r *room) { r.at("2031-05-13T09:00:00Z"); r.say("D-1", out) }, "2031-05-13", good, "2031-05-13", models.InstrumentInUse, false, false},
		{"it went out before, and the owner has spoken since", func(_ *testing.T, r *room) {
			r.at("2031-05-12T09:00:00Z")
			r.say("D-1", out)
			r.at("2031-05-13T09:00:00Z")
			r.Must(r.s.JudgeAnyway(r.Context(), r.Owner, "D-1", nil, "only to sort"))
		}, "2031-05-12", good, "2031-05-12", models.InstrumentInUse, false, false},
		{"it was out, and failed a check since", func(_ *testing.T, r *room) { r.say("D-1", out); r.check("2031-05-13T09:00:00Z", "1.10") }, "2031-05-12", good, "2031-05-12", models.InstrumentOut, false, true},
		{"it was out, failed a check and passed it since", func(_ *testing.T, r *room) {
			r.say("D-1", out)
			r.check("2031-05-13T09:00:00Z", "1.10", "1.00")
		}, "2031-05-12", good, "2031-05-12", models.InstrumentInUse, false, false},
		{"it left the gauge bad", func(*testing.T, *room) {}, "2031-05-12", bad, "2031-05-12", models.InstrumentOut, false, false},
		{"it left the gauge bad, and it went back into use since", func(_ *testing.T, r *room) {
			r.say("D-1", out)
			r.at("2031-05-13T09:00:00Z")
			r.say("D-1", inUse)
		}, "2031-05-12", bad, "2031-05-12", models.InstrumentOut, false, false},
		{"it left the gauge bad, and a later one is noted", func(_ *testing.T, r *room) { r.at("2031-05-13T09:00:00Z"); r.say("D-1", noted("2031-05-13")) }, "2031-05-12", bad, "2031-05-13", models.InstrumentInUse, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			eachRoom(t, func(t *testing.T, r *room) {
				r.at("2031-05-11T12:00:00Z")
				c.before(t, r)
				r.at("2031-05-14T09:00:00Z")
				done, err := r.s.Calibrate(t.Context(), r.Owner, "D-1", ofDay(c.day, c.left))
				r.Must(err)
				v, err := r.s.Instrument(t.Context(), "D-1")
				r.Must(err)
				due, number := "2032-05-11", "K-9"
				if !c.later {
					due, number = "2033-01-01", "K-1"
				}
				if i := v.Instrument; i.CalibratedOn != c.calibrated || i.DueOn != due || i.CertificateNumber != number || i.State != c.state {
					t.Errorf("calibrated %s, due %s, %s, %s; want %s, %s, %s, %s", i.CalibratedOn, i.DueOn, i.CertificateNumber, i.State, c.calibrated, due, number, c.state)
				}
				if done.Later != c.later || done.StaysOut != c.stay {
					t.Errorf("a later one is known: %v, it stays out: %v; want %v, %v", done.Later, done.StaysOut, c.later, c.stay)
				}
				list, err := r.s.Calibrations(t.Context(), "D-1")
				r.Must(err)
				if x := list[0]; x.Report == nil || x.CalibratedOn != c.day || x.DueOn != "2033-01-01" || x.CertificateNumber != "K-1" {
					t.Errorf("it is kept as %+v", x)
				}
				known, err := r.Store.CalibrationsOf(t.Context(), []string{v.Instrument.ID})
				r.Must(err)
				if held := models.CalibrationInForce(known, r.Now.AddDate(0, 0, 6), "2031-05-20"); held == nil || held.CalibratedOn != c.calibrated || held.DueOn != due {
					t.Errorf("a week on %+v is in force, and the entry says %s, due %s", held, c.calibrated, due)
				}
			})
		})
	}
}

// check does a short check of D-1, good between 0.98 and 1.02, as often as there are
// readings.
func (r *room) check(at string, readings ...string) {
	r.Helper()
	r.at(at)
	c, err := r.s.AddCheck(r.Context(), r.Owner, "D-1", gauges.NewCheck{What: models.CheckOfOtherKind, Reference: "1.00", Low: "0.98", High: "1.02"})
	r.Must(err)
	for _, value := range readings {
		_, err := r.s.Check(r.Context(), r.Owner, "D-1", c.ID, models.NewID(), value)
		r.Must(err)
		r.Now = r.Now.Add(time.Minute)
	}
}

// Of a calibration whose time is not said, what was found out of tolerance counts to the
// end of its day, or to now where that is before, and what was found good from its
// beginning. Where the gauge went out or failed a check on that day and was left good,
// only the time says which came first.
func TestACalibrationWithoutATime(t *testing.T) {
	for _, c := range []struct {
		name, now  string
		before     func(r *room)
		found      string
		adjusted   bool
		made, want string // when it counts, or what is said against it
		traced     int
	}{
		{"bad, entered that evening", "2031-05-13T18:00:00Z", nil, "1.50", false, "2031-05-13T18:00:00Z", "", 1},
		{"bad, entered the next day", "2031-05-14T18:00:00Z", nil, "1.50", false, "2031-05-13T23:59:59.999Z", "", 2},
		{"bad and adjusted", "2031-05-14T18:00:00Z", nil, "1.50", true, "2031-05-13T23:59:59.999Z", "", 2},
		{"good", "2031-05-14T18:00:00Z", nil, "1.00", false, "2031-05-13T00:00:00Z", "", 0},
		{"good, after a bad one of that day without a time", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-14T12:00:00Z"); r.calibrateOn("2031-05-13", "", "1.50") }, "1.00", false, "", "time: calibration_time_needed", 0},
		{"bad, after a bad one of that day without a time", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-14T12:00:00Z"); r.calibrateOn("2031-05-13", "", "1.50") }, "1.50", false, "", "time: calibration_time_needed", 0},
		{"good, after a bad one of the day before without a time", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-14T12:00:00Z"); r.calibrateOn("2031-05-12", "", "1.50") }, "1.00", false, "2031-05-13T00:00:00Z", "", 0},
		{"bad, after a good one of that day", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-13T06:00:00Z"); r.calibrate("D-1", "x", true, true) }, "1.50", false, "2031-05-13T23:59:59.999Z", "", 2},
		{"good, after a good one of that day", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-13T06:00:00Z"); r.calibrate("D-1", "x", true, true) }, "1.00", false, "", "day: calibration_before_last", 0},
		{"good, and it went out on that day", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-13T06:00:00Z"); r.say("D-1", out) }, "1.00", false, "", "time: calibration_time_needed", 0},
		{"good, and it went out the day before", "2031-05-14T18:00:00Z", func(r *room) { r.at("2031-05-12T23:59:00Z"); r.say("D-1", out) }, "1.00", false, "2031-05-13T00:00:00Z", "", 0},
		{"good, and it failed a check on that day", "2031-05-14T18:00:00Z", func(r *room) { r.check("2031-05-13T06:00:00Z", "1.10") }, "1.00", false, "", "time: calibration_time_needed", 0},
		{"good, and it passed that check since", "2031-05-14T18:00:00Z", func(r *room) { r.check("2031-05-13T06:00:00Z", "1.10", "1.00") }, "1.00", false, "2031-05-13T00:00:00Z", "", 0},
		{"adjusted, and it failed a check on that day", "2031-05-14T18:00:00Z", func(r *room) { r.check("2031-05-13T23:30:00Z", "1.10") }, "1.50", true, "", "time: calibration_time_needed", 0},
		{"adjusted, and it failed a check the next day", "2031-05-14T18:00:00Z", func(r *room) { r.check("2031-05-14T06:00:00Z", "1.10") }, "1.50", true, "2031-05-13T23:59:59.999Z", "", 2},
		{"left bad, and it failed a check on that day", "2031-05-14T18:00:00Z", func(r *room) { r.check("2031-05-13T06:00:00Z", "1.10") }, "1.50", false, "2031-05-13T23:59:59.999Z", "", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			h := worktest.New(t)
			r := &room{Shop: h, s: gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)}
			if c.before != nil {
				c.before(r)
			}
			for _, at := range []string{"2031-05-13T09:00:00Z", "2031-05-13T23:00:00Z", "2031-05-14T00:00:00Z"} {
				if at < c.now {
					r.at(at)
					r.wheel("D-1", "0.10", "-0.10")
				}
			}
			r.at(c.now)
			point := models.CalibrationPoint{Reference: "1.00", AsFound: c.found, Tolerance: "0.02"}
			if c.adjusted {
				point.AsLeft = "1.00"
			}
			got, err := r.s.Calibrate(t.Context(), r.Owner, "D-1", gauges.NewCalibration{Day: "2031-05-13", By: "lab", Standard: "x", Adjusted: c.adjusted, Points: []models.CalibrationPoint{point}})
			if c.want != "" {
				worktest.WantProblems(t, err, c.want)
				return
			}
			r.Must(err)
			if made := got.Report.MadeAt.UTC().Format(time.RFC3339Nano); made != c.made {
				t.Errorf("it counts as made at %s, want %s", made, c.made)
			}
			items := map[string]bool{}
			if got.Trace != nil {
				for _, set := range content(t, got.Trace).Sets {
					items[set.Item] = true
				}
			}
			if len(items) != c.traced {
				t.Errorf("%d wheels are traced, want %d", len(items), c.traced)
			}
		})
	}
}

// calibrateOn enters a calibration of D-1 on a day, its time said or not, at one point of
// 1 mm within 0.02 mm or beyond.
func (r *room) calibrateOn(day, at, found string) gauges.Calibrated {
	r.Helper()
	out, err := r.s.Calibrate(r.Context(), r.Owner, "D-1", gauges.NewCalibration{Day: day, Time: at, By: "lab", Standard: "x", Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: found, Tolerance: "0.02"}}})
	r.Must(err)
	return out
}

// A good calibration follows a failed one of the same day that has no time, and puts the
// gauge back into use unless it failed a check after it; what the failed one found is
// traced as before: it came first.
func TestASecondCalibrationOfADay(t *testing.T) {
	for _, c := range []struct{ name, checked, state string }{
		{"put back into use", "", models.InstrumentInUse},
		{"a check failed before", "2031-05-13T15:00:00Z", models.InstrumentInUse},
		{"a check failed after", "2031-05-13T17:00:00Z", models.InstrumentOut},
	} {
		t.Run(c.name, func(t *testing.T) {
			eachRoom(t, func(t *testing.T, r *room) {
				r.at("2031-05-13T09:00:00Z")
				r.wheel("D-1", "0.10", "-0.10")
				if c.checked != "" {
					r.check(c.checked, "1.10")
				}
				r.at("2031-05-14T12:00:00Z")
				r.calibrateOn("2031-05-13", "06:00", "1.00")
				failed := r.calibrateOn("2031-05-13", "", "1.50")
				r.Now = r.Now.Add(time.Minute)
				refused := func(at string) {
					t.Helper()
					_, err := r.s.Calibrate(t.Context(), r.Owner, "D-1", gauges.NewCalibration{Day: "2031-05-13", Time: at, By: "lab", Standard: "x", Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: "1.00", Tolerance: "0.02"}}})
					worktest.WantProblems(t, err, "day: calibration_before_last")
				}
				refused("05:30")
				good := r.calibrateOn("2031-05-13", "16:00", "1.00")
				v, err := r.s.Instrument(t.Context(), "D-1")
				r.Must(err)
				if v.Instrument.State != c.state || good.StaysOut != (c.state == models.InstrumentOut) || good.Later {
					t.Errorf("%s, it stays out: %v, a later one: %v", v.Instrument.State, good.StaysOut, good.Later)
				}
				again, err := r.s.Trace(t.Context(), r.Owner, "D-1", models.CauseCalibration, failed.Report.ID)
				r.Must(err)
				if was, is := content(t, failed.Trace).Sets, content(t, &again).Sets; len(was) != 2 || len(is) != 2 {
					t.Errorf("%d sets are traced, and %d asked again; want the two of the wheel", len(was), len(is))
				}
				refused("15:30")
			})
		})
	}
}
