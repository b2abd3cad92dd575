package spc

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"tracewright/models/numbers/stats"
)

func to(v float64) *float64 { return &v }

// seeded returns n values drawn by the function, the same ones every time.
func seeded(n int, seed uint64, draw func(*rand.Rand) float64) []float64 {
	r := rand.New(rand.NewPCG(seed, 6))
	x := make([]float64, n)
	for i := range x {
		x[i] = draw(r)
	}
	return x
}

func normalValues(n int) []float64 {
	return seeded(n, 1, func(r *rand.Rand) float64 { return 10 + 0.5*r.NormFloat64() })
}

// NIST/SEMATECH e-Handbook 6.1.6, the worked example: limits 8 and 20, mean 16,
// sd 2; Cp 1.0, CpU 0.6667, CpL 1.3333, k 0.3333. Typed from memory.
func TestNormalCapabilityOfTheHandbook(t *testing.T) {
	c, err := NormalCapabilityOf(NormalProcess{Mean: 16, SD: 2, N: 50}, Tolerance{Low: to(8), High: to(20)}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name      string
		got, want float64
	}{
		{"Cp", c.Cp.Value, 1}, {"CpU", *c.CpkHigh, 2. / 3}, {"CpL", *c.CpkLow, 4. / 3}, {"Cpk", c.Cpk.Value, 2. / 3}, {"k", *c.OffCentre, 1. / 3},
	} {
		if math.Abs(test.got-test.want) > 1e-12 {
			t.Errorf("%s = %v; want %v", test.name, test.got, test.want)
		}
	}
	if c.Cpm != nil || c.Cpmk != nil {
		t.Errorf("without a target: Cpm %v, Cpmk %v; want none", c.Cpm, c.Cpmk)
	}
}

// By hand: one limit gives one index, no Cp, and nothing outside on the open
// side.
func TestNormalCapabilityWithOneLimit(t *testing.T) {
	for _, test := range []struct {
		name      string
		tolerance Tolerance
	}{{"low", Tolerance{Low: to(4), Target: to(11)}}, {"high", Tolerance{High: to(16), Target: to(11)}}} {
		t.Run(test.name, func(t *testing.T) {
			c, err := NormalCapabilityOf(NormalProcess{Mean: 10, SD: 1, N: 30}, test.tolerance, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(c.Cpk.Value-2) > 1e-15 || c.Cp != nil || c.Cpm != nil || c.OffCentre != nil {
				t.Errorf("%+v; want Cpk 2 and nothing of two limits", c)
			}
			if (c.CpkLow == nil) != (test.tolerance.Low == nil) || (c.CpkHigh == nil) != (test.tolerance.High == nil) {
				t.Errorf("low %v, high %v", c.CpkLow, c.CpkHigh)
			}
			if open := min(c.Below, c.Above); open != 0 {
				t.Errorf("%v outside a limit that is not there", open)
			}
		})
	}
}

func TestCapabilityReport(t *testing.T) {
	x := normalValues(49)
	tolerance := Tolerance{Low: to(8), High: to(12), Target: to(10)}
	within := &ChartSpread{Sigma: 0.4, Degrees: 30}
	for _, control := range []Control{InControl, NotInControl, ControlNotShown} {
		r, err := Capability(CapabilityQuestion{Values: x, Tolerance: tolerance, Control: control, Within: within})
		if err != nil {
			t.Fatal(err)
		}
		if r.Control != control {
			t.Errorf("asked with %s, the report says %s", control, r.Control)
		}
		if r.Cp == nil || math.Abs(r.Cp.Value-4/(6*0.4)) > 1e-12 || r.Cpm == nil {
			t.Errorf("Cp %+v, Cpm %+v; want Cp = 4/(6 x 0.4)", r.Cp, r.Cpm)
		}
		if !r.Provisional || r.Outside.FittedAbove != nil {
			t.Errorf("49 values: provisional %t, fitted share %v", r.Provisional, r.Outside.FittedAbove)
		}
	}
	if r, err := Capability(CapabilityQuestion{Values: normalValues(50), Tolerance: tolerance, Control: InControl}); err != nil || r.Provisional || r.Cp != nil {
		t.Errorf("50 values without a chart's spread: provisional %t, Cp %v, %v", r.Provisional, r.Cp, err)
	}
}

// The code is read off a chart: one point far out, in whichever panel, is
// enough, and fewer points than limits need show nothing.
func TestControlOf(t *testing.T) {
	even := make([]float64, 40)
	for i := range even {
		even[i] = 10 + 0.1*float64(i*7%11)
	}
	out := append(append([]float64{}, even...), 30)
	tests := []struct {
		name   string
		values []float64
		want   Control
	}{{"nothing out", even, InControl}, {"one point out", out, NotInControl}, {"too few points", out[30:], ControlNotShown}}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c, err := Plot("individuals", Data{Values: test.values})
			if err != nil {
				t.Fatal(err)
			}
			if got := ControlOf(c); got != test.want {
				t.Errorf("got %s; want %s", got, test.want)
			}
		})
	}
	if got := ControlOf(Chart{}); got != ControlNotShown {
		t.Errorf("no chart: %s", got)
	}
}

