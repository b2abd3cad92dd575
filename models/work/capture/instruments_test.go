package capture_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

func remarked(i models.Inspection, code string) bool {
	return slices.ContainsFunc(i.Remarks, func(r models.Remark) bool { return r.Code == code })
}

// lateral is the verdict on the lateral run-out, 0.22 mm of 0.30 allowed.
func lateral(results []models.Result) string {
	for _, r := range results {
		if r.Code == "lateral_tir" {
			return r.Verdict
		}
	}
	return ""
}

// A gauge that is out of use gives readings that are kept and not judged, until
// the owner says why they may be; other gauges judge as before.
func TestAGaugeThatIsOutJudgesNothing(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		entry, err := register.Instrument(ctx, "D-1")
		h.Must(err)
		out := entry.Instrument
		from, err := models.Digest(out)
		h.Must(err)
		out.State = models.InstrumentOut
		_, err = register.Update(ctx, h.Owner, "D-1", from, out)
		h.Must(err)
		h.Now = h.Now.Add(time.Hour)
		record := func() (models.Inspection, []models.Result, string) {
			sub := h.Extremes()
			item := h.AnotherWheel()
			sub.Serial = *item.Serial
			got := h.MustRecord(sub)
			return got.Inspection, got.Results, got.Item.State
		}
		i, results, state := record()
		if i.Verdict != models.VerdictIncomplete || lateral(results) != models.VerdictNone || state != models.StateInProcess || !remarked(i, "instrument_out") {
			t.Errorf("out: %s, %q, %s, %+v", i.Verdict, lateral(results), state, i.Remarks)
		}
		for _, r := range results {
			if r.Code == "dish_abs" && r.Verdict != models.VerdictPass {
				t.Errorf("what another gauge read is %+v", r)
			}
			if r.Code == "lateral_tir" && (r.Value != "0.22" || r.Reason != "instrument_not_trusted") {
				t.Errorf("what it read is %+v, want it kept with the reason", r)
			}
		}
		plan, err := h.Capture.Plan(ctx, h.Operator, h.Serial[models.KindWheel], "", models.AfterRelief)
		h.Must(err)
		if slices.ContainsFunc(plan.Instruments, func(i models.Instrument) bool { return i.Code == "D-1" }) {
			t.Error("the stand offers it")
		}
		h.Must(register.JudgeAnyway(ctx, h.Owner, "D-1", nil, "only to sort"))
		i, results, state = record()
		if i.Verdict != models.VerdictPass || lateral(results) != models.VerdictPass || state != models.StateConforming || !remarked(i, "instrument_out_allowed") || remarked(i, "instrument_out") {
			t.Errorf("out, and let judge: %s, %q, %s, %+v", i.Verdict, lateral(results), state, i.Remarks)
		}
	})
}

