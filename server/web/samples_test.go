package web

import (
	"fmt"
	"math"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/monitor"
	"tracewright/models/work/trace"
	"tracewright/server/httpx"
)

// Samples for the render test: an invented wheel, pack and chart, made from
// records as a store gives them, so that the building of pages is drawn too.

var sampleNow = time.Date(2027, 5, 24, 7, 40, 0, 0, time.UTC)

func sampleSite() *site {
	return &site{services: httpx.Services{Now: func() time.Time { return sampleNow }}}
}

func sampleFrame(tab, here string) Frame {
	return Frame{Tab: tab, Here: here, Idle: 30, Actor: models.Actor{PersonID: "p1", Name: "Johanna Thorne", Role: models.Owner}}
}

func text(s string) *string { return &s }

func sampleSpecification(kind string, form models.ProductForm) models.Specification {
	k, _ := kinds.Named(kind)
	list, err := k.DefaultSpecification(k.Grades[0], form)
	if err != nil {
		panic(err)
	}
	return models.Specification{ID: "s1", FamilyID: "f1", Revision: 3, Grade: k.Grades[0], Rule: "simple", Characteristics: list, Reason: "Tighter lateral run-out.", CreatedAt: sampleNow, CreatedBy: "p1"}
}

func number(x float64) *float64 { return &x }

