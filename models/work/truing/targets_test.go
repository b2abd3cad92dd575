package truing

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/wheel"
)

// Targets by hand, for a mean of the tighter side allowed from 800 to 1300 N, a
// ceiling of 1200 N with 15 % of deviation (1200/1.075 = 1116.28), and a ratio
// of 1.5 of side A over B, or its inverse.
func TestTargets(t *testing.T) {
	view := models.InspectionView{Specification: models.Specification{Characteristics: []models.Characteristic{
		{Code: "tension_a", Results: []models.Limit{{Result: "tension_mean_tight", Low: "800", High: "1300"}}}}}}
	limits := Limits{Ceiling: 1200, SideDeviationPct: 15}
	for _, c := range []struct {
		name    string
		ratio   string
		now     Condition
		a, b    float64
		lowered bool
	}{
		{"it stays where it may", "1.5", Condition{MeanA: 1000, MeanB: 700}, 1000, 1000 / 1.5, false},
		{"the limit itself may stay", "1.5", Condition{MeanA: 800, MeanB: 500}, 800, 800 / 1.5, false},
		{"too low: a tenth of 500 inside", "1.5", Condition{MeanA: 700, MeanB: 500}, 850, 850 / 1.5, false},
		{"the tighter side is B", "0.6667", Condition{MeanA: 650, MeanB: 1000}, 1000 * 0.6667, 1000, false},
		{"above what the ceiling leaves", "1.5", Condition{MeanA: 1180, MeanB: 700}, 1200 / 1.075, 1200 / 1.075 / 1.5, true},
		{"above everything", "1.5", Condition{MeanA: 1400, MeanB: 900}, 1200 / 1.075, 1200 / 1.075 / 1.5, true},
	} {
		a, b, lowered, err := targets(view, models.WheelForm{ExpectedRatio: c.ratio}, wheel.Geometry{}, limits, c.now)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(a-c.a) > 1e-9 || math.Abs(b-c.b) > 1e-9 || lowered != c.lowered {
			t.Errorf("%s: %.2f and %.2f N, lowered %v; want %.2f, %.2f, %v", c.name, a, b, lowered, c.a, c.b, c.lowered)
		}
	}
}

// The uncertainty of the gauge: the largest typed in for those that read, in
// newtons; the product's figure; 5 % of the maximum. 3 kgf are 29.41995 N.
func TestGaugeUncertainty(t *testing.T) {
	id := func(s string) *string { return &s }
	view := func(u ...string) models.InspectionView {
		v := models.InspectionView{Sets: []models.ReadingSet{{Code: "tension_a", InstrumentID: id("a")}, {Code: "tension_b", InstrumentID: id("b")}, {Code: "dish", InstrumentID: id("c")}}}
		v.Instruments = []models.Instrument{{ID: "a", Unit: "N", Uncertainty: u[0]}, {ID: "b", Unit: "kgf", Uncertainty: u[1]}, {ID: "c", Unit: "mm", Uncertainty: "99"}}
		return v
	}
	for _, c := range []struct {
		name string
		view models.InspectionView
		own  string
		want float64
	}{
		{"of both the larger", view("25", "3"), "40", 29.41995},
		{"of the one that has it", view("25", ""), "40", 25},
		{"the product's", view("", ""), "40", 40},
		{"nobody's", view("", ""), "", 60},
	} {
		var f figures
		got := gaugeUncertainty(c.view, models.WheelForm{Truing: &models.WheelTruing{TensionUncertainty: c.own}}, 1200, &f)
		if f.err != nil || math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g N, want %g (%v)", c.name, got, c.want, f.err)
		}
	}
}

// A guarded limit is the one to come within; a result that is not there has
// that of the specification.
func TestLimitsOf(t *testing.T) {
	view := models.InspectionView{
		Specification: models.Specification{Characteristics: []models.Characteristic{{Code: "x", Results: []models.Limit{{Result: "lateral_tir", High: "0.30"}, {Result: "radial_tir", High: "0.50"},
			{Result: "side_tension_dev_pct_a", High: "15"}, {Result: "side_tension_dev_pct_b", High: "12"}, {Result: "tension_lowest", Low: "450"}}}}},
		Results: []models.Result{{Code: "lateral_tir", High: "0.30"}, {Code: "side_tension_dev_pct_a", High: "15", AcceptHigh: "11.5"}, {Code: "tension_lowest", Low: "450", AcceptLow: "480"}},
	}
	got, err := limitsOf(view, models.WheelForm{RimMaxTension: "1250", Truing: &models.WheelTruing{TensionUncertainty: "50"}})
	want := Limits{LateralTIR: 0.30, RadialTIR: 0.50, SideDeviationPct: 11.5, TensionMin: 480, TensionMax: 1250, GaugeUncertainty: 50, Ceiling: 1200}
	if err != nil || got != want {
		t.Errorf("got %+v, want %+v (%v)", got, want, err)
	}
}
