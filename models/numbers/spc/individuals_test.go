package spc

import (
	"math"
	"testing"

	"tracewright/testdata/cases"
)

// factorE2 and factorD4 for two values, from testdata/reference (ten decimals).
const (
	factorE2 = 2.6586807764
	factorD4 = 3.2665319193
)

// alternating returns n values that go from a to b and back.
func alternating(n int, a, b float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = a
		if i%2 == 1 {
			x[i] = b
		}
	}
	return x
}

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > 2e-9*max(1, math.Abs(want)) {
		t.Errorf("%s = %.12g; want %.12g", what, got, want)
	}
}

// flat checks that a line stands at one height over all points of its panel.
func flat(t *testing.T, what string, line []float64, p Panel, want float64) {
	t.Helper()
	if len(line) != len(p.Points) {
		t.Errorf("%s has %d points of %d", what, len(line), len(p.Points))
		return
	}
	for _, height := range line {
		near(t, what, height, want)
	}
}

// Moving ranges against the cases of kind individuals_chart (NIST/SEMATECH
// e-Handbook, 6.3.2.2, and, read in place, the data of 2.6.2 and 1.4.2.8).
func TestFromMovingRangesCases(t *testing.T) {
	list := cases.OfKind(t, "individuals_chart")
	if inPlace, ok := cases.InPlace(t); ok {
		list = append(list, inPlace...)
	} else {
		t.Log("TRACEWRIGHT_CASES is not set: two NIST series are left out")
	}
	for _, c := range list {
		if c.Kind != "individuals_chart" {
			continue
		}
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct{ X []float64 }](t, c.Input)
			want := cases.Decode[map[string]any](t, c.Expected)
			m, err := FromMovingRanges(in.X)
			if err != nil {
				t.Fatal(err)
			}
			for field, got := range map[string]float64{
				"xbar": m.Mean, "mrbar": m.MeanMR, "median_mr": m.MedianMR, "sigma_hat_mrbar_over_d2": m.Sigma,
				"sigma_hat_median_mr": m.SigmaByMedian, "x_lcl": m.Low, "x_ucl": m.High, "mr_ucl": m.RangeHigh,
			} {
				if w, ok := want[field].(float64); !ok || math.Abs(got-w) > c.Tolerance.Abs {
					t.Errorf("%s = %.12g; want %v", field, got, want[field])
				}
			}
			// The chart shows these very limits, or none when there are too few points.
			chart, err := Individuals(Data{Values: in.X})
			if err != nil {
				t.Fatal(err)
			}
			values := chart.Panels[0]
			if len(in.X) < FewestForLimits {
				if values.High != nil || values.Low != nil || len(values.Signals) > 0 {
					t.Errorf("%d points and limits", len(in.X))
				}
				return
			}
			flat(t, "high", values.High, values, m.High)
			flat(t, "low", values.Low, values, m.Low)
		})
	}
}

// Twenty values going 0, 1, 0, 1: mean 1/2, every moving range 1.
func TestIndividualsByHand(t *testing.T) {
	chart, err := Individuals(Data{Values: alternating(20, 0, 1)})
	if err != nil {
		t.Fatal(err)
	}
	if chart.Kind != "individuals" || chart.Scale != AsMeasured || chart.ScaleReason != ScaleAsAsked || chart.SigmaEstimator != MeanMovingRange {
		t.Errorf("chart says %s, %s, %s, %s", chart.Kind, chart.Scale, chart.ScaleReason, chart.SigmaEstimator)
	}
	near(t, "sigma", chart.Sigma, factorE2/3)
	values, ranges := chart.Panels[0], chart.Panels[1]
	flat(t, "centre", values.Centre, values, 0.5)
	flat(t, "high", values.High, values, 0.5+factorE2)
	flat(t, "low", values.Low, values, 0.5-factorE2)
	if ranges.Name != PanelMovingRange || ranges.First != 1 || ranges.Low != nil {
		t.Errorf("ranges: %s from %d, low limit %v", ranges.Name, ranges.First, ranges.Low)
	}
	flat(t, "range centre", ranges.Centre, ranges, 1)
	flat(t, "range high", ranges.High, ranges, factorD4)
	if len(values.Signals)+len(ranges.Signals) != 0 {
		t.Errorf("signals %v, %v", values.Signals, ranges.Signals)
	}
	// 20 deviations of a half: squares 5, products 19 x -1/4.
	near(t, "lag 1", chart.Facts.Lag1, -0.95)
	if !chart.Facts.Correlated || chart.Facts.Distinct != 2 || !chart.Facts.Provisional || chart.Facts.NoLimits {
		t.Errorf("facts %+v", chart.Facts)
	}
}