// sampleWheel is a wheel with a first reading that failed and a second that
// passed, a certificate that replaced another, and a lifted hold.
func sampleWheel() trace.ItemView {
	form := models.ProductForm{Wheel: &models.WheelForm{Rim: "Fennick 559-32", Motor: "Orlo R4", Holes: 36, Crossing: 1, DishReference: models.DishShoulders, DishTarget: "0", SideA: "cable side"}}
	spec := sampleSpecification(models.KindWheel, form)
	at := sampleNow.Add(-20 * 24 * time.Hour)
	in := func(id, verdict string, after time.Duration, tir string) models.InspectionView {
		v := models.InspectionView{Person: "Inge Okarra", Specification: spec, Inspection: models.Inspection{ID: id, ItemID: "i1", SpecificationID: "s1", Stage: models.AfterRelief, PersonID: "p2", Place: "stand 2",
			MeasuredAt: at.Add(after), Verdict: verdict, Round: 1, FirstSet: verdict == models.VerdictFail, Conditions: models.Conditions{TemperatureC: "21", Tyre: "off"}},
			Instruments: []models.Instrument{{ID: "g1", Code: "L-14", Kind: "dial", DueOn: "2027-05-01"}, {ID: "g2", Code: "T-02", Kind: "tension_gauge", DueOn: "2027-09-01"}}}
		lateral := models.ReadingSet{Code: "lateral_runout", Method: models.EveryHole, Unit: "mm", InstrumentID: text("g1")}
		a := models.ReadingSet{Code: "tension_a", Method: models.EveryHole, Unit: "N", InstrumentID: text("g2")}
		b := models.ReadingSet{Code: "tension_b", Method: models.EveryHole, Unit: "N", InstrumentID: text("g2")}
		for j := range 36 {
			lateral.Index = append(lateral.Index, models.Spoke(j))
			lateral.Values = append(lateral.Values, fmt.Sprintf("%.2f", 0.12*math.Sin(float64(j)/36*4*math.Pi)+0.02*math.Cos(float64(j))))
			set := &a
			if j%2 == 1 {
				set = &b
			}
			set.Index = append(set.Index, models.Spoke(j))
			set.Values = append(set.Values, fmt.Sprint(1000-120*(j%2)+17*(j%5)))
		}
		v.Sets = []models.ReadingSet{lateral, a, b,
			{Code: "radial_runout", Method: models.Extremes, Unit: "mm", InstrumentID: text("g1"), Values: []string{"0.14", "-0.11"}, Index: []models.Position{models.Spoke(8), models.Spoke(27)}},
			{Code: "dish", Method: models.Whole, Unit: "mm", Values: []string{"31.20", "31.45"}, Index: []models.Position{models.Spoke(0), models.Spoke(1)}},
			{Code: "axle_thread", Method: models.Whole, Values: []string{"yes"}, Index: []models.Position{models.Spoke(0)}}}
		v.Results = []models.Result{
			{Code: "lateral_tir", Value: tir, ValueF: number(0.28), Unit: "mm", High: "0.30", Verdict: verdict, Reason: "within", Method: models.EveryHole, Readings: 36},
			{Code: "lateral_mean", Value: "0.0103", ValueF: number(0.01), Unit: "mm", Verdict: models.VerdictNone, Method: models.EveryHole, Readings: 36},
			{Code: "radial_tir", Value: "0.2500", ValueF: number(0.25), Unit: "mm", High: "0.40", U: "0.02", Verdict: models.VerdictPass, Reason: "within", Method: models.Extremes, Readings: 2},
			{Code: "tension_mean_tight", Value: "1034.22", ValueF: number(1034.2), Unit: "N", Low: "800", High: "1300", Verdict: models.VerdictPass, Reason: "within", Method: models.EveryHole, Readings: 18},
			{Code: "axle_thread", Value: "yes", Verdict: models.VerdictPass, Reason: "ticked_yes", Method: models.Whole, Readings: 1}}
		return v
	}
	first := in("n1", models.VerdictFail, 0, "0.3040")
	first.Results[0].Reason = "above_high"
	second := in("n2", models.VerdictPass, 2*time.Hour, "0.2800")
	second.Inspection.Round, second.Inspection.FirstSet = 2, false
	second.Inspection.Remarks = []models.Remark{models.NewRemark("instrument_overdue", "instrument", "L-14", "due", "2027-05-01")}
	old := models.Certificate{ID: "c1", Number: "C27-00412", Revision: 1, ItemID: "i1", InspectionID: "n2", IssuedBy: "p2", IssuedAt: at.Add(3 * time.Hour)}
	now := models.Certificate{ID: "c2", Number: "C27-00412", Revision: 2, ItemID: "i1", InspectionID: "n2", IssuedBy: "p1", IssuedAt: at.Add(48 * time.Hour), Reason: "Rim lot added."}
	return trace.ItemView{
		Item:   models.Item{ID: "i1", Kind: models.KindWheel, Serial: text("W26000051"), FamilyID: text("f1"), ProductID: text("d1"), State: models.StateReleased, Origin: "roll", CreatedAt: at.Add(-time.Hour), CreatedBy: "p2"},
		Family: &models.Family{ID: "f1", Kind: models.KindWheel, Name: "Rear wheels 559"}, Product: &models.Product{ID: "d1", FamilyID: "f1", Name: "Quillet 26 rear"},
		Form:  &models.ProductRevision{ProductID: "d1", Revision: 1, Form: form},
		Parts: []trace.PartView{{Part: models.FittedPart{Role: "rim", Quantity: 1}, Lot: &models.Lot{Code: "RL-0412", Description: "Fennick 559-32"}}, {Part: models.FittedPart{Role: "spokes_a", Quantity: 18}, Lot: &models.Lot{Code: "SP-0931", Description: "2.34 mm plain"}}, {Part: models.FittedPart{Role: "motor"}, Item: &models.Item{ID: "m1", MakerNumber: text("OR4-60418"), Supplier: "Orlo", Model: "R4"}}},
		Holds: []trace.HoldView{{Hold: models.Hold{ID: "h1", Code: "W14", Reason: "Step felt at the joint.", RaisedBy: "p2", RaisedAt: at.Add(4 * time.Hour)}, Lift: &models.HoldLift{HoldID: "h1", Code: "corrected", Reason: "Joint filed.", LiftedBy: "p1", LiftedAt: at.Add(30 * time.Hour)}}},
		Certificates: []trace.CertificateView{{Certificate: now, State: models.Issued},
			{Certificate: old, State: models.Superseded, Change: &models.CertificateChange{CertificateID: "c1", State: models.Superseded, ChangedBy: "p1", ChangedAt: now.IssuedAt}}},
		Inspections: []models.InspectionView{first, second}, TrailEntries: 9, People: map[string]string{"p1": "Johanna Thorne", "p2": "Inge Okarra"},
	}
}

