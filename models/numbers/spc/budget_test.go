package spc

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

// Designs as printed: Lucas and Saccucci, Technometrics 32, 1990, for a run length
// of 500, and Hawkins, 1993, for 370 (both from memory); limits alone by the
// normal table, 2(1-Phi(3.0902)) = 1/500; the four rules by Champ and Woodall,
// Technometrics 29, 1987, which run 91.75 points with limits at three sigma.
func TestDesignsAsPrinted(t *testing.T) {
	for lambda, want := range map[float64]float64{0.4: 3.054, 0.25: 2.998, 0.2: 2.962, 0.1: 2.814, 0.05: 2.615} {
		if d, err := EWMAFor(lambda, 500); err != nil || math.Abs(d.Limit-want) > 0.0006 || d.Lambda != lambda {
			t.Errorf("lambda %v: %+v, %v; want a limit of %v", lambda, d, err, want)
		}
	}
	for slack, want := range map[float64]float64{0.25: 8.01, 0.5: 4.77, 0.75: 3.34, 1: 2.52, 1.25: 1.99, 1.5: 1.61} {
		if d, err := CUSUMFor(slack, 0, 370); err != nil || math.Abs(d.Interval-want) > 0.01 || d.HeadStart != 0 || d.Slack != slack {
			t.Errorf("slack %v: %+v, %v; want an interval of %v", slack, d, err, want)
		}
	}
	for _, test := range []struct {
		rules             []string
		wanted, want, off float64
	}{{[]string{BeyondLimit}, 500, 3.0902, 1e-4}, {[]string{BeyondLimit}, 370.398, 3, 1e-6}, {FourRules(), 91.75, 3, 1e-4}} {
		if d, err := RulesFor(test.rules, test.wanted); err != nil || math.Abs(d.Width-test.want) > test.off {
			t.Errorf("%v for %v points: %+v, %v; want limits at %v", test.rules, test.wanted, d, err, test.want)
		}
	}
}

// Three false alarms in 600 points a month: over many simulated months, the chart
// begun anew after each signal, as many come as were budgeted, within three
// standard errors.
func TestBudgetBySimulation(t *testing.T) {
	const months = 600
	budget := Budget{Points: 600, Alarms: 3}
	wanted, err := budget.RunLength()
	if err != nil || wanted != 200 {
		t.Fatal(wanted, err)
	}
	rules, err := RulesFor(FourRules(), wanted)
	if err != nil {
		t.Fatal(err)
	}
	smoothed, err := EWMAFor(0.1, wanted)
	if err != nil {
		t.Fatal(err)
	}
	sums, err := CUSUMFor(0.5, 0.5, wanted)
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name  string
		first func(draw func() float64) int
	}{
		{"four rules", func(draw func() float64) int {
			// Zone lines lie at thirds of the width, so it is the points that shrink.
			return firstByRules(t, rules.Rules, func() float64 { return 3 * draw() / rules.Width })
		}},
		{"smoothed mean", func(draw func() float64) int { return firstByEWMA(smoothed.Lambda, smoothed.Limit, draw) }},
		{"cumulative sums", func(draw func() float64) int {
			return firstByCUSUM(sums.Slack, sums.Interval, sums.HeadStart, draw)
		}},
	} {
		t.Run(test.name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(4, 2026))
			const points = months * 600
			var alarms, squares float64
			at := 0
			for {
				n := test.first(random.NormFloat64)
				if at += n; at > points {
					break
				}
				alarms++
				squares += float64(n) * float64(n)
			}
			// The number of renewals in a time has about the variance
			// time sigma^2/mu^3 (Feller, volume 2, chapter XI).
			mu := float64(points) / alarms
			se := math.Sqrt(float64(points) * (squares/alarms - mu*mu) / (mu * mu * mu))
			if math.Abs(alarms-3*months) > 3*se {
				t.Errorf("%v alarms in %d months; budgeted %d, standard error %.1f", alarms, months, 3*months, se)
			}
		})
	}
}

func TestBudgetRefuses(t *testing.T) {
	for _, b := range []Budget{{}, {100, 0}, {0, 1}, {100, -1}, {-100, -1}, {1, 1}, {1, 2}, {math.NaN(), 1}, {100, math.NaN()}, {math.Inf(1), 1}, {1e300, 1e-300}} {
		if got, err := b.RunLength(); !errors.Is(err, ErrBudget) {
			t.Errorf("%+v: %v, %v", b, got, err)
		}
	}
	for _, wanted := range []float64{math.NaN(), 0, 1, -5, 1e13, math.Inf(1)} {
		if got, err := RulesFor([]string{BeyondLimit}, wanted); !errors.Is(err, ErrOutOfReach) {
			t.Errorf("rules for %v: %+v, %v", wanted, got, err)
		}
		if got, err := EWMAFor(0.1, wanted); !errors.Is(err, ErrOutOfReach) {
			t.Errorf("smoothed mean for %v: %+v, %v", wanted, got, err)
		}
		if got, err := CUSUMFor(0.5, 0, wanted); !errors.Is(err, ErrOutOfReach) {
			t.Errorf("cumulative sums for %v: %+v, %v", wanted, got, err)
		}
	}
	// Eight on one side alone comes every 255 points, however wide the limits.
	if got, err := RulesFor(FourRules(), 256); !errors.Is(err, ErrOutOfReach) {
		t.Errorf("four rules for 256 points: %+v, %v", got, err)
	}
	if _, err := RulesFor([]string{"full_moon"}, 100); !errors.Is(err, ErrRule) {
		t.Errorf("unknown rule: %v", err)
	}
	if _, err := EWMAFor(2, 100); !errors.Is(err, ErrDesign) {
		t.Errorf("lambda of 2: %v", err)
	}
	if _, err := CUSUMFor(0.5, 0.6, 100); !errors.Is(err, ErrDesign) {
		t.Errorf("head start of 0.6 of the interval: %v", err)
	}
}
