package wheel

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Tolerances of these tests. Sums of some fifty values of size 1 are good to
// about 1e-14; the parabola between grid points is good to 1e-5 of a wave.
const (
	sumTolerance   = 1e-11
	peakTolerance  = 2e-5
	angleTolerance = 0.02 // degrees, for the place of an extreme
)

// near compares within a tolerance.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// nearAngle compares angles modulo a full turn.
func nearAngle(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if apartDeg(got, want) > tolerance {
		t.Errorf("%s: got %.9g deg, want %.9g deg", what, got, want)
	}
}

// waves samples mean + sum A cos(k theta - phase) at n stations: the definition
// of a harmonic, turned round.
func waves(n int, mean float64, list ...Harmonic) []float64 {
	y := make([]float64, n)
	for i := range y {
		theta := 2 * math.Pi * float64(i) / float64(n)
		y[i] = mean
		for _, h := range list {
			y[i] += h.Amplitude * math.Cos(float64(h.K)*theta-h.PhaseDeg*math.Pi/180)
		}
	}
	return y
}

func TestRunOutFindsTheWavesItIsMadeOf(t *testing.T) {
	for _, n := range []int{12, 13, 18, 28, 32, 36, 48} {
		made := []Harmonic{{1, 0.12, 40}, {2, 0.18, -75}, {3, 0.05, 110}, {4, 0.02, -20}}
		r, err := AnalyseRunOut(waves(n, -0.1, made...), nil)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean", r.Mean, -0.1, sumTolerance)
		if len(r.Harmonics) != len(made) {
			t.Fatalf("%d stations: %d waves, want %d", n, len(r.Harmonics), len(made))
		}
		for i, h := range r.Harmonics {
			if h.K != made[i].K {
				t.Errorf("wave %d is listed as %d", made[i].K, h.K)
			}
			near(t, "amplitude", h.Amplitude, made[i].Amplitude, sumTolerance)
			nearAngle(t, "phase", h.PhaseDeg, made[i].PhaseDeg, 1e-8)
		}
		// What is left above wave 3 is wave 4: its root mean square is A/sqrt 2.
		near(t, "residual", r.ResidualRMSAboveK3, 0.02/math.Sqrt2, sumTolerance)
	}
}

// A sinusoid of k waves at N stations can hide A(1 - cos(pi k/N)) of a peak; the
// interpolant must give all of it back, wherever the stations fall.
func TestInterpolantFindsThePeakBetweenStations(t *testing.T) {
	for _, n := range []int{12, 18, 36} {
		for k := 1; k <= 5; k++ {
			phase := float64(k) * 180 / float64(n) // peak half way between stations
			r, err := AnalyseRunOut(waves(n, 0.3, Harmonic{k, 0.25, phase}), nil)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "full indicator reading between stations", r.TIRInterpolated, 0.5, peakTolerance)
			nearAngle(t, "high spot, as an angle of the wave", float64(k)*r.HighSpotDeg, phase, angleTolerance*float64(k))
			nearAngle(t, "low spot, as an angle of the wave", float64(k)*r.LowSpotDeg, phase+180, angleTolerance*float64(k))
		}
	}
}

// a cos t + b cos 2t has its top at 0, a + b, and for a < 4b its bottom where
// cos t = -a/4b, value -b - a^2/8b (calculus).
func TestInterpolantOfTwoWaves(t *testing.T) {
	a, b := 0.2, 0.15
	r, err := AnalyseRunOut(waves(32, 0, Harmonic{1, a, 0}, Harmonic{2, b, 0}), nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "full indicator reading", r.TIRInterpolated, a+b+b+a*a/(8*b), peakTolerance)
	nearAngle(t, "high spot", r.HighSpotDeg, 0, angleTolerance)
	bottom := math.Acos(-a/(4*b)) * 180 / math.Pi
	if math.Min(apartDeg(r.LowSpotDeg, bottom), apartDeg(r.LowSpotDeg, -bottom)) > angleTolerance {
		t.Errorf("low spot: got %.4f deg, want %.4f either side of 0", r.LowSpotDeg, bottom)
	}
}

