package spc

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"tracewright/models/numbers/stats"
)

// Everything here holds for each chart in the table.

func TestChartNames(t *testing.T) {
	seen := map[string]bool{}
	for _, d := range Charts() {
		chart, err := Plot(d.Kind, Data{Values: alternating(25, 2, 3)})
		if err != nil || chart.Kind != d.Kind || chart.Scale != d.Scale || seen[d.Kind] {
			t.Errorf("%s on %s: %s on %s, %v", d.Kind, d.Scale, chart.Kind, chart.Scale, err)
		}
		seen[d.Kind] = true
	}
	if _, err := Plot("tea leaves", Data{}); !errors.Is(err, ErrKind) {
		t.Errorf("unknown kind: %v", err)
	}
}

// Fewer than 20 points: no limits; fewer than 50: provisional.
func TestFewPoints(t *testing.T) {
	for _, d := range Charts() {
		for _, test := range []struct {
			n                     int
			noLimits, provisional bool
		}{{2, true, true}, {19, true, true}, {20, false, true}, {49, false, true}, {50, false, false}, {400, false, false}} {
			chart, err := d.Draw(Data{Values: alternating(test.n, 2, 3)})
			if err != nil {
				t.Fatal(err)
			}
			f := chart.Facts
			if f.N != test.n || f.NoLimits != test.noLimits || f.Provisional != test.provisional || test.noLimits != (f.NoLimitsReason == NoLimitsFewPoints) {
				t.Errorf("%s with %d points: %+v", d.Kind, test.n, f)
			}
			near(t, "limit of the correlation", f.Lag1Limit, 2/math.Sqrt(float64(test.n)))
			for _, p := range chart.Panels {
				if test.noLimits != (p.High == nil) || len(p.Centre) != len(p.Points) || p.First+len(p.Points) != test.n {
					t.Errorf("%s with %d points: panel %+v", d.Kind, test.n, p)
				}
			}
		}
	}
}

func TestChartsRefuse(t *testing.T) {
	for _, d := range Charts() {
		for _, x := range [][]float64{nil, {1}} {
			if _, err := d.Draw(Data{Values: x}); !errors.Is(err, stats.ErrTooFew) {
				t.Errorf("%s of %v: %v; want ErrTooFew", d.Kind, x, err)
			}
		}
		for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			x := alternating(30, 2, 3)
			x[11] = bad
			if _, err := d.Draw(Data{Values: x}); !errors.Is(err, stats.ErrNotFinite) {
				t.Errorf("%s with %v: %v; want ErrNotFinite", d.Kind, bad, err)
			}
		}
		x := alternating(30, math.MaxFloat64, math.MaxFloat64/2)
		if chart, err := d.Draw(Data{Values: x}); !errors.Is(err, stats.ErrNotFinite) {
			t.Errorf("%s of the largest values: %v, %v; want ErrNotFinite", d.Kind, chart.Panels, err)
		}
	}
}

func TestNoSpread(t *testing.T) {
	for _, d := range Charts() {
		chart, err := d.Draw(Data{Values: alternating(60, 0.3, 0.3)})
		if err != nil || chart.Facts.NoLimitsReason != NoLimitsNoSpread || chart.Facts.Lag1Known || chart.Facts.Distinct != 1 || chart.Panels[0].High != nil {
			t.Errorf("%s of equal values: %+v, %v", d.Kind, chart.Facts, err)
		}
	}
}

// Sigma of 10, 10.1, 10, ... is 0.1 x 0.886: a gauge of 0.05 can see it, one of
// 0.1 cannot.
func TestResolution(t *testing.T) {
	for _, d := range Charts() {
		for _, test := range []struct {
			resolution float64
			coarse     bool
		}{{0, false}, {0.05, false}, {0.1, true}} {
			chart, err := d.Draw(Data{Values: alternating(60, 10, 10.1), Resolution: test.resolution})
			f := chart.Facts
			if err != nil || f.ResolutionCoarse != test.coarse || f.NoLimits != test.coarse || f.Resolution != test.resolution ||
				test.coarse != (f.NoLimitsReason == NoLimitsResolution) || test.coarse != (chart.Panels[0].High == nil) {
				t.Errorf("%s with a resolution of %v: %+v, %v", d.Kind, test.resolution, f, err)
			}
		}
	}
}