// What counts is how a gauge stood when it was read, not when the readings arrive: out
// it judges nothing though it came back since, unless the owner let it while it was out,
// and what was read before it went out is judged. By the server's clock, not the tablet's.
func TestAGaugeStandsAsItDidWhenItWasRead(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, began := t.Context(), h.Now
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		turn := func(at time.Duration, state string) {
			t.Helper()
			h.Now = began.Add(at)
			v, err := register.Instrument(ctx, "D-1")
			h.Must(err)
			from, err := models.Digest(v.Instrument)
			h.Must(err)
			v.Instrument.State = state
			_, err = register.Update(ctx, h.Owner, "D-1", from, v.Instrument)
			h.Must(err)
		}
		turn(1*time.Hour, models.InstrumentOut)
		turn(3*time.Hour, models.InstrumentInUse)
		turn(5*time.Hour, models.InstrumentOut)
		h.Now = began.Add(6 * time.Hour)
		h.Must(register.JudgeAnyway(ctx, h.Owner, "D-1", nil, "only to sort"))
		turn(7*time.Hour, models.InstrumentInUse)
		h.Now = began.Add(8 * time.Hour)
		calibrated, err := register.Calibrate(ctx, h.Owner, "D-1", gauges.NewCalibration{Day: "2031-05-12", Time: "19:30", By: "lab", Standard: "x", Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: "1.10", Tolerance: "0.02"}}})
		h.Must(err)
		if at := calibrated.Report.MadeAt.Sub(began); at != 7*time.Hour+30*time.Minute {
			t.Fatalf("calibrated %s on", at)
		}
		h.Now = began.Add(9 * time.Hour)
		const judges, allowed, out = "", "instrument_out_allowed", "instrument_out"
		for _, c := range []struct {
			name        string
			read, ahead time.Duration
			want        string
		}{
			{"before it went out", 59 * time.Minute, 0, judges},
			{"as it went out", time.Hour, 0, out},
			{"while it was out", 2 * time.Hour, 0, out},
			{"out by a tablet that is half an hour behind, and in use by then", 3*time.Hour + 10*time.Minute, -30 * time.Minute, judges},
			{"in use by a tablet that is half an hour ahead, and out then", 2*time.Hour + 50*time.Minute, 30 * time.Minute, out},
			{"as it came back", 3 * time.Hour, 0, judges},
			{"out, and the owner let it judge later", 5*time.Hour + 30*time.Minute, 0, allowed},
			{"out, and the owner let it judge", 6*time.Hour + 30*time.Minute, 0, allowed},
			{"back again", 7 * time.Hour, 0, judges},
			{"before the calibration that failed", 7*time.Hour + 29*time.Minute, 0, judges},
			{"after it was made, before it was entered", 7*time.Hour + 31*time.Minute, 0, out},
		} {
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			sub.FinishedAt = began.Add(c.read + c.ahead)
			sub.StartedAt = sub.FinishedAt.Add(-time.Minute)
			got, err := h.Capture.Record(ctx, h.Operator, sub, h.Now.Add(c.ahead))
			h.Must(err)
			verdict := models.VerdictPass
			if c.want == out {
				verdict = models.VerdictNone
			}
			if lateral(got.Results) != verdict || remarked(got.Inspection, out) != (c.want == out) || remarked(got.Inspection, allowed) != (c.want == allowed) {
				t.Errorf("%s: %q, %+v; want %q, %q", c.name, lateral(got.Results), got.Inspection.Remarks, verdict, c.want)
			}
		}
	})
}

// A gauge is overdue by the calibration in force when it was read, as the certificate
// says: one made since does not count, whatever the register says by now.
func TestAGaugeIsOverdueByTheCalibrationOfItsReading(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		h.Must(h.Store.SetSetting(ctx, models.NewStamp(h.Owner, h.Now), models.SettingBlockOverdue, "yes"))
		read := func(code string) models.Submission {
			sub := h.Extremes()
			sub.Serial, sub.Sets[0].Instrument = *h.AnotherWheel().Serial, code
			return sub
		}
		overdue, inDate := read("D-2"), read("D-1") // D-2 was due the day before, D-1 is in December.
		h.Now = h.Now.AddDate(0, 0, 1)
		for code, due := range map[string]string{"D-2": "2032-05-13", "D-1": "2031-05-13"} {
			_, err := register.Calibrate(ctx, h.Owner, code, gauges.NewCalibration{By: "lab", Standard: "x", DueOn: due, Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: "1.00", Tolerance: "0.02"}}})
			h.Must(err)
		}
		h.Now = h.Now.AddDate(0, 0, 2)
		late, gate := h.MustRecord(overdue), release.New(h.Store, h.Clock, worktest.Zone, nil)
		if !remarked(late.Inspection, "instrument_overdue") || !remarked(late.Inspection, "overdue_blocked") || lateral(late.Results) != models.VerdictNone {
			t.Errorf("overdue when it was read: %q, %+v", lateral(late.Results), late.Inspection.Remarks)
		}
		against, err := gate.Gate(ctx, late.Item.ID)
		h.Must(err)
		if !slices.ContainsFunc(against, func(r models.Remark) bool { return r.Code == "overdue_blocked" }) {
			t.Errorf("against its release: %+v", against)
		}
		if got := h.MustRecord(inDate); remarked(got.Inspection, "instrument_overdue") || lateral(got.Results) != models.VerdictPass {
			t.Errorf("in date when it was read: %q, %+v", lateral(got.Results), got.Inspection.Remarks)
		}
		if got := h.MustRecord(read("D-1")); !remarked(got.Inspection, "instrument_overdue") {
			t.Errorf("overdue by now: %+v", got.Inspection.Remarks)
		}
	})
}