func TestPerfectRim(t *testing.T) {
	y := make([]float64, 36)
	for i := range y {
		y[i] = 0.07
	}
	r, err := AnalyseRunOut(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "TIR", r.TIR, 0, 0)
	near(t, "interpolated", r.TIRInterpolated, 0, 0)
	near(t, "mean", r.Mean, 0.07, sumTolerance)
	for _, h := range r.Harmonics {
		near(t, "amplitude", h.Amplitude, 0, sumTolerance)
		near(t, "phase of no wave", h.PhaseDeg, 0, 0)
	}
}

// The rule: at most 0.05 mm is drift, more is a refusal (common practice).
func TestClosureLimit(t *testing.T) {
	readings := waves(36, 0, Harmonic{1, 0.1, 0})
	readings[0] = 0.29
	for _, row := range []struct {
		name   string
		reread float64
		refuse bool
	}{
		{"agrees", 0.29, false},
		{"limit itself, above", 0.34, false}, // 0.34 - 0.29 is a hair over 0.05 in binary
		{"limit itself, below", 0.24, false},
		{"one hundredth over, above", 0.35, true},
		{"one hundredth over, below", 0.23, true},
		{"a tenth of a hundredth over", 0.341, true},
	} {
		t.Run(row.name, func(t *testing.T) {
			r, err := AnalyseRunOut(readings, &row.reread)
			if row.refuse {
				var closure *ClosureError
				if !errors.Is(err, ErrClosure) || !errors.As(err, &closure) {
					t.Fatalf("got %v, want ErrClosure", err)
				}
				near(t, "closure in the error", closure.Closure, row.reread-0.29, 1e-12)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if r.Closure == nil {
				t.Fatal("no closure in the answer")
			}
			near(t, "closure", *r.Closure, row.reread-0.29, 1e-12)
			if r.Corrected != (row.reread != 0.29) {
				t.Errorf("corrected is %v", r.Corrected)
			}
		})
	}
}

// A rim without error under an indicator that creeps evenly reads as a ramp; the
// repeat takes all of it away.
func TestDriftIsRemoved(t *testing.T) {
	for _, creep := range []float64{0.04, -0.03} {
		y := make([]float64, 24)
		for i := range y {
			y[i] = 0.5 + creep*float64(i)/24
		}
		repeat := 0.5 + creep
		r, err := AnalyseRunOut(y, &repeat)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "TIR without the ramp", r.TIR, 0, 1e-12)
		near(t, "mean without the ramp", r.Mean, 0.5, 1e-12)
	}
}

func TestRunOutRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	broken := func(at int, v float64) []float64 {
		y := waves(36, 0, Harmonic{1, 0.1, 0})
		y[at] = v
		return y
	}
	for _, row := range []struct {
		name     string
		readings []float64
		reread   *float64
		want     error
	}{
		{"none", nil, nil, ErrTooFewStations},
		{"eleven stations", waves(11, 0), nil, ErrTooFewStations},
		{"not a number", broken(7, nan), nil, ErrInput},
		{"infinite", broken(7, inf), nil, ErrInput},
		{"repeat not a number", broken(0, 0), &nan, ErrInput},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := AnalyseRunOut(row.readings, row.reread); !errors.Is(err, row.want) {
				t.Errorf("got %v, want %v", err, row.want)
			}
		})
	}
	if _, err := AnalyseRunOut(waves(12, 0), nil); err != nil {
		t.Errorf("twelve stations: %v", err)
	}
}

