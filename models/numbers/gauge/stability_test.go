package gauge

import (
	"math"
	"testing"

	"tracewright/models/numbers/spc"
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

func TestStability(t *testing.T) {
	jump := checks(3, 30, 0.1, 0)
	jump[20] += 2
	for _, test := range []struct {
		name       string
		checks     []float64
		resolution float64
		verdict    Steadiness
		drifts     bool
	}{
		{"steady", checks(3, 30, 0.1, 0), 0.01, Steady, false},
		{"one check far out", jump, 0.01, Unsteady, false},
		{"a drift of a fifth of sigma a check", checks(3, 30, 0.1, 0.02), 0.01, Unsteady, true},
		{"too few for limits", checks(3, 19, 0.1, 0), 0.01, Unknown, false},
		{"too coarse a gauge", checks(3, 30, 0.1, 0), 1, Unknown, false},
		{"never different", make([]float64, 30), 0.01, Unknown, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			s, err := Stability(test.checks, test.resolution, spc.Baseline{})
			if err != nil {
				t.Fatal(err)
			}
			if s.Verdict != test.verdict || s.DriftSignificant != test.drifts {
				t.Errorf("%s, drift %v significant %t; want %s, %t (%+v)", s.Verdict, s.Drift, s.DriftSignificant, test.verdict, test.drifts, s.Chart.Facts)
			}
		})
	}
}

// The drift of steady gauges is called in 5 of 100 series, within three standard
// errors of the share, and finds on average the one that is there.
func TestDrift(t *testing.T) {
	const series = 2000
	called, sum := 0, 0.0
	for i := range uint64(series) {
		s, err := Stability(checks(i, 20, 1, 0), 0, spc.Baseline{})
		if err != nil {
			t.Fatal(err)
		}
		if s.DriftSignificant {
			called++
		}
		moving, err := Stability(checks(i, 20, 1, 0.25), 0, spc.Baseline{})
		if err != nil {
			t.Fatal(err)
		}
		sum += moving.Drift
	}
	near(t, "share called", float64(called)/series, 0.05, 3*math.Sqrt(0.05*0.95/series))
	// The slope has variance sigma^2 / (n(n^2-1)/12).
	near(t, "mean drift", sum/series, 0.25, 4/math.Sqrt(20*399./12*series))
}

func TestStabilityRefuses(t *testing.T) {
	_, err := Stability([]float64{1, 2}, 0, spc.Baseline{})
	refuses(t, err, stats.ErrTooFew, "checks")
	bad := checks(1, 30, 1, 0)
	bad[7] = math.NaN()
	if s, err := Stability(bad, 0, spc.Baseline{}); err == nil {
		t.Errorf("with a NaN: %+v", s)
	}
	if s, err := Stability(checks(1, 30, 1, 0), math.NaN(), spc.Baseline{}); err == nil {
		t.Errorf("with a resolution of NaN: %+v", s)
	}
}
