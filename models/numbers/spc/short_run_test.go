package spc

import (
	"errors"
	"math"
	"slices"
	"testing"

	"tracewright/models/numbers/stats"
)

// Two products by turns, each 1 and e times its own unit: all on one chart of
// ratios to the medians, which lie halfway.
func TestShortRunRatioByHand(t *testing.T) {
	var d ShortRun
	for i := range 40 {
		x, name := 1.0, "a"
		if i%4 > 1 {
			x = math.E
		}
		if i%2 == 1 {
			x, name = x*100, "b"
		}
		d.Values, d.Groups = append(d.Values, x), append(d.Groups, name)
	}
	chart := plot(t, "short_run_ratio", d)
	median := (1 + math.E) / 2
	near(t, "ratio", chart.Panels[0].Points[0], 1/median)
	near(t, "ratio", chart.Panels[0].Points[1], 1/median)
	near(t, "centre", chart.Panels[0].Centre[0], math.Exp(0.5)/median)
	// Of 39 moving ranges of the logarithms 19 are 1, the others 0.
	near(t, "high", chart.Panels[0].High[0], math.Exp(0.5+factorE2*19/39)/median)
	d.Nominals = map[string]float64{"a": 1, "b": 100}
	near(t, "centre by given medians", plot(t, "short_run_ratio", d).Panels[0].Centre[0], math.Exp(0.5))
}

func TestShortRunRefuses(t *testing.T) {
	values, groups := alternating(40, 2, 3), slices.Repeat([]string{"a"}, 40)
	rare := slices.Clone(groups)
	rare[39] = "b"
	for name, test := range map[string]struct {
		kind string
		in   ShortRun
		err  error
	}{
		"groups missing":              {"short_run_ratio", ShortRun{Values: values}, ErrSizesDiffer},
		"a group without a name":      {"short_run_ratio", ShortRun{Values: values, Groups: make([]string, 40)}, ErrNoCentre},
		"a product with one value":    {"short_run_ratio", ShortRun{Values: values, Groups: rare}, ErrNoCentre},
		"a ratio of nothing":          {"short_run_ratio", ShortRun{Values: alternating(40, 0, 3), Groups: groups}, ErrNotPositive},
		"a ratio to nothing":          {"short_run_ratio", ShortRun{Values: values, Groups: groups, Nominals: map[string]float64{"a": 0}}, ErrNotPositive},
		"a deviation without nominal": {"short_run_deviation", ShortRun{Values: values, Groups: groups}, ErrNoCentre},
		"a nominal that is none":      {"short_run_deviation", ShortRun{Values: values, Groups: groups, Nominals: map[string]float64{"a": math.NaN()}}, stats.ErrNotFinite},
		"a product that never varies": {"short_run_standardised", ShortRun{Values: level(2, 40), Groups: groups}, stats.ErrNoSpread},
	} {
		if _, err := Plot(test.kind, test.in); !errors.Is(err, test.err) {
			t.Errorf("%s: %v; want %v", name, err, test.err)
		}
	}
	d, err := ChartOf("short_run_ratio")
	if err != nil {
		t.Fatal(err)
	}
	limits, err := d.Freeze(ShortRun{Values: values, Groups: groups})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := d.Judge(limits, ShortRun{Values: values, Groups: rare}); !errors.Is(err, ErrNoCentre) {
		t.Errorf("a product without a baseline is judged: %v", err)
	}
}

// The lognormal shape on 1 and e by turns: the logarithms have mean 1/2 and, by
// the standard deviation with n - 1 or n, a spread near a half; its limits lie
// as far from the centre in ratio as three of it.
func TestProbabilityLimits(t *testing.T) {
	chart := plot(t, "probability_limits", Data{Values: alternating(400, 1, math.E)})
	p := chart.Panels[0]
	near(t, "centre", p.Centre[0], math.Exp(0.5))
	if math.Abs(math.Log(p.High[0])-2) > 0.005 || math.Abs(math.Log(p.Low[0])+1) > 0.005 {
		t.Errorf("limits %v and %v; about exp(-1) and exp(2)", p.Low[0], p.High[0])
	}
	if _, err := Plot("probability_limits", Data{Values: alternating(40, 1, 2), Settings: Settings{Shape: "heap"}}); !errors.Is(err, ErrSetting) {
		t.Errorf("a shape nobody knows: %v", err)
	}
	if _, err := Plot("probability_limits", Data{Values: alternating(40, 0, 2)}); !errors.Is(err, stats.ErrImpossible) {
		t.Errorf("a value that the shape does not allow: %v", err)
	}
	// A Rayleigh value lies below sigma sqrt(-2 ln q) with probability 1 - q; its
	// sigma^2 is half the mean square (maximum likelihood).
	rayleigh := plot(t, "probability_limits", Data{Values: alternating(40, 1, 2), Settings: Settings{Shape: string(stats.ShapeRayleigh)}})
	sigma := math.Sqrt((1 + 4) / 4.0)
	near(t, "Rayleigh high", rayleigh.Panels[0].High[0], sigma*math.Sqrt(-2*math.Log(exactTail)))
	near(t, "Rayleigh centre", rayleigh.Panels[0].Centre[0], sigma*math.Sqrt(2*math.Ln2))
}

// Four points give a product no centre of its own, five do.
func TestCentreOfAProductNeedsFivePoints(t *testing.T) {
	for n, enough := range map[int]bool{4: false, 5: true} {
		d := ShortRun{}
		for i := range 30 {
			d.Values, d.Groups = append(d.Values, 0.2+0.01*float64(i%7)), append(d.Groups, "many")
		}
		for i := range n {
			d.Values, d.Groups = append(d.Values, 0.3+0.01*float64(i)), append(d.Groups, "few")
		}
		_, err := Plot("short_run_ratio", d)
		if enough != (err == nil) || !enough && !errors.Is(err, ErrNoCentre) {
			t.Errorf("%d points: %v", n, err)
		}
	}
}