// A process that is not normal, taken for one, is warned about and nothing
// more.
func TestCapabilityOnlyWarnsOfThePoorFit(t *testing.T) {
	x := seeded(200, 2, func(r *rand.Rand) float64 { return r.ExpFloat64() })
	for shape, doubtful := range map[stats.Shape]bool{stats.ShapeNormal: true, stats.ShapeExponential: false} {
		r, err := Capability(CapabilityQuestion{Values: x, Tolerance: Tolerance{High: to(9)}, Control: InControl, Shape: shape})
		if err != nil || r.Goodness.Doubtful != doubtful || !(r.Ppk.Value > 0) {
			t.Errorf("%s: %+v, Ppk %v, %v; want doubtful %t", shape, r.Goodness, r.Ppk.Value, err, doubtful)
		}
	}
}

// Below 300 values the count alone is told, from 300 on the fitted share too;
// a value on its limit is inside. The exact interval of none of n is
// 1 - 0.025^(1/n) (Clopper and Pearson, closed form for 0).
func TestCapabilityOutside(t *testing.T) {
	for _, n := range []int{299, 300} {
		x := normalValues(n)
		x[7], x[9] = 12, 8 // On the limits.
		r, err := Capability(CapabilityQuestion{Values: x, Tolerance: Tolerance{Low: to(8), High: to(12)}, Control: InControl})
		if err != nil {
			t.Fatal(err)
		}
		if o := r.Outside; o.Below != 0 || o.Above != 0 || o.Counted.Low != 0 || math.Abs(o.Counted.High-(1-math.Pow(0.025, 1/float64(n)))) > 1e-12 {
			t.Errorf("%d values: %+v", n, o)
		}
		if fitted := r.Outside.FittedBelow != nil && r.Outside.FittedAbove != nil; fitted != (n >= 300) {
			t.Errorf("%d values: fitted shares %t", n, fitted)
		}
		x[11], x[12], x[13] = 12.0001, 13, 7.9
		r, err = Capability(CapabilityQuestion{Values: x, Tolerance: Tolerance{Low: to(8), High: to(12)}, Control: InControl})
		if err != nil || r.Outside.Below != 1 || r.Outside.Above != 2 {
			t.Errorf("%d values: %+v, %v; want 1 below and 2 above", n, r.Outside, err)
		}
	}
	// With one limit nothing lies beyond the other.
	r, err := Capability(CapabilityQuestion{Values: normalValues(300), Tolerance: Tolerance{High: to(11)}, Control: InControl})
	if err != nil || *r.Outside.FittedBelow != 0 || math.Abs(*r.Outside.FittedAbove-0.0228) > 0.01 {
		t.Errorf("%+v, %v; a limit 2 sd away has 2.28 %% beyond it", r.Outside, err)
	}
}

func TestCapabilityRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	good := normalValues(30)
	limits := Tolerance{Low: to(8), High: to(12)}
	equal := make([]float64, 30)
	withNaN := append(append([]float64{}, good...), nan)
	withZero := append(append([]float64{}, good...), 0)
	// With the root of a half-normal 0 lies about 2 sd below the middle.
	wide := seeded(200, 4, func(r *rand.Rand) float64 { return math.Abs(r.NormFloat64()) + 1e-9 })
	tests := []struct {
		name     string
		question CapabilityQuestion
		argument string
		want     error
	}{
		{"no values", CapabilityQuestion{Tolerance: limits, Control: InControl}, "values", stats.ErrTooFew},
		{"19 values", CapabilityQuestion{Values: good[:19], Tolerance: limits, Control: InControl}, "values", stats.ErrTooFew},
		{"all equal", CapabilityQuestion{Values: equal, Tolerance: limits, Control: InControl}, "values", stats.ErrNoSpread},
		{"a NaN", CapabilityQuestion{Values: withNaN, Tolerance: limits, Control: InControl}, "values", stats.ErrNotFinite},
		{"a zero among lognormal values", CapabilityQuestion{Values: withZero, Tolerance: limits, Control: InControl, Shape: stats.ShapeLognormal}, "values", stats.ErrImpossible},
		{"no limit", CapabilityQuestion{Values: good, Control: InControl}, "low, high", ErrTolerance},
		{"a target is no limit", CapabilityQuestion{Values: good, Tolerance: Tolerance{Target: to(10)}, Control: InControl}, "low, high", ErrTolerance},
		{"limits crossed", CapabilityQuestion{Values: good, Tolerance: Tolerance{Low: to(12), High: to(8)}, Control: InControl}, "low", ErrTolerance},
		{"limits equal", CapabilityQuestion{Values: good, Tolerance: Tolerance{Low: to(8), High: to(8)}, Control: InControl}, "low", ErrTolerance},
		{"limit NaN", CapabilityQuestion{Values: good, Tolerance: Tolerance{Low: to(nan), High: to(8)}, Control: InControl}, "low", ErrTolerance},
		{"limit infinite", CapabilityQuestion{Values: good, Tolerance: Tolerance{High: to(inf)}, Control: InControl}, "high", ErrTolerance},
		{"a target that is none", CapabilityQuestion{Values: good, Tolerance: Tolerance{Low: to(8), High: to(12), Target: to(math.Inf(1))}, Control: InControl}, "target", ErrTolerance},
		{"control not said", CapabilityQuestion{Values: good, Tolerance: limits}, "control", ErrSetting},
		{"unknown shape", CapabilityQuestion{Values: good, Tolerance: limits, Control: InControl, Shape: "bell"}, "shape", stats.ErrShape},
		{"a power without a low tail", CapabilityQuestion{Values: wide, Tolerance: Tolerance{Low: to(0), High: to(12)}, Control: InControl, Shape: stats.ShapeBoxCox}, "low", stats.ErrShape},
		{"confidence of 1", CapabilityQuestion{Values: good, Tolerance: limits, Control: InControl, Confidence: 1}, "confidence", stats.ErrOutOfRange},
		{"chart's spread of 0", CapabilityQuestion{Values: good, Tolerance: limits, Control: InControl, Within: &ChartSpread{}}, "sd", ErrSetting},
		{"chart's spread beside percentiles", CapabilityQuestion{Values: good, Tolerance: limits, Control: InControl, Shape: stats.ShapeWeibull, Within: &ChartSpread{Sigma: 1, Degrees: 9}}, "within", ErrSetting},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			r, err := Capability(test.question)
			var named *stats.ArgumentError
			if !errors.Is(err, test.want) || !errors.As(err, &named) || named.Argument != test.argument {
				t.Errorf("got %+v, %v; want %v about %s", r, err, test.want, test.argument)
			}
		})
	}
}

