package wheel

import (
	"errors"
	"slices"
	"testing"

	"tracewright/testdata/cases"
)

// predictedRound is what the turns of a case's reference do by the model.
func predictedRound(t *testing.T) Changed {
	t.Helper()
	c := cases.OfKind(t, "prescription")[0]
	want := cases.Decode[struct {
		Lattice struct{ Turns []float64 } `json:"lattice_reference"`
	}](t, c.Expected)
	change, err := caseModel(t, c).Influence().Of(want.Lattice.Turns)
	if err != nil {
		t.Fatal(err)
	}
	return change
}

func times(values []float64, by float64) []float64 {
	out := slices.Clone(values)
	for i := range out {
		out[i] *= by
	}
	return out
}

func rotated(values []float64, by int) []float64 {
	return append(slices.Clone(values[len(values)-by:]), values[:len(values)-by]...)
}

// Mistakes are made on purpose; each must be named.
func TestLearn(t *testing.T) {
	p := predictedRound(t)
	for _, row := range []struct {
		name     string
		observed Changed
		cause    string // none: no stop
		shift    int
	}{
		{"as predicted", p, "", 0},
		{"four fifths of it", Changed{times(p.Lateral, 0.8), times(p.Radial, 0.8), times(p.Tension, 0.8)}, "", 0},
		{"turned the wrong way", Changed{times(p.Lateral, -0.9), times(p.Radial, -0.9), times(p.Tension, -0.9)}, WrongDirection, 0},
		{"gauge on the other flank", Changed{times(p.Lateral, -1), p.Radial, p.Tension}, SwappedSide, 0},
		{"counted from another spoke", Changed{rotated(p.Lateral, 2), rotated(p.Radial, 2), rotated(p.Tension, 2)}, ShiftedSpoke, 2},
		{"lateral gauge that slipped", Changed{with(times(p.Lateral, 0), map[int]float64{3: 0.4, 4: 0.3}), p.Radial, p.Tension}, SlippedGauge, 0},
		{"twice as much", Changed{times(p.Lateral, 2), times(p.Radial, 2), times(p.Tension, 2)}, NotAsPredicted, 0},
		{"a shifted zero of the radial gauge", Changed{p.Lateral, plus(p.Radial, 0.7), p.Tension}, "", 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			got, err := Learn(p, row.observed, Noise{})
			if err != nil {
				t.Fatal(err)
			}
			if got.Stop != (row.cause != "") || got.Cause != row.cause || got.Shift != row.shift {
				t.Errorf("got stop %v, cause %q, shift %d; tension %+v, lateral %+v, radial %+v", got.Stop, got.Cause, got.Shift, got.Tension, got.Lateral, got.Radial)
			}
		})
	}
}

func plus(values []float64, by float64) []float64 {
	out := slices.Clone(values)
	for i := range out {
		out[i] += by
	}
	return out
}

// A change below the noise of the gauges is held against nobody.
func TestLearnFromNoise(t *testing.T) {
	p := predictedRound(t)
	observed := Changed{times(p.Lateral, -1), p.Radial, p.Tension}
	got, err := Learn(p, observed, Noise{RunOutMM: 0.5})
	if err != nil || got.Stop {
		t.Errorf("got %+v, %v", got, err)
	}
}

// Shrinking by hand: one round of 0.7 counts 1/3, 1 - 0.3/3 = 0.9; four of 0.7
// count 4/6, 1 - 0.3*4/6 = 0.8.
func TestLearnedScale(t *testing.T) {
	for _, row := range []struct {
		rounds []float64
		want   float64
	}{{nil, 1}, {[]float64{0.7}, 0.9}, {[]float64{0.7, 0.7, 0.7, 0.7}, 0.8}, {[]float64{0.6, 0.8}, 0.85}} {
		got, err := LearnedScale(row.rounds)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "scale", got, row.want, 1e-12)
	}
	if _, err := LearnedScale([]float64{0.9, -1}); !errors.Is(err, ErrInput) {
		t.Errorf("a contradiction: %v", err)
	}
}

func TestFitScaleRefusals(t *testing.T) {
	for _, row := range []struct {
		name                string
		predicted, observed []float64
	}{{"nothing", nil, nil}, {"lengths", []float64{1, 2}, []float64{1}}, {"nothing predicted", []float64{0, 0}, []float64{1, 2}}, {"too large", []float64{1e200}, []float64{1}}} {
		if _, err := FitScale(row.predicted, row.observed); !errors.Is(err, ErrInput) {
			t.Errorf("%s: %v", row.name, err)
		}
	}
}