// samplePack is a pack on hold whose last inspection failed.
func samplePack() trace.ItemView {
	form := models.ProductForm{Pack: &models.PackForm{BlockModel: "Varr 12-20", Chemistry: "agm", Cells: 6, CapacityAh: "20", Rate: "C20", Strings: 1, Blocks: 4, NominalV: "48", ResistanceMethod: models.ResistanceAC}}
	spec := sampleSpecification(models.KindPack, form)
	in := models.InspectionView{Person: "Tam Vale", Specification: spec, Inspection: models.Inspection{ID: "n3", ItemID: "i2", Stage: models.Final, PersonID: "p3", Place: "bench 1", MeasuredAt: sampleNow.Add(-time.Hour), Verdict: models.VerdictFail, Round: 1, Conditions: models.Conditions{TemperatureC: "22.5", RestHours: "14"}}}
	blocks := []models.Position{models.Block(1, 1), models.Block(1, 2), models.Block(1, 3), models.Block(1, 4)}
	in.Sets = []models.ReadingSet{{Code: "block_voltage", Method: models.EveryBlock, Unit: "V", Values: []string{"12.91", "12.93", "12.90", "12.78"}, Index: blocks}, {Code: "block_resistance", Method: models.EveryBlock, Unit: "mohm", Manner: models.ResistanceAC, Values: []string{"8.4", "8.1", "8.3", "9.6"}, Index: blocks}}
	for i, v := range []string{"12.9150", "12.9350", "12.9050", "12.7850"} {
		in.Results = append(in.Results, models.Result{Code: "block_ocv25", Position: fmt.Sprintf("1.%d", i+1), Value: v, ValueF: number(12.9), Unit: "V", Verdict: models.VerdictNone})
	}
	in.Results = append(in.Results, models.Result{Code: "ocv_spread", Value: "0.1500", ValueF: number(0.15), Unit: "V", High: "0.05", Verdict: models.VerdictFail, Reason: "above_high", Method: models.EveryBlock, Readings: 4},
		models.Result{Code: "insulated", Value: "no", Verdict: models.VerdictFail, Reason: "ticked_no", Method: models.Whole, Readings: 1})
	return trace.ItemView{Item: models.Item{ID: "i2", Kind: models.KindPack, Serial: text("P270009QV"), FamilyID: text("f2"), ProductID: text("d2"), State: models.StateHeld, Origin: "made", CreatedAt: sampleNow.Add(-2 * time.Hour)},
		Family: &models.Family{ID: "f2", Kind: models.KindPack, Name: "48 V packs"}, Product: &models.Product{ID: "d2", Name: "Tamsin 48"}, Form: &models.ProductRevision{Form: form},
		Inspections: []models.InspectionView{in}, Holds: []trace.HoldView{{Hold: models.Hold{ID: "h2", Code: "P02", Reason: "Block 4 far below the others.", RaisedBy: "p3", RaisedAt: sampleNow}}}, TrailEntries: 3, People: map[string]string{"p3": "Tam Vale"}}
}

