package web

import (
	"time"

	"tracewright/models"
	"tracewright/models/work/gauges"
)

var sampleGauge = models.Instrument{ID: "g2", Code: "T-02", Kind: "tension_gauge", Name: "Tension gauge", Unit: "N", Resolution: "1", RangeLow: "200", RangeHigh: "2000", State: models.InstrumentOut}

func sampleCalibration() gauges.CalibrationView {
	r := models.CalibrationReport{ID: "c1", N: 2, MadeAt: sampleNow, MadeBy: "Harbour test house", Adjusted: true, AsLeftGood: true, Note: "spring",
		Points: []models.CalibrationPoint{{Reference: "600", AsFound: "629", AsLeft: "601", Tolerance: "20", U: "3"}, {Reference: "1200", AsFound: "1190", AsLeft: "1190", Tolerance: "20"}}}
	return gauges.CalibrationView{Calibration: models.Calibration{N: 2, CalibratedOn: "2027-05-24", DueOn: "2027-11-24", CertificateNumber: "K-27-412", EnteredAt: sampleNow, EnteredBy: "p1"}, Report: &r, Standard: "HW-1", Known: true}
}

func sampleCheck(n int) gauges.CheckView {
	v := gauges.CheckView{GaugeCheck: models.GaugeCheck{ID: "k1", What: models.CheckZero, Reference: "0", Low: "-2", High: "2"}, Today: n > 0}
	for i := range n {
		value := []string{"0", "1", "-1"}[i%3]
		if i == n-1 && n > 2 {
			value = "9"
		}
		v.Readings = append(v.Readings, models.GaugeReading{ID: "r", Value: value, ValueF: floatOf(value), Good: value != "9", Place: "stand 1", ReadAt: sampleNow.Add(time.Duration(i-n) * time.Hour), ReadBy: "p1"})
	}
	return v
}

// sampleTrace has an item of every end that it may come to.
func sampleTrace() gauges.TraceView {
	from := sampleNow.AddDate(-1, 0, 0)
	v := gauges.TraceView{Trace: models.GaugeTrace{ID: "t1", Cause: models.CauseCalibration, CauseID: "c1", N: 1, MadeAt: sampleNow}, Newest: "t2",
		Content: models.TraceContent{Instrument: "T-02", Unit: "N", At: sampleNow, Errors: []models.TraceError{{Reading: "629", Error: "29"}, {Reading: "1190", Error: "-10"}}, Windows: []models.TraceWindow{{Instrument: "T-02", From: &from, Until: &sampleNow}, {Instrument: "T-03", From: &from, PassedOn: true}, {Instrument: "T-04", Until: &sampleNow}}}}
	for i, effect := range gauges.Effects() {
		serial := "W2600005" + string(rune('1'+i))
		set := models.TraceSet{Inspection: "n1", Item: serial, Code: "tension_a", Method: models.Sample, Instrument: "T-02", MeasuredAt: sampleNow, Effect: effect}
		switch effect {
		case models.SetNotKnown:
			set.Reason = "standard_failed"
		case models.SetNoLonger, models.SetStaysGood:
			set.Results = []models.TraceResult{{Code: "tension_mean_tight", Unit: "N", Value: "1006.82", Verdict: models.VerdictPass, Now: "960.40", Then: map[bool]string{true: models.VerdictPass, false: models.VerdictFail}[effect == models.SetStaysGood], Low: "970", High: "1250"}}
		}
		item := gauges.TracedItem{Item: models.Item{ID: serial, Kind: models.KindWheel, Serial: &serial}, Effect: effect, Sets: []models.TraceSet{set}, Where: models.RecallHere}
		if effect == models.SetNoLonger || effect == models.SetNotKnown {
			item.Where, item.Shipment = models.RecallShipped, &models.Shipment{Number: "S27-00003", ShippedAt: sampleNow}
		}
		v.Items = append(v.Items, item)
	}
	return v
}

func gaugePages(s *site, owner Frame, bare *form) map[string][]any {
	people := map[string]string{"p1": "Inge Okarra"}
	check := s.gaugeCheckPage(owner, sampleGauge, sampleCheck(14), people)
	check.Row = s.checkRow(sampleGauge, sampleCheck(14), people, owner, nil)
	trace := s.gaugeTracePage(owner, sampleTrace(), "")
	trace.Made, trace.Recalled = "Judged again.", []Span{{Text: "R27-00001", Path: "/recalls/R27-00001"}}
	page := InstrumentPage{Frame: owner, Code: "T-02", Title: "Spoke tension gauge T-02", Path: "/instruments/T-02", Standing: standingMark(gauges.Out), Change: true, Facts: instrumentFacts(sampleGauge), Fields: instrumentFields(bare, false), NewCheck: newCheckForm(sampleGauge, bare),
		Found:        []FoundOut{{What: "Found out of tolerance on 24 May 2027", Path: "/instruments/T-02/traces/t1", Says: []Span{{Text: "12 reading sets of 4 items", Path: "/instruments/T-02/traces/t1"}, {Text: " in the window: everything still passes."}}}, {What: "Found out", Path: "/instruments/T-02/traces", Cause: "c1"}},
		Checks:       []CheckRow{s.checkRow(sampleGauge, sampleCheck(0), people, owner, nil), s.checkRow(sampleGauge, sampleCheck(3), people, owner, nil)},
		Calibrations: []CalibrationRow{s.calibrationRow(sampleGauge, sampleCalibration(), people), s.calibrationRow(sampleGauge, gauges.CalibrationView{Calibration: models.Calibration{N: 1, CalibratedOn: "2026-05-24"}}, people)},
		Out:          &OutForm{Path: "/instruments/T-02/out-note", Note: "only to sort", May: true, Field: bare.field(Field{Name: "out_note", Label: "Why", Optional: true})}}
	calibrate := CalibratePage{Frame: owner, Code: "T-02", Path: "/instruments/T-02/calibrate", Back: "/instruments/T-02", Unit: "N", Fields: []Field{bare.field(Field{Name: "day", Label: "Day", Kind: "date"})}, PointProblem: "This is needed.",
		Points: []PointFields{{Label: "1", Problem: "Read as found: no number", Cells: []Field{{ID: "points-0-reference", Name: "points[0].reference", Label: "What was there, point 1"}}}}}
	return map[string][]any{
		"instrument":     {InstrumentPage{Frame: owner}, page},
		"instrument_new": {InstrumentForm{Frame: owner}, InstrumentForm{Frame: owner, Title: "Add an instrument", Button: "Save", Fields: instrumentFields(bare, true)}},
		"calibrate":      {CalibratePage{Frame: owner}, calibrate},
		"gauge_check":    {GaugeCheckPage{Frame: owner}, check, s.gaugeCheckPage(owner, sampleGauge, sampleCheck(0), people), s.gaugeCheckPage(owner, sampleGauge, sampleCheck(2), people)},
		"gauge_trace":    {GaugeTracePage{Frame: owner}, trace, s.gaugeTracePage(owner, sampleTrace(), "good"), s.gaugeTracePage(owner, gauges.TraceView{Content: models.TraceContent{Instrument: "T-02"}}, "")},
	}
}
