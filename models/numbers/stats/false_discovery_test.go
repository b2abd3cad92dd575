package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// The example of Benjamini and Hochberg, 1995, section 3.2: fifteen tests of a
// study of thrombolysis; at 0.05 four are found, where Bonferroni finds three.
func TestFalseDiscoveryOfTheOriginalPaper(t *testing.T) {
	p := []float64{0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1}
	shuffled := slices.Clone(p)
	slices.Reverse(shuffled)
	for name, in := range map[string][]float64{"in order": p, "in another order": shuffled} {
		got, err := FalseDiscovery(in, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		for i, d := range got {
			if d.P != in[i] || d.Found != (in[i] <= 0.0095) {
				t.Errorf("%s: p %v is answered %+v", name, in[i], d)
			}
		}
	}
	got, err := FalseDiscovery(p, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "adjusted fourth", got[3].Adjusted, 0.0095*15/4, 1e-12) // 0.035625, its threshold at 4 of 15.
	near(t, "adjusted last", got[14].Adjusted, 1, 0)
}

func TestFalseDiscoveryStepsUp(t *testing.T) {
	// The first is above its own threshold of 0.025 and is found with the second.
	got, err := FalseDiscovery([]float64{0.03, 0.04}, 0.05)
	if err != nil || !got[0].Found || !got[1].Found || got[0].Adjusted != 0.04 {
		t.Errorf("%+v, %v; want both found at 0.04", got, err)
	}
	// Equal to its threshold is found.
	if got, err := FalseDiscovery([]float64{0.5}, 0.5); err != nil || !got[0].Found {
		t.Errorf("%+v, %v; want it found", got, err)
	}
}

func TestFalseDiscoveryHangsTogether(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		p := rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 30).Draw(r, "p")
		rate := rapid.Float64Range(0.001, 0.5).Draw(r, "rate")
		got, err := FalseDiscovery(p, rate)
		if err != nil {
			r.Fatal(err)
		}
		for _, d := range got {
			if d.Adjusted < d.P || d.Adjusted > 1 {
				r.Fatalf("%+v is adjusted out of its range", d)
			}
			if math.Abs(d.Adjusted-rate) > 1e-12 && d.Found != (d.Adjusted <= rate) {
				r.Fatalf("at the rate %v: %+v", rate, d)
			}
		}
	})
}

func TestFalseDiscoveryRefuses(t *testing.T) {
	of := func(rate float64, p ...float64) func() error {
		return func() error { _, err := FalseDiscovery(p, rate); return err }
	}
	checkRefusals(t, []refusal{
		{"nothing", of(0.05), "p", ErrTooFew},
		{"above 1", of(0.05, 0.1, 1.1), "p[1]", ErrOutOfRange},
		{"NaN", of(0.05, math.NaN()), "p[0]", ErrOutOfRange},
		{"no rate", of(0, 0.1), "rate", ErrOutOfRange},
	})
}
