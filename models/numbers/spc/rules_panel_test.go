package spc

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"
)

// flatPanel has its centre at 10 and sigma 2.
func flatPanel(points ...float64) Panel {
	return strip(PanelValues, points, 10).between(4, 16)
}

func watchedBy(t *testing.T, p Panel, scale Scale, rules ...string) []Signal {
	t.Helper()
	chart, err := Chart{Scale: scale, Panels: []Panel{p}}.WithRules(rules)
	if err != nil {
		t.Fatal(err)
	}
	for i := range chart.Panels[0].Signals {
		chart.Panels[0].Signals[i].Values = nil
	}
	return chart.Panels[0].Signals
}

func TestPatternsOfAPanel(t *testing.T) {
	above := []float64{9, 11, 12, 11, 12, 11, 12, 11, 12, 11, 12, 11, 9, 11}
	for _, test := range []struct {
		name string
		p    Panel
		rule string
		want []Signal
	}{
		{"a run that goes on is one signal", flatPanel(above...), NineOneSide,
			[]Signal{{Index: 9, Rule: NineOneSide, Side: SideHigh, First: 1, Last: 11}}},
		{"two of three names the two", flatPanel(10, 14.1, 10, 14.2, 10, 10), TwoOfThreeBeyondTwo,
			[]Signal{{Index: 3, Rule: TwoOfThreeBeyondTwo, Side: SideHigh, First: 1, Last: 3, Points: []int{1, 3}}}},
		{"patterns that share a point are one", flatPanel(14.1, 14.2, 10, 14.3, 10, 10, 10), TwoOfThreeBeyondTwo,
			[]Signal{{Index: 1, Rule: TwoOfThreeBeyondTwo, Side: SideHigh, First: 0, Last: 3, Points: []int{0, 1, 3}}}},
		{"apart from each other they are two", flatPanel(5.9, 5.8, 10, 10, 10, 5.9, 5.8), TwoOfThreeBeyondTwo,
			[]Signal{{Index: 1, Rule: TwoOfThreeBeyondTwo, Side: SideLow, First: 0, Last: 1, Points: []int{0, 1}},
				{Index: 6, Rule: TwoOfThreeBeyondTwo, Side: SideLow, First: 5, Last: 6, Points: []int{5, 6}}}},
		{"four of five on the other side", flatPanel(7.9, 7.8, 10.5, 7.7, 7.6), FourOfFiveBeyondOne,
			[]Signal{{Index: 4, Rule: FourOfFiveBeyondOne, Side: SideLow, First: 0, Last: 4, Points: []int{0, 1, 3, 4}}}},
		{"each point beyond a limit is a signal", flatPanel(16.1, 16.2, 16), BeyondLimit,
			[]Signal{{Index: 0, Rule: BeyondLimit, Side: SideHigh}, {Index: 1, Rule: BeyondLimit, Side: SideHigh, First: 1, Last: 1}}},
		{"a trend downward", flatPanel(15, 14, 13, 12, 11, 10, 9, 9), SixTrending,
			[]Signal{{Index: 5, Rule: SixTrending, Side: SideLow, First: 0, Last: 6}}},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got := watchedBy(t, test.p, AsMeasured, test.rule); !reflect.DeepEqual(got, test.want) {
				t.Errorf("%v: %+v; want %+v", test.p.Points, got, test.want)
			}
		})
	}
}

func TestSignalsStandInOrderOfPoints(t *testing.T) {
	p := flatPanel(14.1, 14.2, 16.5, 11, 11, 11, 11, 11, 11, 3)
	p.First = 100
	got := watchedBy(t, p, AsMeasured, EightOneSide, BeyondLimit, TwoOfThreeBeyondTwo)
	var order []int
	for _, s := range got {
		order = append(order, s.Index)
	}
	if !slices.Equal(order, []int{101, 102, 107, 109}) {
		t.Errorf("signals at %v (%+v)", order, got)
	}
}

// The values that go into the words.
func TestValuesOfASignal(t *testing.T) {
	chart, err := Chart{Panels: []Panel{flatPanel(alternating(9, 11, 12)...)}}.WithRules([]string{NineOneSide})
	if err != nil {
		t.Fatal(err)
	}
	if got := chart.Panels[0].Signals[0].Values; !reflect.DeepEqual(got, map[string]float64{"value": 11, "limit": 16, "centre": 10}) {
		t.Errorf("values %v", got)
	}
}

