package goodness

import (
	"math"
	"testing"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// quantiles are n values in exactly the shape of a law.
func quantiles(t *testing.T, n int, shape stats.Shape, parameters ...float64) []float64 {
	t.Helper()
	d, err := stats.NewDistribution(shape, parameters...)
	if err != nil {
		t.Fatal(err)
	}
	out := make([]float64, n)
	for i := range out {
		if out[i], err = d.Quantile((float64(i) + 0.5) / float64(n)); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

func to(x float64) *float64 { return &x }

// The law behind the values is found, and its tail: a lognormal with mu ln 0.2 and sigma
// 0.35 has 1 - Phi(ln(0.4/0.2)/0.35) = 1 - Phi(1.98042) = 2.3828 % above 0.4, a normal
// process 3 sd within both limits 0.27 % outside.
func TestTheLawBehindTheValues(t *testing.T) {
	for _, row := range []struct {
		name      string
		values    []float64
		tolerance spc.Tolerance
		shape     stats.Shape
		share     float64
		within    float64
	}{
		{"run-outs", quantiles(t, 1000, stats.ShapeLognormal, math.Log(0.2), 0.35), spc.Tolerance{High: to(0.4)}, stats.ShapeLognormal, 0.023828, 3e-4},
		{"eccentricities", quantiles(t, 1000, stats.ShapeRayleigh, 0.1), spc.Tolerance{High: to(0.3)}, stats.ShapeRayleigh, math.Exp(-4.5), 3e-4},
		{"voltages", quantiles(t, 1000, stats.ShapeNormal, 12.8, 0.02), spc.Tolerance{Low: to(12.74), High: to(12.86)}, stats.ShapeNormal, 0.0027, 1e-4},
	} {
		law, err := fitted(row.values, row.tolerance)
		if err != nil || law == nil {
			t.Fatalf("%s: %+v, %v", row.name, law, err)
		}
		if law.Fitted.Shape() != row.shape || law.Goodness.Doubtful {
			t.Errorf("%s: %s, %+v", row.name, law.Fitted.Shape(), law.Goodness)
		}
		if err := law.predict(row.values, row.tolerance); err != nil || law.Predicted == nil {
			t.Fatalf("%s: %v", row.name, err)
		}
		near(t, row.name, law.Predicted.Share, row.share, row.within)
		if i := law.Predicted.Interval; i == nil || !(i.Low < row.share && row.share < i.High) || i.High > 3*row.share {
			t.Errorf("%s: interval %+v around %v", row.name, i, row.share)
		}
	}
}

// For a normal law the standard error of the normal quantile of the share above a
// limit is known: sqrt((1 + z²/2)/n) (delta method on mean and sd). At z = 2, n = 400
// the interval is Phi(-2 -+ 1.96 sqrt(3/400)).
func TestTheIntervalOfAPredictedShare(t *testing.T) {
	values := quantiles(t, 400, stats.ShapeNormal, 10, 1)
	d, err := stats.Fit(stats.ShapeNormal, values)
	if err != nil {
		t.Fatal(err)
	}
	sd := d.Parameters()[1].Value
	law := &Law{Fitted: d}
	if err := law.predict(values, spc.Tolerance{High: to(10 + 2*sd)}); err != nil || law.Predicted.Interval == nil {
		t.Fatalf("%+v, %v", law.Predicted, err)
	}
	reach := 1.959964 * math.Sqrt(3./400)
	near(t, "share", law.Predicted.Share, stats.NormalBelow(-2), 1e-6)
	near(t, "low", law.Predicted.Interval.Low, stats.NormalBelow(-2-reach), 2e-5)
	near(t, "high", law.Predicted.Interval.High, stats.NormalBelow(-2+reach), 2e-5)
}

func TestNoLawFitsTwoHeaps(t *testing.T) {
	values := append(quantiles(t, 200, stats.ShapeNormal, 10, 0.1), quantiles(t, 200, stats.ShapeNormal, 20, 0.1)...)
	if law, err := fitted(values, spc.Tolerance{High: to(25)}); err != nil || law != nil {
		t.Errorf("%+v, %v", law, err)
	}
	// A zero is not lognormal, and others are asked.
	if law, err := fitted(append(quantiles(t, 200, stats.ShapeRayleigh, 0.1), 0), spc.Tolerance{High: to(1)}); err != nil || law == nil {
		t.Errorf("a zero: %+v, %v", law, err)
	}
}

// By hand: two lots of five, 1 to 5 and 3 to 7. Squares within are 10 each on 8 degrees,
// 2.5; between 2 × 5 × 1² on one, 10. The component between is (10 - 2.5)/5 = 1.5, and
// F = 4 on 1 and 8 degrees has the chance 0.0805 (tables of F: 5 % at 5.32, 10 % at 3.46).
func TestLotsWithinAndBetween(t *testing.T) {
	lots, err := lotsOf(map[string][]float64{"B": {3, 4, 5, 6, 7}, "A": {1, 2, 3, 4, 5}, "C": {9}}, map[string]string{"A": "a", "B": "b", "C": "c"}, "V")
	if err != nil || !lots.Known || len(lots.Rows) != 3 || lots.Rows[0].Lot != "A" || lots.compared() != 2 {
		t.Fatalf("%+v, %v", lots, err)
	}
	near(t, "within", lots.Within, math.Sqrt(2.5), 1e-12)
	near(t, "between", lots.Between, math.Sqrt(1.5), 1e-12)
	near(t, "part", lots.Part, 1.5/4, 1e-12)
	near(t, "chance", lots.P, 0.0805, 1e-4)
	if lots.Rows[0].Apart || lots.Rows[1].Apart {
		t.Error("called apart at 8 %")
	}
	if lots, err = lotsOf(map[string][]float64{"A": {1, 1.1, 0.9, 1, 1}, "B": {7, 7.1, 6.9, 7, 7}}, nil, "mV"); err != nil || !lots.Rows[1].Apart || lots.Rows[1].Side != "high" {
		t.Errorf("far apart: %+v, %v", lots, err)
	}
	for name, values := range map[string]map[string][]float64{"one lot": {"A": {1, 2, 3, 4, 5}}, "few in each": {"A": {1, 2}, "B": {3}}, "no spread": {"A": {1, 1, 1, 1, 1}, "B": {2, 2, 2, 2, 2}}} {
		if lots, err := lotsOf(values, nil, "V"); err != nil || lots.Known {
			t.Errorf("%s: %+v, %v", name, lots, err)
		}
	}
}

func TestHistogram(t *testing.T) {
	for _, row := range []struct {
		name   string
		values []float64
		edge   *float64
		want   []int
		first  float64
	}{
		{"a value on the limit is below its edge", []float64{0.48, 0.49, 0.50, 0.51}, to(0.50), []int{3, 1}, 0.45},
		{"one value", []float64{0.31}, nil, []int{1}, 0.30},
		{"all alike", []float64{5, 5, 5}, to(7), []int{3}, 4.99},
		{"none", nil, to(7), nil, 0},
	} {
		h := histogramOf(row.values, row.edge, 2)
		if len(h.Counts) != len(row.want) {
			t.Errorf("%s: %+v, want %v", row.name, h, row.want)
			continue
		}
		for i := range row.want {
			if h.Counts[i] != row.want[i] {
				t.Errorf("%s: %+v, want %v", row.name, h, row.want)
			}
		}
		near(t, row.name, h.First, row.first, 1e-9)
	}
}