func TestCorrelated(t *testing.T) {
	slow, mixed := make([]float64, 100), make([]float64, 100)
	for i, other := range rand.New(rand.NewPCG(20, 26)).Perm(100) {
		slow[i], mixed[i] = 10+float64(i/10), 10+float64(other/10)
	}
	for _, d := range Charts() {
		a, errA := d.Draw(Data{Values: slow})
		b, errB := d.Draw(Data{Values: mixed})
		if errA != nil || errB != nil || !a.Facts.Correlated || b.Facts.Correlated {
			t.Errorf("%s: drifting %+v, %v; mixed %+v, %v", d.Kind, a.Facts, errA, b.Facts, errB)
		}
	}
}

// Another unit scales the chart and changes nothing else; on the scale as
// measured a shift moves it likewise.
func TestChartsScaleAndShift(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := make([]float64, rapid.IntRange(20, 60).Draw(r, "n"))
		for i := range x {
			x[i] = float64(rapid.IntRange(1, 2000).Draw(r, "x")) / 100
		}
		scale := float64(rapid.IntRange(1, 300).Draw(r, "scale")) / 10
		for _, d := range Charts() {
			shift := 0.0
			if d.Scale == AsMeasured {
				shift = float64(rapid.IntRange(-50, 50).Draw(r, "shift"))
			}
			moved := make([]float64, len(x))
			for i := range x {
				moved[i] = x[i]*scale + shift
			}
			a, errA := d.Draw(Data{Values: x})
			b, errB := d.Draw(Data{Values: moved})
			if errA != nil || errB != nil || a.Facts.NoLimitsReason != b.Facts.NoLimitsReason {
				r.Fatal(errA, errB, a.Facts, b.Facts)
			}
			if a.Facts.NoLimits {
				continue
			}
			p, q := a.Panels[0], b.Panels[0]
			size := 1e-9 * (math.Abs(q.High[0]) + math.Abs(q.Low[0]) + math.Abs(shift))
			for _, line := range [][2][]float64{{p.Centre, q.Centre}, {p.Low, q.Low}, {p.High, q.High}} {
				if math.Abs(line[0][0]*scale+shift-line[1][0]) > size {
					r.Fatalf("%s: %v scaled by %v and shifted by %v is %v", d.Kind, line[0][0], scale, shift, line[1][0])
				}
			}
			if !(p.Low[0] < p.Centre[0] && p.Centre[0] < p.High[0]) {
				r.Fatalf("%s: limits %v, %v, %v out of order", d.Kind, p.Low[0], p.Centre[0], p.High[0])
			}
		}
	})
}

// How often a process in control is called out. With sigma known a value lies
// beyond three of them with 2(1-Phi(3)) = 0.0027, and a moving range beyond
// D2 sigma = 3.686 sigma with 2(1-Phi(3.686/sqrt 2)) = 0.0092; limits from the
// same 100 points move these a little. Fixed seed; the bounds are more than
// five standard errors wide (counts of a neighbour's range go in pairs).
func TestFalseAlarms(t *testing.T) {
	const charts, points = 400, 100
	for _, d := range Charts() {
		random := rand.New(rand.NewPCG(20, 26))
		var values, ranges int
		for range charts {
			x := make([]float64, points)
			for i := range x {
				x[i] = 10 + random.NormFloat64()
				if d.Scale == Logarithmic {
					x[i] = math.Exp(0.5 * random.NormFloat64())
				}
			}
			chart, err := d.Draw(Data{Values: x})
			if err != nil {
				t.Fatal(err)
			}
			values += len(chart.Panels[0].Signals)
			ranges += len(chart.Panels[1].Signals)
		}
		if rate := float64(values) / (charts * points); rate < 0.0012 || rate > 0.0045 {
			t.Errorf("%s: a share %.4f of values beyond limits; about 0.0027 expected", d.Kind, rate)
		}
		if rate := float64(ranges) / (charts * (points - 1)); rate < 0.006 || rate > 0.0125 {
			t.Errorf("%s: a share %.4f of ranges beyond limits; about 0.0092 expected", d.Kind, rate)
		}
	}
}