// Where thirds of the way to a limit are not sigmas, zones are not read off them;
// the centre line and the order of points stay.
func TestZonesThatAreNotThere(t *testing.T) {
	eight := []float64{14.1, 14.2, 14.1, 14.2, 14.1, 14.2, 14.1, 14.2}
	both, all := []string{EightOneSide, TwoOfThreeBeyondTwo, EightOutsideOne}, []string{TwoOfThreeBeyondTwo, EightOneSide, EightOutsideOne}
	oneLimit := strip(PanelValues, eight, 10)
	oneLimit.High = level(16, len(eight))
	unequal := strip(PanelValues, eight, 10).between(7, 16)
	scored := unequal
	scored.Scores = level(2.5, len(eight))
	counts := flatPanel(eight...)
	counts.Name = PanelCounts
	countScores := counts
	countScores.Scores = level(2.5, len(eight))
	ranges, smoothed := flatPanel(eight...), flatPanel(eight...)
	ranges.Name, smoothed.Name = PanelMovingRange, PanelSmoothed
	for _, test := range []struct {
		name string
		p    Panel
		want []string
	}{
		{"limits equally far", flatPanel(eight...), all},
		{"one limit", oneLimit, []string{EightOneSide}},
		{"limits unequally far", unequal, []string{EightOneSide}},
		{"limits unequally far and scores", scored, all},
		{"no limits", strip(PanelValues, eight, 10), nil},
		{"counts", counts, nil},
		{"counts with scores", countScores, all},
		{"moving ranges", ranges, nil},
		{"smoothed means", smoothed, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			var got []string
			for _, s := range watchedBy(t, test.p, AsMeasured, both...) {
				got = append(got, s.Rule)
			}
			if !slices.Equal(got, test.want) {
				t.Errorf("%v; want %v", got, test.want)
			}
		})
	}
}

// On the logarithmic scale zones are those of the logarithms: with limits at 1
// and 64 around 8, two sigma lie at 32 and at 2.
func TestZonesOfLogarithms(t *testing.T) {
	p := strip(PanelValues, []float64{33, 33, 8, 8, 1.9, 1.9, 8, 8, 31, 31, 8, 2.1, 2.1}, 8).between(1, 64)
	got := watchedBy(t, p, Logarithmic, TwoOfThreeBeyondTwo)
	want := []Signal{{Index: 1, Rule: TwoOfThreeBeyondTwo, Side: SideHigh, First: 0, Last: 1, Points: []int{0, 1}},
		{Index: 5, Rule: TwoOfThreeBeyondTwo, Side: SideLow, First: 4, Last: 5, Points: []int{4, 5}}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%+v; want %+v", got, want)
	}
	if got := watchedBy(t, p, AsMeasured, TwoOfThreeBeyondTwo); got != nil {
		t.Errorf("as measured these limits have no zones: %+v", got)
	}
}

// Charts by the table: the rules of a series on a chart are those of the series
// in sigmas.
func TestWithRulesOnCharts(t *testing.T) {
	z := normals(3, 120, 0)
	for i := 60; i < 75; i++ {
		z[i] = math.Abs(z[i])
	}
	x := make([]float64, len(z))
	for _, kind := range []string{"individuals", "individuals_log"} {
		for i := range z {
			x[i] = 20 + 3*z[i]
			if kind == "individuals_log" {
				x[i] = math.Exp(1 + 0.2*z[i])
			}
		}
		plain, err := Plot(kind, Data{Values: x})
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range plain.Panels[0].Signals {
			if s.Rule != BeyondLimit {
				t.Errorf("%s without rules: %+v", kind, s)
			}
		}
		chart, err := plain.WithRules(EightRules())
		if err != nil {
			t.Fatal(err)
		}
		scores := make([]float64, len(x))
		for i := range x {
			scores[i] = (x[i] - plain.Panels[0].Centre[0]) / plain.Sigma
			if kind == "individuals_log" {
				scores[i] = (math.Log(x[i]) - math.Log(plain.Panels[0].Centre[0])) / plain.Sigma
			}
		}
		matches, err := Look(EightRules(), scores)
		if err != nil {
			t.Fatal(err)
		}
		covered := 0
		for _, m := range matches {
			for _, s := range chart.Panels[0].Signals {
				if s.Rule == m.Rule && s.Side == m.Side && s.First <= m.First && m.Last <= s.Last {
					covered++
					break
				}
			}
		}
		newest := 0
		for _, m := range matches {
			if m.Newest {
				newest++
			}
		}
		if newest < 6 || covered < newest {
			t.Errorf("%s: %d of %d places of the series lie in signals of the chart", kind, covered, newest)
		}
		for _, s := range chart.Panels[1].Signals {
			if s.Rule != BeyondLimit {
				t.Errorf("%s: %s among moving ranges", kind, s.Rule)
			}
		}
		if len(plain.Panels[0].Signals) >= len(chart.Panels[0].Signals) {
			t.Errorf("%s: the chart it was made from has %d signals", kind, len(plain.Panels[0].Signals))
		}
		if _, err := plain.WithRules([]string{"full_moon"}); !errors.Is(err, ErrRule) {
			t.Errorf("unknown rule: %v", err)
		}
	}
}

// Counts bring their scores where they are large enough for three sigma. Eight
// days above a mean of 100 are a run; counts about 2 have no sigmas to count in.
func TestWithRulesOnCounts(t *testing.T) {
	for _, test := range []struct {
		name string
		mean int
		want int
	}{{"large counts", 100, 1}, {"small counts", 2, 0}} {
		var counts []int
		for i := range 30 {
			switch {
			case i >= 11 && i < 19:
				counts = append(counts, test.mean+1)
			default:
				counts = append(counts, test.mean-1+2*(i%2))
			}
		}
		chart, err := Plot("c", Counts{Counts: counts})
		if err != nil {
			t.Fatal(err)
		}
		if chart, err = chart.WithRules([]string{EightOneSide}); err != nil {
			t.Fatal(err)
		}
		if got := chart.Panels[0].Signals; len(got) != test.want {
			t.Errorf("%s: %+v; want %d signals", test.name, got, test.want)
		}
	}
}