func TestNormalCapabilityRefuses(t *testing.T) {
	limits := Tolerance{Low: to(-1), High: to(1)}
	tests := []struct {
		name       string
		process    NormalProcess
		confidence float64
		argument   string
	}{
		{"sd 0", NormalProcess{Mean: 0, SD: 0, N: 9}, 0.95, "sd"},
		{"sd negative", NormalProcess{Mean: 0, SD: -1, N: 9}, 0.95, "sd"},
		{"sd NaN", NormalProcess{Mean: 0, SD: math.NaN(), N: 9}, 0.95, "sd"},
		{"sd so small that the index overflows", NormalProcess{Mean: 0, SD: 5e-324, N: 9}, 0.95, "sd"},
		{"mean infinite", NormalProcess{Mean: math.Inf(1), SD: 1, N: 9}, 0.95, "mean"},
		{"one value", NormalProcess{Mean: 0, SD: 1, N: 1}, 0.95, "n"},
		{"negative count", NormalProcess{Mean: 0, SD: 1, N: -3}, 0.95, "n"},
		{"degrees negative", NormalProcess{Mean: 0, SD: 1, N: 9, Degrees: -1}, 0.95, "degrees of freedom"},
		{"confidence 0", NormalProcess{Mean: 0, SD: 1, N: 9}, 0, "confidence"},
		{"confidence NaN", NormalProcess{Mean: 0, SD: 1, N: 9}, math.NaN(), "confidence"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, err := NormalCapabilityOf(test.process, limits, test.confidence)
			var named *stats.ArgumentError
			if !errors.As(err, &named) || named.Argument != test.argument {
				t.Errorf("got %v; want an error about %s", err, test.argument)
			}
		})
	}
}

// Degrees of freedom of spreads found by ranges: the moving range against the
// printed approximation of Cryer and Ryan (1990), subgroups of 5 against
// Duncan's table of the mean range (20 subgroups: 72.7, which keeps a small
// correction of its own), both from memory; and for n = 2, where range and
// standard deviation are the same but for a factor, the closed form 1/(pi - 2).
func TestDegreesOfFreedom(t *testing.T) {
	for _, n := range []int{2, 3, 10, 30, 1000} {
		got, err := MovingRangeDegrees(n)
		ranges := float64(n - 1)
		if want := ranges * ranges / (2 * (0.8264*float64(n) - 1.082)); err != nil || math.Abs(got/want-1) > 1e-3 {
			t.Errorf("moving range of %d: %v, %v; want %v", n, got, err, want)
		}
	}
	if got, err := MeanRangeDegrees(5, 20); err != nil || math.Abs(got-72.7) > 0.3 {
		t.Errorf("20 subgroups of 5: %v, %v; want 72.7", got, err)
	}
	byRange, errRange := MeanRangeDegrees(2, 10)
	bySD, errSD := MeanSDDegrees(2, 10)
	want := 10 / (math.Pi - 2)
	if err := errors.Join(errRange, errSD); err != nil || math.Abs(byRange-want) > 1e-6 || math.Abs(bySD-want) > 1e-6 {
		t.Errorf("10 pairs: %v by range, %v by sd, %v; want %v", byRange, bySD, err, want)
	}
	for _, bad := range [][2]int{{1, 10}, {5, 0}, {101, 3}, {-1, -1}} {
		if v, err := MeanRangeDegrees(bad[0], bad[1]); err == nil || v != 0 {
			t.Errorf("%d subgroups of %d: %v, %v", bad[1], bad[0], v, err)
		}
		if v, err := MeanSDDegrees(bad[0], bad[1]); err == nil || v != 0 {
			t.Errorf("%d subgroups of %d: %v, %v", bad[1], bad[0], v, err)
		}
	}
	if v, err := MovingRangeDegrees(1); err == nil {
		t.Errorf("moving range of one value: %v", v)
	}
}
