package spc

import (
	"errors"
	"math"
	"slices"
	"testing"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

// The charts show the very limits of the cases of kinds mean_range_sd_chart and
// mean_sd_chart_unequal (NIST/SEMATECH e-Handbook data), which may only be read
// in place; the tests below need no case.
func TestSubgroupCases(t *testing.T) {
	list, ok := cases.InPlace(t)
	if !ok {
		t.Log("TRACEWRIGHT_CASES is not set: the subgroups of NIST are left out")
	}
	for _, c := range list {
		kinds := map[string]string{"mean_range": "xbar_r", "mean_sd": "xbar_s"}
		if c.Kind == "mean_sd_chart_unequal" {
			kinds = map[string]string{"mean_sd_unequal": "xbar"}
		} else if c.Kind != "mean_range_sd_chart" {
			continue
		}
		in := cases.Decode[struct{ Subgroups [][]float64 }](t, c.Input)
		want := cases.Decode[map[string]any](t, c.Expected)
		for kind, prefix := range kinds {
			// Twice over: means, sigma and limits stay, and there are enough points.
			chart := plot(t, kind, Subgroups{Values: slices.Concat(in.Subgroups, in.Subgroups)})
			if chart.Facts.NoLimits {
				t.Fatalf("%s: %+v", c.ID, chart.Facts)
			}
			for suffix, line := range map[string][]float64{"_lcl": chart.Panels[0].Low, "_ucl": chart.Panels[0].High} {
				height, ok := want[prefix+suffix].(float64)
				if !ok {
					height, ok = want[prefix+suffix].([]any)[0].(float64)
				}
				if !ok || math.Abs(line[0]-height) > c.Tolerance.Abs {
					t.Errorf("%s, %s%s = %v; want %v", c.ID, prefix, suffix, line[0], height)
				}
			}
		}
	}
}

// Twenty subgroups that go {0, 1, 2}, {1, 2, 3} by turns: means 1 and 2, medians
// 1 and 2, every range 2, every standard deviation 1. Factors for 3 from the
// table of ten decimals in testdata/reference.
func TestSubgroupsByHand(t *testing.T) {
	const factorA2, factorA3, factorD4, factorB4, factorD2, factorC4 = 1.0233267079, 1.9544100476, 2.5745912898, 2.5681696026, 1.6925687506, 0.8862269255
	data := Subgroups{Values: slices.Repeat([][]float64{{0, 1, 2}, {3, 2, 1}}, 10)}
	for _, test := range []struct {
		kind, estimator   string
		sigma, away       float64
		spread            string
		centre, spreadTop float64
	}{
		{"mean_range", MeanRange, 2 / factorD2, 2 * factorA2, PanelRanges, 2, 2 * factorD4},
		{"mean_sd", MeanSD, 1 / factorC4, factorA3, PanelSDs, 1, factorB4},
		// Pooled: s = 1 again, without the correction by c4.
		{"mean_sd_unequal", PooledSD, 1, 3 / math.Sqrt(3), PanelSDs, factorC4, 2.2759810510},
		// The variance of the median of 3 is 1 - sqrt(3)/pi.
		{"median_range", MeanRange, 2 / factorD2, 3 * 2 / factorD2 * math.Sqrt(1-math.Sqrt(3)/math.Pi), PanelRanges, 2, 2 * factorD4},
	} {
		chart := plot(t, test.kind, data)
		means, spread := chart.Panels[0], chart.Panels[1]
		near(t, test.kind+" sigma", chart.Sigma, test.sigma)
		flat(t, test.kind+" centre", means.Centre, means, 1.5)
		flat(t, test.kind+" high", means.High, means, 1.5+test.away)
		flat(t, test.kind+" low", means.Low, means, 1.5-test.away)
		flat(t, test.kind+" spread", spread.Centre, spread, test.centre)
		flat(t, test.kind+" spread high", spread.High, spread, test.spreadTop)
		if chart.SigmaEstimator != test.estimator || spread.Name != test.spread || spread.Low != nil || means.Points[0] != 1 || means.Points[1] != 2 {
			t.Errorf("%s: sigma by %s, spread %s with low limit %v, points %v", test.kind, chart.SigmaEstimator, spread.Name, spread.Low, means.Points[:2])
		}
	}
}

// Factors of the chart of medians as printed in ISO 7870-2 and ASTM MNL 7 (A4,
// also A6), from memory; two units of the last digit are allowed, since prints
// differ there.
func TestMedianFactors(t *testing.T) {
	for n, want := range map[int]float64{2: 1.880, 3: 1.187, 4: 0.796, 5: 0.691, 6: 0.549, 7: 0.509, 8: 0.432, 9: 0.412, 10: 0.363} {
		c, err := For(n)
		if got := 3 * medianSD(n) / c.D2; err != nil || math.Abs(got-want) > 0.002 {
			t.Errorf("factor for %d = %.5f, %v; printed %.3f", n, got, err, want)
		}
	}
	// In closed form: the median of two is their mean; the variance for three is
	// 1 - sqrt(3)/pi; for large n it goes to pi/(2n).
	near(t, "2", medianSD(2), math.Sqrt(0.5))
	near(t, "3", medianSD(3), math.Sqrt(1-math.Sqrt(3)/math.Pi))
	if got, want := medianSD(100)*medianSD(100), math.Pi/(2*100); math.Abs(got/want-1) > 0.02 {
		t.Errorf("variance for 100 = %v; for large n %v", got, want)
	}
}

// Each pair of readings lies 1 on either side of its item: s = sqrt(2), and the
// items, 0 and 10 by turns, lie 10 apart.
func TestThreeWayByHand(t *testing.T) {
	data := Items{Readings: slices.Repeat([][]float64{{-1, 1}, {11, 9}}, 10)}
	chart := plot(t, "three_way", data)
	means, moving, within := chart.Panels[0], chart.Panels[1], chart.Panels[2]
	flat(t, "centre", means.Centre, means, 5)
	flat(t, "high", means.High, means, 5+10*factorE2)
	flat(t, "moving range high", moving.High, moving, 10*factorD4)
	// B6 and c4 for 2 from the table in testdata/reference.
	flat(t, "within", within.Centre, within, 0.7978845608*math.Sqrt2)
	flat(t, "within high", within.High, within, 2.6063153858*math.Sqrt2)
	d, err := ChartOf("three_way")
	if err != nil {
		t.Fatal(err)
	}
	limits, err := d.Freeze(data)
	if err != nil {
		t.Fatal(err)
	}
	// sigma = 10/d2(2) = 5 sqrt(pi); between^2 = 25 pi - 2/2.
	between, readings, err := Components(limits)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "between", between, math.Sqrt(25*math.Pi-1))
	near(t, "readings", readings, math.Sqrt2)
	// Means and ranges of the same readings would call every item out.
	wrong := plot(t, "mean_range", Subgroups{Values: data.Readings})
	if n := len(wrong.Panels[0].Signals); n != 20 {
		t.Errorf("%d items of 20 beyond limits from the readings within them", n)
	}
}

