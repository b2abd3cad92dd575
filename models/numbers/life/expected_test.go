package life

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Worked by hand: of four, one fails at 1 and one at 3 beside two that run on, so
// H is 1/4 from 1 and 1/4 + 1/2 from 3.
func TestExpectedByHand(t *testing.T) {
	curve := draw(t, livesOf([]float64{1, 2, 3, 4}, []int{1, 0, 1, 0}), 0)
	for name, c := range map[string]struct {
		lives  []Observation
		want   float64
		beyond int
	}{
		"younger than every failure":      {[]Observation{{0.5, false, 3}}, 0, 0},
		"the age of a failure counts":     {[]Observation{{1, false, 1}}, 0.25, 0},
		"each to its own age":             {[]Observation{{0.5, false, 1}, {1, true, 2}, {3, false, 1}}, 0.25*2 + 0.75, 0},
		"older than the curve is counted": {[]Observation{{9, false, 2}}, 1.5, 2},
	} {
		got, err := curve.Expected(c.lives)
		if err != nil || math.Abs(got.Failures-c.want) > 1e-12 || got.Beyond != c.beyond {
			t.Errorf("%s: %+v, %v, want %v and %d beyond", name, got, err, c.want, c.beyond)
		}
	}
	if _, err := curve.Expected([]Observation{{math.NaN(), false, 1}}); err == nil {
		t.Error("an age that is no number was taken")
	}
}

// Of the sample that a curve was drawn from, as many failures are expected as
// there were: the sum of H over all lives is the sum of d/n times n.
func TestExpectedOfItsOwnSample(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "n")
		var lives []Observation
		failures := 0
		for range n {
			l := Observation{float64(rapid.IntRange(0, 12).Draw(t, "time")), rapid.Bool().Draw(t, "failed"), rapid.IntRange(1, 4).Draw(t, "count")}
			if l.Failed {
				failures += l.Count
			}
			lives = append(lives, l)
		}
		curve, err := KaplanMeier(lives, CurveOptions{Confidence: 0.95})
		if err != nil {
			t.Fatal(err)
		}
		got, err := curve.Expected(lives)
		if err != nil || math.Abs(got.Failures-float64(failures)) > 1e-9 || got.Beyond != 0 {
			t.Fatalf("%+v, %v, want %d failures", got, err, failures)
		}
	})
}
