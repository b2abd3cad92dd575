package gauges_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
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
		{"it left the gauge bad, and a later one is noted", func(_ *testing.T, r *room) { r.say("D-1", noted("2031-05-13")) }, "2031-05-12", bad, "2031-05-13", models.InstrumentInUse, true, false},
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