// An overdue gauge judges and is flagged, unless the shop wants it otherwise: then
// what it read is kept, nothing is judged by it, no stand offers it and nothing is
// released by it.
func TestAnOverdueGaugeIsBlockedWhereTheShopWantsIt(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		for _, block := range []bool{false, true} {
			if block {
				h.Must(h.Store.SetSetting(ctx, models.NewStamp(h.Owner, h.Now), models.SettingBlockOverdue, "yes"))
			}
			sub, item := h.Extremes(), h.AnotherWheel()
			sub.Serial, sub.Sets[0].Instrument = *item.Serial, "D-2"
			got := h.MustRecord(sub)
			want := map[bool][2]string{false: {models.VerdictPass, models.VerdictPass}, true: {models.VerdictIncomplete, models.VerdictNone}}[block]
			if got.Inspection.Verdict != want[0] || lateral(got.Results) != want[1] || !remarked(got.Inspection, "instrument_overdue") || remarked(got.Inspection, "overdue_blocked") != block {
				t.Errorf("blocking %v: %s, %q, %+v", block, got.Inspection.Verdict, lateral(got.Results), got.Inspection.Remarks)
			}
			plan, err := h.Capture.Plan(ctx, h.Operator, *item.Serial, "", models.AfterRelief)
			h.Must(err)
			if offered := slices.ContainsFunc(plan.Instruments, func(i models.Instrument) bool { return i.Code == "D-2" }); offered == block {
				t.Errorf("blocking %v: the stand offers it: %v", block, offered)
			}
			gate := release.New(h.Store, h.Clock, worktest.Zone, nil)
			against, err := gate.Gate(ctx, item.ID)
			h.Must(err)
			if stopped := slices.ContainsFunc(against, func(r models.Remark) bool { return r.Code == "overdue_blocked" }); stopped != block {
				t.Errorf("blocking %v: against its release: %+v", block, against)
			}
		}
	})
}

// Readings from after all that was said of a gauge are judged by it as it stands, which
// is what its history says of their moment: so that nothing needs to be asked.
func TestAGaugeStandsAsItsHistorySays(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, random := t.Context(), rand.New(rand.NewPCG(20310512, 9))
		register := gauges.New(h.Store, h.Capture, h.Clock, worktest.Zone)
		said := 0
		for range 60 {
			h.Now = h.Now.Add(time.Duration(1+random.IntN(40)) * time.Hour)
			v, err := register.Instrument(ctx, "D-1")
			h.Must(err)
			from, err := models.Digest(v.Instrument)
			h.Must(err)
			earlier := h.Now.AddDate(0, 0, -random.IntN(9)).Format("2006-01-02")
			switch random.IntN(4) {
			case 0:
				v.Instrument.State = []string{models.InstrumentInUse, models.InstrumentOut}[random.IntN(2)]
				_, err = register.Update(ctx, h.Owner, "D-1", from, v.Instrument)
			case 1:
				v.Instrument.CalibratedOn, v.Instrument.DueOn = earlier, ""
				_, err = register.Update(ctx, h.Owner, "D-1", from, v.Instrument)
			case 2:
				err = register.JudgeAnyway(ctx, h.Owner, "D-1", nil, "only to sort")
			case 3:
				_, err = register.Calibrate(ctx, h.Owner, "D-1", gauges.NewCalibration{Day: earlier, Time: "06:30", By: "lab", Standard: "x",
					Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: []string{"1.00", "1.10"}[random.IntN(2)], Tolerance: "0.02"}}})
			}
			if err == nil {
				said++
			}
			v, err = register.Instrument(ctx, "D-1")
			h.Must(err)
			gauge, read := v.Instrument, v.Instrument.ChangedAt.Add(time.Millisecond)
			known, err := h.Store.HowGaugesStood(ctx, []string{gauge.ID}, read)
			h.Must(err)
			day := read.In(worktest.Zone(ctx)).Format("2006-01-02")
			if stood := gauge.CalibratedAt(known.Calibrations, read, day).InStateAt(known.States, read, read); stood != gauge || len(known.Traced) > 0 {
				t.Fatalf("stood as\n%+v, its history says\n%+v, traced since: %v", gauge, stood, known.Traced)
			}
		}
		if said < 20 {
			t.Errorf("%d changes", said)
		}
	})
}

// A gauge's code is the gauge's, however it is typed.
func TestAGaugeWhoseCodeIsTypedInSmallLetters(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		sub.Sets[0].Instrument = "d-1"
		h.MustRecord(sub)
		view, err := h.Store.InspectionView(t.Context(), sub.ID)
		h.Must(err)
		gauges, err := h.Store.InstrumentsByCode(t.Context(), []string{"D-1"})
		h.Must(err)
		if !slices.ContainsFunc(view.Sets, func(x models.ReadingSet) bool { return x.InstrumentID != nil && *x.InstrumentID == gauges[0].ID }) {
			t.Errorf("none of %+v was read with D-1, %s", view.Sets, gauges[0].ID)
		}
	})
}
