package spc

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// With limits that open up, the smoothed mean of every single point lies beyond
// three sigmas as often as a normal value does; the fifth of each chart is
// looked at, so that charts are independent.
func TestFalseAlarmsOfEWMA(t *testing.T) {
	const charts = 40_000
	r, alarms := rand.New(rand.NewPCG(31, 5)), 0
	for range charts {
		chart, err := Judge(Limits{Kind: "ewma", Centre: 10, Sigma: 1, Settings: Settings{Weight: 0.2, Width: 3}}, Data{Values: drawn(r, 5, 10, 1)})
		if err != nil {
			t.Fatal(err)
		}
		for _, signal := range chart.Panels[0].Signals {
			if signal.Index == 4 {
				alarms++
			}
		}
	}
	withinErrors(t, "ewma", alarms, charts, beyondThree)
}

// The usual two-sided CUSUM with h = 4 alarms once in 168 points in control, the
// one with a head start of half h a little sooner, after 149 (Lucas and Crosier
// 1982, table 1, from memory; NIST/SEMATECH e-Handbook, 6.3.2.3.1, prints 168 and
// 8.38 after a shift of one sigma).
func TestRunLengthOfCUSUM(t *testing.T) {
	for _, test := range []struct{ shift, headStart, want, printed float64 }{{0, 0, 168, 0.5}, {1, 0, 8.38, 0.005}, {0, 2, 149, 0.5}} {
		const charts = 4000
		r := rand.New(rand.NewPCG(31, 5))
		var sum, squares float64
		for range charts {
			l := Limits{Kind: "cusum", Centre: 10, Sigma: 2, Settings: Settings{Slack: 0.5, Decision: 4, HeadStart: test.headStart}}
			chart, err := Judge(l, Data{Values: drawn(r, 2500, 10+2*test.shift, 2)})
			if err != nil {
				t.Fatal(err)
			}
			length := 2500
			for _, p := range chart.Panels {
				if len(p.Signals) > 0 {
					length = min(length, p.Signals[0].Index+1)
				}
			}
			sum += float64(length)
			squares += float64(length) * float64(length)
		}
		mean := sum / charts
		deviation := math.Sqrt((squares/charts - mean*mean) / charts)
		if math.Abs(mean-test.want) > 3*deviation+test.printed {
			t.Errorf("shift %v, head start %v: %.2f points, standard error %.2f; printed %v", test.shift, test.headStart, mean, deviation, test.want)
		}
	}
}

func TestMemorySettings(t *testing.T) {
	x := alternating(30, 9, 11)
	given := plot(t, "ewma", Data{Values: x[:5], Settings: Settings{Target: pointer(10), Sigma: pointer(2)}})
	if given.Facts.NoLimits || given.SigmaEstimator != Given || given.Panels[0].High == nil {
		t.Errorf("target and sigma given, yet %+v", given.Facts)
	}
	// z = 10 - 0.2, limits 10 -+ 3 x 2 x 0.2 at the first point.
	near(t, "z", given.Panels[0].Points[0], 9.8)
	near(t, "high", given.Panels[0].High[0], 11.2)
	for name, s := range map[string]Settings{
		"a weight above 1":      {Weight: 1.1},
		"a negative weight":     {Weight: -0.2},
		"a negative width":      {Width: -3},
		"a sigma of 0":          {Sigma: pointer(0)},
		"a target that is none": {Target: pointer(math.NaN())},
	} {
		if _, err := Plot("ewma", Data{Values: x, Settings: s}); !errors.Is(err, ErrSetting) {
			t.Errorf("%s: %v", name, err)
		}
	}
	for name, s := range map[string]Settings{
		"negative slack":          {Slack: -1},
		"a negative decision":     {Decision: -5},
		"a head start beyond h":   {HeadStart: 6},
		"a head start below zero": {HeadStart: -1},
	} {
		if _, err := Plot("cusum", Data{Values: x, Settings: s}); !errors.Is(err, ErrSetting) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