// The same on logarithms: 1 and e have the logarithms 0 and 1.
func TestIndividualsLogByHand(t *testing.T) {
	chart, err := IndividualsLog(Data{Values: alternating(20, 1, math.E)})
	if err != nil {
		t.Fatal(err)
	}
	if chart.Kind != "individuals_log" || chart.Scale != Logarithmic || chart.ScaleReason != ScalePositiveSkewed {
		t.Errorf("chart says %s, %s, %s", chart.Kind, chart.Scale, chart.ScaleReason)
	}
	values, ratios := chart.Panels[0], chart.Panels[1]
	flat(t, "centre", values.Centre, values, math.Exp(0.5))
	flat(t, "high", values.High, values, math.Exp(0.5+factorE2))
	flat(t, "low", values.Low, values, math.Exp(0.5-factorE2))
	if ratios.Name != PanelMovingRatio || ratios.First != 1 {
		t.Errorf("ratios: %s from %d", ratios.Name, ratios.First)
	}
	flat(t, "ratio centre", ratios.Centre, ratios, math.E)
	flat(t, "ratio high", ratios.High, ratios, math.Exp(factorD4))
	if values.Points[1] != math.E || ratios.Points[0] < 2.718 || ratios.Points[0] > 2.719 {
		t.Errorf("points %v, ratios %v", values.Points[:2], ratios.Points[:2])
	}
}

func TestIndividualsLogWithoutLogarithm(t *testing.T) {
	for _, value := range []float64{0, -0.01} {
		x := alternating(30, 0.2, 0.3)
		x[7] = value
		chart, err := IndividualsLog(Data{Values: x})
		if err != nil || chart.Scale != AsMeasured || chart.ScaleReason != ScaleNotPositive || chart.Panels[1].Name != PanelMovingRange {
			t.Errorf("with %v: %s, %s, %v; want as measured because a value is not positive", value, chart.Scale, chart.ScaleReason, err)
		}
	}
}

// Limits fit a skewed process on both sides where those on the scale as measured
// reach below nothing.
func TestLogLimitsAreUnequal(t *testing.T) {
	x := alternating(40, 0.05, 0.35)
	plain, err := Individuals(Data{Values: x})
	if err != nil {
		t.Fatal(err)
	}
	logs, err := IndividualsLog(Data{Values: x})
	if err != nil {
		t.Fatal(err)
	}
	low, centre, high := logs.Panels[0].Low[0], logs.Panels[0].Centre[0], logs.Panels[0].High[0]
	if plain.Panels[0].Low[0] >= 0 || low <= 0 || high-centre <= centre-low {
		t.Errorf("as measured from %v; by logarithms %v, %v, %v", plain.Panels[0].Low[0], low, centre, high)
	}
}

func TestBeyondLimit(t *testing.T) {
	x := alternating(40, 10, 11)
	x[12], x[25] = 16, 5
	chart, err := Individuals(Data{Values: x})
	if err != nil {
		t.Fatal(err)
	}
	values := chart.Panels[0]
	if len(values.Signals) != 2 {
		t.Fatalf("signals %+v; want the points 12 and 25", values.Signals)
	}
	for i, want := range []Signal{
		{Index: 12, Rule: BeyondLimit, Side: SideHigh, Values: map[string]float64{"value": 16, "limit": values.High[0], "centre": values.Centre[0]}},
		{Index: 25, Rule: BeyondLimit, Side: SideLow, Values: map[string]float64{"value": 5, "limit": values.Low[0], "centre": values.Centre[0]}},
	} {
		got := values.Signals[i]
		if got.Index != want.Index || got.Rule != want.Rule || got.Side != want.Side {
			t.Errorf("signal %+v; want %+v", got, want)
		}
		for name, value := range want.Values {
			if got.Values[name] != value {
				t.Errorf("signal at %d: %s = %v; want %v", got.Index, name, got.Values[name], value)
			}
		}
	}
	// A moving range is counted at the later of its two points.
	jumps := map[int]bool{}
	for _, signal := range chart.Panels[1].Signals {
		jumps[signal.Index] = true
	}
	if !jumps[12] || !jumps[13] || !jumps[25] || !jumps[26] || len(jumps) != 4 {
		t.Errorf("jumps at %v; want 12, 13, 25, 26", jumps)
	}
}

// A point on its limit is inside, one step of a double further is not.
func TestPointOnItsLimit(t *testing.T) {
	p := Panel{First: 3, Points: []float64{2, 1, math.Nextafter(2, 3), math.Nextafter(1, 0)},
		Centre: level(1.5, 4), Low: level(1, 4), High: level(2, 4)}
	p = signalled(p)
	if len(p.Signals) != 2 || p.Signals[0].Index != 5 || p.Signals[1].Index != 6 {
		t.Errorf("signals %+v; want the third and fourth point", p.Signals)
	}
}