func TestReadingsOfOneItemAreNoSubgroup(t *testing.T) {
	values := slices.Repeat([][]float64{{-1, 1}, {11, 9}}, 10)
	for _, d := range Charts() {
		switch d.Takes {
		case ItemSubgroups:
			if _, err := d.Draw(Subgroups{Values: values, OneItem: true}); !errors.Is(err, ErrOneItem) {
				t.Errorf("%s: %v; want ErrOneItem", d.Kind, err)
			}
			if _, err := d.Draw(Items{Readings: values}); !errors.Is(err, ErrInput) {
				t.Errorf("%s of readings: %v; want ErrInput", d.Kind, err)
			}
		case VectorsInGroups:
			if _, err := d.Draw(VectorSubgroups{OneItem: true}); !errors.Is(err, ErrOneItem) {
				t.Errorf("%s: %v; want ErrOneItem", d.Kind, err)
			}
		}
	}
}

func TestSubgroupsRefuse(t *testing.T) {
	for name, test := range map[string]struct {
		values [][]float64
		equal  bool // Only the charts of equal subgroups refuse it.
		err    error
		field  string
	}{
		"none":                 {nil, false, stats.ErrTooFew, "subgroups"},
		"an empty subgroup":    {[][]float64{{1, 2}, {}}, false, ErrSubgroupSize, "subgroups[1]"},
		"a subgroup of one":    {[][]float64{{1, 2}, {3}}, false, ErrSubgroupSize, "subgroups[1]"},
		"a subgroup of 101":    {[][]float64{{1, 2}, make([]float64, 101)}, false, ErrSubgroupSize, "subgroups[1]"},
		"sizes that differ":    {[][]float64{{1, 2}, {3, 4}, {1, 2, 3}}, true, ErrSizesDiffer, "subgroups[2]"},
		"a value that is none": {[][]float64{{1, 2}, {3, math.NaN()}}, false, stats.ErrNotFinite, "subgroups[1]"},
	} {
		for _, d := range Charts() {
			if d.Takes != ItemSubgroups {
				continue
			}
			_, err := d.Draw(Subgroups{Values: test.values})
			if test.equal && d.Kind == "mean_sd_unequal" {
				if err != nil {
					t.Errorf("%s, %s: %v", d.Kind, name, err)
				}
				continue
			}
			var named *stats.ArgumentError
			if !errors.Is(err, test.err) || !errors.As(err, &named) || named.Argument != test.field {
				t.Errorf("%s, %s: %v; want %v of %s", d.Kind, name, err, test.err, test.field)
			}
		}
	}
}
