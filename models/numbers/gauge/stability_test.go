package gauge

import (
	"math"
	"testing"

	"tracewright/models/numbers/stats"
)

// checks makes n values that scatter about 100 by sd and move by drift each.
func checks(seed uint64, n int, sd, drift float64) []float64 {
	chance := stats.NewRandom(seed)
	x := make([]float64, n)
	for i := range x {
		x[i] = 100 + sd*chance.Normal() + drift*float64(i)
	}
	return x
}

// flickers are checks that all read 100, but for some that show so many steps of 0.1
// more.
func flickers(steps map[int]float64) []float64 {
	x := make([]float64, 24)
	for i := range x {
		x[i] = 100 + 0.1*steps[i]
	}
	return x
}

func TestStability(t *testing.T) {
	jump := checks(3, 30, 0.1, 0)
	jump[20] += 2
	for _, test := range []struct {
		name    string
		checks  []float64
		step    float64
		verdict Steadiness
		drifts  bool
	}{
		{"steady", checks(3, 30, 0.1, 0), 0.01, Steady, false},
		{"one check far out", jump, 0.01, Unsteady, false},
		{"a drift of a fifth of sigma a check", checks(3, 30, 0.1, 0.02), 0.01, Unsteady, true},
		{"too few", checks(3, 19, 0.1, 0), 0.01, Unknown, false},
		{"too coarse a gauge", checks(3, 30, 0.1, 0), 1, SteadyToStep, false},
		{"never different", flickers(nil), 0.1, SteadyToStep, false},
		{"never different, of an unknown step", flickers(nil), 0, SteadyToStep, false},
		{"one flicker of the display", flickers(map[int]float64{7: 1}), 0.1, SteadyToStep, false},
		{"the last three flicker", flickers(map[int]float64{21: 1, 22: 1, 23: 1}), 0.1, SteadyToStep, false},
		{"three steps at one check", flickers(map[int]float64{7: 3}), 0.1, Unsteady, false},
		{"a step, another, and a third", flickers(map[int]float64{12: 1, 13: 1, 14: 1, 15: 1, 16: 2, 17: 2, 18: 2, 19: 2, 20: 3, 21: 3, 22: 3, 23: 3}), 0.1, Unsteady, true},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Stability(test.checks, test.step)
			if err != nil {
				t.Fatal(err)
			}
			if s.Verdict != test.verdict || s.DriftSignificant != test.drifts {
				t.Errorf("%s, drift %v significant %t, outside %v, jumps %v; want %s, %t", s.Verdict, s.Drift, s.DriftSignificant, s.Outside, s.Jumps, test.verdict, test.drifts)
			}
		})
	}
}

// Limits in standard deviations of the checks: scipy 1.10, stats.t.isf(0.05/3/(2m), n-2)
// put into the formula, m = n and n-1.
func TestStabilityLimits(t *testing.T) {
	for _, test := range []struct {
		n          int
		far, apart float64
	}{{20, 2.915811, 4.217778}, {50, 3.375905, 4.816552}, {100, 3.641412, 5.172469}} {
		s, err := Stability(checks(5, test.n, 1, 0), 0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "limit of a check", (s.High-s.Mean)/s.S, test.far, 1e-6)
		near(t, "limit between neighbours", s.Apart/s.S, test.apart, 1e-6)
	}
}

// A steady gauge is called unsteady in 5 of 100 series at most, within three standard
// errors of the share, and not in far fewer, whatever the number of checks.
func TestASteadyGaugeIsSeldomCalledUnsteady(t *testing.T) {
	const series = 3000
	for _, n := range []int{20, 50, 100} {
		called := 0
		for i := range uint64(series) {
			s, err := Stability(checks(i, n, 1, 0), 0)
			if err != nil {
				t.Fatal(err)
			}
			if s.Verdict == Unsteady {
				called++
			}
		}
		error3 := 3 * math.Sqrt(0.05*0.95/series)
		if share := float64(called) / series; share > 0.05+error3 || share < 0.035 {
			t.Errorf("%d checks: %.3f of the series are called unsteady; want 0.05", n, share)
		}
	}
}

// Of moving gauges the drift is found on average as it is.
func TestDrift(t *testing.T) {
	const series = 2000
	sum := 0.0
	for i := range uint64(series) {
		moving, err := Stability(checks(i, 20, 1, 0.25), 0)
		if err != nil {
			t.Fatal(err)
		}
		sum += moving.Drift
	}
	// The slope has variance sigma^2 / (n(n^2-1)/12).
	near(t, "mean drift", sum/series, 0.25, 4/math.Sqrt(20*399./12*series))
}

func TestStabilityRefuses(t *testing.T) {
	_, err := Stability([]float64{1, 2}, 0)
	refuses(t, err, stats.ErrTooFew, "checks")
	bad := checks(1, 30, 1, 0)
	bad[7] = math.NaN()
	if s, err := Stability(bad, 0); err == nil {
		t.Errorf("with a NaN: %+v", s)
	}
	if s, err := Stability(checks(1, 30, 1, 0), math.NaN()); err == nil {
		t.Errorf("with a resolution of NaN: %+v", s)
	}
}