// drawReadings draws a set as an indicator of 0.01 mm gives it.
func drawReadings(t *rapid.T) []float64 {
	n := rapid.IntRange(MinStations, 48).Draw(t, "stations")
	steps := rapid.SliceOfN(rapid.IntRange(-150, 150), n, n).Draw(t, "hundredths")
	y := make([]float64, n)
	for i, s := range steps {
		y[i] = float64(s) / 100
	}
	return y
}

// must analyses and fails the property on an error.
func must(t *rapid.T, y []float64) RunOut {
	r, err := AnalyseRunOut(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// same fails a property when two numbers differ.
func same(t *rapid.T, what string, got, want, tolerance float64) {
	if !(math.Abs(got-want) <= tolerance) {
		t.Fatalf("%s: got %.12g, want %.12g", what, got, want)
	}
}

// Starting at another spoke moves every wave by k times that angle and changes
// nothing else.
func TestStartingElsewhereOnlyTurnsThePhases(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := drawReadings(t)
		n := len(y)
		by := rapid.IntRange(1, n-1).Draw(t, "stations turned")
		turned := make([]float64, n)
		for i := range y {
			turned[(i+by)%n] = y[i]
		}
		before, after := must(t, y), must(t, turned)
		same(t, "TIR", after.TIR, before.TIR, 0)
		same(t, "mean", after.Mean, before.Mean, sumTolerance)
		same(t, "interpolated", after.TIRInterpolated, before.TIRInterpolated, 1e-9)
		same(t, "residual", after.ResidualRMSAboveK3, before.ResidualRMSAboveK3, sumTolerance)
		for i, h := range before.Harmonics {
			same(t, "amplitude", after.Harmonics[i].Amplitude, h.Amplitude, sumTolerance)
			if h.Amplitude > 1e-6 { // the phase of next to nothing is rounding
				moved := h.PhaseDeg + 360*float64(h.K)*float64(by)/float64(n)
				same(t, "phase", apartDeg(after.Harmonics[i].PhaseDeg, moved), 0, 1e-3)
			}
		}
	})
}

// An indicator zeroed elsewhere, or lengths in another unit, change the mean,
// or every length, and no phase.
func TestZeroAndScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := drawReadings(t)
		zero := float64(rapid.IntRange(-500, 500).Draw(t, "zero")) / 100
		scale := rapid.Float64Range(0.01, 30).Draw(t, "scale")
		other := make([]float64, len(y))
		for i := range y {
			other[i] = scale*y[i] + zero
		}
		before, after := must(t, y), must(t, other)
		tolerance := 1e-10 * (1 + scale)
		same(t, "TIR", after.TIR, scale*before.TIR, tolerance)
		same(t, "mean", after.Mean, scale*before.Mean+zero, tolerance)
		same(t, "interpolated", after.TIRInterpolated, scale*before.TIRInterpolated, tolerance)
		same(t, "residual", after.ResidualRMSAboveK3, scale*before.ResidualRMSAboveK3, tolerance)
		for i, h := range before.Harmonics {
			same(t, "amplitude", after.Harmonics[i].Amplitude, scale*h.Amplitude, tolerance)
			if h.Amplitude > 1e-6 && scale > 0.1 {
				same(t, "phase", apartDeg(after.Harmonics[i].PhaseDeg, h.PhaseDeg), 0, 1e-3)
			}
		}
	})
}

// The interpolant passes through every reading, so it reaches at least as far.
func TestInterpolantReachesTheReadings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := drawReadings(t)
		r := must(t, y)
		if r.TIRInterpolated < r.TIR-1e-9 {
			t.Fatalf("between stations %.9g, at stations %.9g", r.TIRInterpolated, r.TIR)
		}
		if n := len(y); r.TIR > 0 && (r.HighSpotDeg < 0 || r.HighSpotDeg >= 360 || r.LowSpotDeg < 0 || r.LowSpotDeg >= 360) {
			t.Fatalf("%d stations: spots at %g and %g degrees", n, r.HighSpotDeg, r.LowSpotDeg)
		}
	})
}
