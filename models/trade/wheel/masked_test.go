package wheel

import (
	"errors"
	"math"
	"testing"
)

// A weld bead on two stations of a rim whose waves are known: with masks the
// waves come back, and the bead is not in the full indicator reading.
func TestAnalyseMasked(t *testing.T) {
	wave := []Harmonic{{1, 0.12, 40}, {2, 0.18, -75}, {3, 0.05, 110}}
	clean := waves(36, 0.1, wave...)
	dirty := with(clean, map[int]float64{7: clean[7] + 0.6, 8: clean[8] + 0.9})
	got, err := AnalyseMasked(dirty, nil, []Mask{{7, "weld bead"}, {8, "weld bead"}})
	if err != nil {
		t.Fatal(err)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, v := range clean {
		if i != 7 && i != 8 {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	near(t, "TIR", got.TIR, high-low, sumTolerance)
	near(t, "mean", got.Mean, 0.1, sumTolerance)
	for i, h := range wave {
		near(t, "amplitude", got.Harmonics[i].Amplitude, h.Amplitude, sumTolerance)
		nearAngle(t, "phase", got.Harmonics[i].PhaseDeg, h.PhaseDeg, 1e-8)
	}
}

// Without masks, and with a drift, it is AnalyseRunOut.
func TestAnalyseMaskedDrift(t *testing.T) {
	y := waves(24, 0, Harmonic{1, 0.2, 10})
	drifting := make([]float64, len(y))
	for i, v := range y {
		drifting[i] = v + 0.04*float64(i)/24
	}
	reread := y[0] + 0.04
	got, err := AnalyseMasked(drifting, &reread, []Mask{{5, "decal"}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "amplitude", got.Harmonics[0].Amplitude, 0.2, sumTolerance)
	if !got.Corrected || got.Closure == nil || math.Abs(*got.Closure-0.04) > 1e-12 {
		t.Errorf("closure %v, corrected %v", got.Closure, got.Corrected)
	}
}

func TestMaskRefusals(t *testing.T) {
	y := waves(14, 0, Harmonic{1, 0.2, 10})
	same := y[0]
	for _, row := range []struct {
		name   string
		reread *float64
		masks  []Mask
		want   error
	}{
		{"no reason", nil, []Mask{{3, ""}}, ErrInput},
		{"not on the wheel", nil, []Mask{{14, "weld"}}, ErrInput},
		{"twice", nil, []Mask{{3, "weld"}, {3, "weld"}}, ErrInput},
		{"the repeated station", &same, []Mask{{0, "weld"}}, ErrInput},
		{"too few left", nil, []Mask{{3, "weld"}, {4, "weld"}, {5, "weld"}}, ErrTooFewStations},
	} {
		if _, err := AnalyseMasked(y, row.reread, row.masks); !errors.Is(err, row.want) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}

// The limit itself passes: common practice, 0.03 mm.
func TestLoose(t *testing.T) {
	for _, row := range []struct {
		a, b float64
		want bool
	}{{0.12, 0.15, false}, {0.12, 0.16, true}, {-0.02, 0.02, true}, {0.1, 0.1, false}} {
		if got, err := Loose(row.a, row.b); err != nil || got != row.want {
			t.Errorf("%g and %g: got %v, %v", row.a, row.b, got, err)
		}
	}
}
