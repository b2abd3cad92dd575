package store_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackGauges is the part of TestEveryRecordReadsBack that calibrations, short
// checks and what follows from them leave behind.
func readBackGauges(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	gauge := models.Instrument{ID: models.NewID(), Code: "G-Ω", Kind: "dial", Name: "g", Unit: "mm", State: models.InstrumentOut, OutNote: "to sort", CreatedAt: moment, CreatedBy: by}
	master := models.Instrument{ID: models.NewID(), Code: "M-1", Kind: models.InstrumentReference, Name: "m", Unit: "mm", State: models.InstrumentInUse, CreatedAt: moment, CreatedBy: by}
	h.Must(s.AddInstrument(ctx, stamp, gauge))
	h.Must(s.AddInstrument(ctx, stamp, master))
	report := must(s.AddCalibrationReport(ctx, stamp, models.Calibration{CalibratedOn: "2031-05-11", DueOn: "2032-05-11", CertificateNumber: "Ω 9"}, models.CalibrationReport{InstrumentID: gauge.ID, MadeAt: moment, MadeBy: "lab Ω", Points: []models.CalibrationPoint{{Reference: "1.00", AsFound: "1.10", AsLeft: "1.00", Tolerance: "0.02", U: "0.01"}},
		Adjusted: true, AsLeftGood: true, StandardID: &master.ID, Note: "n"}, func(i *models.Instrument, _ time.Time) {
		i.CalibratedOn, i.DueOn, i.OutNote = "2031-05-12", "2032-05-12", ""
	}))
	same(t, "report", must(s.CalibrationReport(ctx, report.ID)), models.CalibrationReport{ID: report.ID, InstrumentID: gauge.ID, N: 2, MadeAt: moment, MadeBy: "lab Ω", Points: report.Points, Adjusted: true, AsLeftGood: true,
		StandardID: &master.ID, Note: "n", EnteredAt: stamp.At, EnteredBy: by})
	same(t, "reports", must(s.CalibrationReports(ctx, []string{gauge.ID, master.ID})), []models.CalibrationReport{must(s.CalibrationReport(ctx, report.ID))})
	same(t, "the calibration", must(s.CalibrationsOf(ctx, []string{gauge.ID}))[1], models.Calibration{InstrumentID: gauge.ID, N: 2, CalibratedOn: "2031-05-11", DueOn: "2032-05-11", CertificateNumber: "Ω 9", Reported: true, EnteredAt: stamp.At, EnteredBy: by})
	same(t, "the instrument as it was left", must(s.InstrumentsByCode(ctx, []string{"G-Ω"}))[0].DueOn, "2032-05-12")
	must(s.AddCalibrationReport(ctx, stamp, models.Calibration{}, models.CalibrationReport{InstrumentID: master.ID, MadeAt: moment.Add(-time.Hour)}, func(i *models.Instrument, _ time.Time) { i.State = models.InstrumentOut }))
	late := models.NewStamp(h.Owner, moment.Add(time.Hour))
	must(s.AddCalibrationReport(ctx, late, models.Calibration{}, models.CalibrationReport{InstrumentID: master.ID, MadeAt: moment.Add(30 * time.Minute)}, func(i *models.Instrument, since time.Time) {
		same(t, "since when it is out", since, moment)
		i.State = models.InstrumentInUse
	}))
	var since []time.Time // When a calibration was made, but not before the state before.
	for _, x := range must(s.HowGaugesStood(ctx, []string{master.ID}, moment)).States {
		since = append(since, x.Since)
	}
	same(t, "states that calibrations left", since, []time.Time{moment, moment, moment.Add(30 * time.Minute)})

	check := must(s.AddGaugeCheck(ctx, stamp, models.GaugeCheck{InstrumentID: gauge.ID, What: models.CheckZero, Piece: "M-1", StandardID: &master.ID, Reference: "0", Low: "-0.02", High: "0.02"}))
	same(t, "check", must(s.GaugeCheck(ctx, check.ID)), models.GaugeCheck{ID: check.ID, InstrumentID: gauge.ID, What: models.CheckZero, Piece: "M-1", StandardID: &master.ID, Reference: "0", Low: "-0.02", High: "0.02", AddedAt: stamp.At, AddedBy: by})
	var readings []models.GaugeReading
	for i, good := range []bool{true, false, true} {
		r := models.GaugeReading{ID: models.NewID(), CheckID: check.ID, InstrumentID: gauge.ID, Value: "0.01", ValueF: 0.01, Good: good, Place: "stand Ω", ReadAt: moment.Add(time.Duration(i) * time.Hour), ReadBy: by}
		h.Must(s.AddGaugeReading(ctx, stamp, r))
		readings = append(readings, r)
	}
	if err := s.AddGaugeReading(ctx, stamp, readings[0]); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a reading twice: %v", err)
	}
	same(t, "a reading", must(s.GaugeReading(ctx, readings[1].ID)), readings[1])
	same(t, "the newest readings", must(s.GaugeReadings(ctx, check.ID, 2)), readings[1:])
	same(t, "the last good one", must(s.LastGoodReading(ctx, readings[2])), readings[0])
	_, err := s.LastGoodReading(ctx, readings[0])
	notFound(t, "a good one before the first", err)
	held := []models.Comparison{{Checked: gauge.ID, Used: master.ID, At: moment.Add(time.Hour)}, {Checked: gauge.ID, Used: master.ID, At: moment.Add(2 * time.Hour)}}
	same(t, "what was held against it later", must(s.ComparisonsWith(ctx, master.ID, moment)), held)
	same(t, "what it was held against", must(s.ComparisonsOf(ctx, gauge.ID, moment.Add(-time.Hour)))[0], models.Comparison{Checked: gauge.ID, Used: master.ID, At: moment})
	h.Must(s.EndGaugeCheck(ctx, stamp, check.ID))
	notFound(t, "a check that has ended", s.EndGaugeCheck(ctx, stamp, check.ID))
	ended := must(s.GaugeChecks(ctx, []string{gauge.ID}))
	if len(ended) != 1 || ended[0].EndedAt == nil || !ended[0].EndedAt.Equal(stamp.At) || *ended[0].EndedBy != by {
		t.Errorf("ended: %+v", ended)
	}

	first := must(s.AddGaugeTrace(ctx, stamp, models.GaugeTrace{InstrumentID: gauge.ID, Cause: models.CauseCalibration, CauseID: report.ID, Content: `{"a":"Ω"}`, ContentHash: "ab"}))
	second := must(s.AddGaugeTrace(ctx, stamp, models.GaugeTrace{InstrumentID: gauge.ID, Cause: models.CauseCalibration, CauseID: report.ID, Content: `{}`, ContentHash: "cd", MadeAt: moment.Add(time.Hour)}))
	same(t, "trace", must(s.GaugeTrace(ctx, first.ID)), models.GaugeTrace{ID: first.ID, InstrumentID: gauge.ID, Cause: models.CauseCalibration, CauseID: report.ID, N: 1, Content: `{"a":"Ω"}`, ContentHash: "ab", MadeAt: stamp.At, MadeBy: by, ArrivedAt: &stamp.At})
	madeSince := func(at time.Time) []string { return must(s.HowGaugesStood(ctx, []string{gauge.ID}, at)).Traced }
	same(t, "traces made since the first", madeSince(stamp.At), []string{first.ID, second.ID})
	same(t, "traces made after it", madeSince(stamp.At.Add(time.Millisecond)), []string{second.ID})
	same(t, "traces made after the second", madeSince(moment.Add(time.Hour+time.Millisecond)), []string(nil))
	untraced := func(before time.Time) (list []string) {
		for _, f := range must(s.UntracedFailures(ctx, stamp.At.Add(-time.Hour), before)) {
			if f.InstrumentID == gauge.ID && f.Cause == models.CauseCalibration {
				list = append(list, f.CauseID)
			}
		}
		return list
	}
	same(t, "what may have come as it was answered", untraced(moment.Add(time.Hour+time.Millisecond)), []string{report.ID})
	h.Must(s.TraceLacksNothing(ctx, second.ID, moment.Add(time.Hour)))
	h.Must(s.TraceAgain(ctx, []string{first.ID}, moment.Add(2*time.Hour)))
	same(t, "what came after an older answer", untraced(moment.Add(9*time.Hour)), []string(nil))
	h.Must(s.TraceAgain(ctx, []string{first.ID, second.ID}, moment.Add(3*time.Hour)))
	same(t, "what comes still", untraced(moment.Add(3*time.Hour)), []string(nil))
	h.Must(s.TraceLacksNothing(ctx, second.ID, moment.Add(2*time.Hour)))
	same(t, "what came after that was read", untraced(moment.Add(9*time.Hour)), []string{report.ID})
	h.Must(s.TraceLacksNothing(ctx, second.ID, moment.Add(3*time.Hour)))
	same(t, "what lacks nothing", untraced(moment.Add(9*time.Hour)), []string(nil))
	h.Must(s.TraceAgain(ctx, []string{second.ID}, moment.Add(3*time.Hour)))
	same(t, "what came after the newest answer", untraced(moment.Add(3*time.Hour+time.Millisecond)), []string{report.ID})
	must(s.AddGaugeTrace(ctx, stamp, models.GaugeTrace{InstrumentID: gauge.ID, Cause: models.CauseCalibration, CauseID: report.ID, Content: `{}`, ContentHash: "ef", MadeAt: moment.Add(4 * time.Hour)}))
	same(t, "once it was answered again", untraced(moment.Add(4*time.Hour)), []string(nil))
	traces := must(s.GaugeTraces(ctx, gauge.ID))[1:]
	if len(traces) != 2 || traces[0].ID != second.ID || traces[0].N != 2 || traces[0].Content != "" {
		t.Errorf("traces: %+v", traces)
	}

	sub := h.Extremes()
	sub.Serial = *h.AnotherWheel().Serial
	read := h.MustRecord(sub).Inspection
	dial := must(s.InstrumentsByCode(ctx, []string{"D-1"}))[0]
	taken := must(s.SetsTakenWith(ctx, dial.ID, read.MeasuredAt.Add(-time.Millisecond), read.MeasuredAt))
	own := models.TakenSet{InspectionID: read.ID, ItemID: read.ItemID, Code: "lateral_runout", Method: models.Extremes, InstrumentID: &dial.ID, MeasuredAt: read.MeasuredAt}
	found := false
	for _, x := range taken {
		x.MeasuredAt = x.MeasuredAt.UTC()
		if x.InspectionID == read.ID && x.Code == own.Code {
			found = true
			same(t, "a set by its gauge", x, own)
		}
	}
	if !found {
		t.Errorf("taken with D-1: %+v", taken)
	}
	if later := must(s.SetsTakenWith(ctx, dial.ID, read.MeasuredAt, read.MeasuredAt.Add(time.Hour))); len(later) != 0 {
		t.Errorf("taken after the moment of the set: %+v", later)
	}
	same(t, "standing sets", len(must(s.StandingSets(ctx, []string{read.ItemID}))), 11)
	views := must(s.InspectionViews(ctx, []string{read.ID}))
	if len(views) != 1 || len(views[0].Sets) != 11 || len(views[0].Results) == 0 {
		t.Errorf("views: %+v", views)
	}
	of := map[string]int{} // gauge -> sets of this inspection
	for _, set := range views[0].Sets {
		if set.InstrumentID != nil {
			of[*set.InstrumentID]++
		}
	}
	if of[dial.ID] < 2 || len(of) < 2 {
		t.Fatalf("sets by gauge: %v, want several, and two of the dial", of)
	}
	for id, n := range of { // whatever their order: each is found, though the moment stands on one
		taken := must(s.SetsTakenWith(ctx, id, read.MeasuredAt.Add(-time.Millisecond), read.MeasuredAt))
		taken = slices.DeleteFunc(taken, func(x models.TakenSet) bool { return x.InspectionID != read.ID })
		same(t, "sets of this inspection with gauge "+id, len(taken), n)
		same(t, "measured with gauge "+id, slices.Contains(must(s.ItemsMeasuredWith(ctx, id, read.MeasuredAt.Add(-time.Millisecond), read.MeasuredAt)), read.ItemID), true)
	}
	same(t, "held for the gauge", must(s.HoldForGauge(ctx, stamp, "D-1", []string{read.ItemID})), []string{read.ItemID})
	same(t, "held once", len(must(s.HoldForGauge(ctx, stamp, "D-1", []string{read.ItemID}))), 0)
	same(t, "holds for the gauge", len(must(s.HoldsForGauge(ctx, "D-1", []string{read.ItemID}))), 1)
	for _, subject := range []string{report.ID, check.ID, readings[0].ID, first.ID, second.ID} {
		if len(must(s.TrailOf(ctx, []string{subject}, 9))) == 0 {
			t.Errorf("%s left no trail entry", subject)
		}
	}
}