// sampleChart is a chart of n wheels, the last of them far out.
func sampleChart(n int) monitor.ChartView {
	v := monitor.ChartView{Query: monitor.ChartQuery{FamilyID: "f1", Result: "lateral_tir"}, Family: models.Family{ID: "f1", Kind: models.KindWheel, Name: "Rear wheels 559"}, Unit: "mm", Decimals: 2, FirstSets: true, Needed: spc.FewestForLimits, Kind: "individuals_log", KindReason: "skewed_one", Limit: models.Limit{Result: "lateral_tir", High: "0.30"}}
	var values []float64
	for i := range n {
		x := math.Round((0.2+0.05*math.Sin(float64(i)*1.7)+0.03*math.Cos(float64(i)*0.9))*100) / 100
		if i > n-5 {
			x += 0.22
		}
		values = append(values, x)
		v.Points = append(v.Points, monitor.Point{ItemID: fmt.Sprint("i", i), Serial: fmt.Sprintf("W26%05dX", i), MeasuredAt: sampleNow.Add(time.Duration(i-n) * 6 * time.Hour), Value: fmt.Sprintf("%.4f", x), ValueF: x, Place: "stand 2"})
	}
	if n == 0 {
		v.Finding = monitor.Finding{Title: models.Remark{Code: "chart.nothing_all"}, Signal: -1}
		return v
	}
	phase := monitor.Phase{To: n, Limits: spc.Limits{Kind: "individuals", Scale: spc.AsMeasured, Facts: spc.Facts{N: n, Distinct: n, Provisional: true, NoLimits: true, NoLimitsReason: spc.NoLimitsFewPoints}}}
	v.Finding = monitor.Finding{Title: models.Remark{Code: "chart.few_points_all", Values: map[string]string{"needed": "20", "has": fmt.Sprint(n)}}, Signal: -1}
	if n >= 20 {
		definition, err := spc.ChartOf("individuals_log")
		if err != nil {
			panic(err)
		}
		if phase.Limits, err = definition.Freeze(spc.Data{Values: values, Resolution: 0.01, Baseline: spc.Baseline{Points: 50}}); err != nil {
			panic(err)
		}
		v.Finding = monitor.Finding{Title: models.Remark{Code: "chart.drifted_high_all", Values: map[string]string{"value": "0.22", "unit": "mm", "date": "2027-05-14"}}, Signal: -1,
			Change: &monitor.Change{Since: sampleNow.AddDate(0, 0, -10), Before: 0.21, After: 0.43, By: 0.22, Low: 0.18, High: 0.26, HasInterval: true, NBefore: n - 4, N: 4, Unit: "mm", Decimals: 2}}
	}
	watch := spc.Watch{Weight: 0.05, Point: 3, Smoothed: 3}
	chart, err := watch.Judge(phase.Limits, spc.Data{Values: values})
	if err != nil {
		panic(err)
	}
	phase.Values = chart.Panels[0]
	if n >= 20 {
		phase.Smoothed = chart.Panels[1]
	}
	v.Phases = []monitor.Phase{phase}
	for _, p := range chart.Panels {
		for _, g := range p.Signals {
			values := map[string]string{}
			for k, x := range g.Values {
				values[k] = fmt.Sprintf("%.4f", x)
			}
			v.Signals = append(v.Signals, monitor.Signal{Panel: p.Name, Point: g.Index, First: g.First, Last: g.Last, Raised: v.Points[g.Index], Began: v.Points[g.First], Open: g.Last == n-1, Side: g.Side, Reason: models.Remark{Code: g.Rule, Values: values}})
		}
	}
	if len(v.Signals) > 1 {
		v.Signals[0].Causes = []models.SignalCause{{Code: "tool", Note: "key slipped", MadeBy: "p2", MadeAt: sampleNow}}
	}
	v.Events = []models.Happening{{At: sampleNow.AddDate(0, 0, -3), Kind: models.HappenedEvent, Detail: "guide roller replaced", Person: "p2"}, {At: sampleNow.AddDate(0, 0, -1), Kind: models.HappenedCalibration, Name: "D-1", Detail: "good"}}
	v.Design = monitor.Design{Alarms: 1, Charts: 48, Points: 1900, RunLength: 5000, Watch: watch}
	return v
}
