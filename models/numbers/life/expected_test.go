package life

import (
	"math"
	"slices"
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

// Weeks in remission with and without 6-mercaptopurine (Freireich and others,
// Blood 21, 1963). The expected counts of the log-rank test are those of either
// arm by the curve of both: 19.3 and 10.7 as the survival package of R prints them
// (from memory); 19.2505 and 10.7495 by a sum of exact fractions over the risk
// sets, made apart from this code.
func TestExpectedOfTheLogRankTest(t *testing.T) {
	with := livesOf([]float64{6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35}, []int{1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0})
	var without []Observation
	for _, week := range []float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23} {
		without = append(without, Observation{week, true, 1})
	}
	curve, err := KaplanMeier(slices.Concat(with, without), CurveOptions{Confidence: 0.95})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		lives []Observation
		want  float64
	}{"with": {with, 19.2505}, "without": {without, 10.7495}} {
		if got, err := curve.Expected(c.lives); err != nil || math.Abs(got.Failures-c.want) > 5e-5 {
			t.Errorf("%s: %.5f, %v, want %.4f", name, got.Failures, err, c.want)
		}
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
