package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// Critical values of the analysis of means for equal groups, computed by a
// characteristic function apart from ours and agreeing with the multivariate
// normal quantile of R (mvtnorm 1.1-3) where that was asked: 2.343700 for 3
// groups. Nelson, Wludyka and Copeland (2005) print them to two decimals.
func TestAnomFactorTable(t *testing.T) {
	inf := math.Inf(1)
	for _, row := range []struct {
		groups       int
		alpha, df, h float64
	}{
		{3, 0.05, inf, 2.3437}, {3, 0.05, 12, 2.6679}, {3, 0.05, 120, 2.3731}, {3, 0.01, inf, 2.9135}, {3, 0.01, 20, 3.2804},
		{4, 0.05, inf, 2.4685}, {4, 0.05, 12, 2.8451}, {4, 0.01, 60, 3.1407},
		{5, 0.05, inf, 2.5548}, {5, 0.05, 40, 2.6707}, {5, 0.01, 12, 3.8739},
		{8, 0.05, inf, 2.7214}, {8, 0.05, 20, 3.0086}, {8, 0.01, 120, 3.3010},
		{10, 0.05, inf, 2.7960}, {10, 0.05, 60, 2.8951}, {10, 0.01, 12, 4.2540},
	} {
		sizes := slices.Repeat([]float64{5}, row.groups)
		h, exact, err := AnomFactor(sizes, row.df, row.alpha)
		if err != nil || !exact || math.Abs(h-row.h) > 0.6e-4 {
			t.Errorf("%d groups, alpha %v, %v degrees of freedom: h %v, exact %v, %v; want %v", row.groups, row.alpha, row.df, h, exact, err, row.h)
		}
	}
}

// Of groups of unequal size, drawn without a difference, a share alpha has a
// mean outside.
func TestAnomFactorHoldsItsLevel(t *testing.T) {
	const runs, alpha = 20_000, 0.05
	sizes := []float64{2, 3, 10, 5}
	h, exact, err := AnomFactor(sizes, math.Inf(1), alpha)
	if err != nil || !exact {
		t.Fatal(exact, err)
	}
	chance, outside := NewRandom(3), 0
	for range runs {
		z := chance.normals(len(sizes))
		var all, total float64
		for i, n := range sizes {
			z[i] /= math.Sqrt(n) // A mean of n.
			all, total = all+n*z[i], total+n
		}
		for i, n := range sizes {
			if math.Abs(z[i]-all/total) > h*math.Sqrt((total-n)/(total*n)) {
				outside++
				break
			}
		}
	}
	near(t, "false alarms", float64(outside)/runs, alpha, 3*math.Sqrt(alpha*(1-alpha)/runs))
}

func TestAnomFactorOfManySizesIsSafe(t *testing.T) {
	equal, many := slices.Repeat([]float64{10}, 20), make([]float64, 20)
	for i := range many {
		many[i] = float64(10 + i)
	}
	exact, _, err := AnomFactor(equal, 30, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	safe, isExact, err := AnomFactor(many, 30, 0.05)
	if err != nil || isExact || safe < exact || safe > 1.02*exact {
		t.Errorf("twenty sizes: h %v, exact %v, %v; want a little more than %v", safe, isExact, err, exact)
	}
	// Two groups differ from their mean together: h is that of Student.
	two, _, err := AnomFactor([]float64{4, 9}, 11, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "two groups", two, 2.200985, 1e-6) // t, 0.975, 11 degrees of freedom, as printed in any table.
}

func TestMeansAgainstAllMove(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		groups := drawGroups(r, 3)[:2] // Their factor costs least; it is tested above.
		a, err := MeansAgainstAll(groups, 0.05)
		if err != nil {
			r.Fatal(err)
		}
		b, err := MeansAgainstAll(moved(groups, 7, -40), 0.05)
		if err != nil {
			r.Fatal(err)
		}
		for i, g := range a.Groups {
			if g.Low > a.Mean || g.High < a.Mean || g.Outside != (g.Mean < g.Low || g.Mean > g.High) {
				r.Fatalf("group %d: %+v about %v", i, g, a.Mean)
			}
			if math.Abs(b.Groups[i].High-(7*g.High-40)) > 1e-7 || math.Abs(b.Groups[i].Low-(7*g.Low-40)) > 1e-7 {
				r.Fatalf("group %d: %+v, moved %+v", i, g, b.Groups[i])
			}
		}
	})
}

func TestProportionsAgainstAllByHand(t *testing.T) {
	// 30 and 10 of 100, pooled 0.2: sigma 0.4, two groups half of all each, so limits
	// 0.2 -+ 1.959964 * 0.4 * sqrt(100/(200*100)).
	l, err := ProportionsAgainstAll([]int{30, 10}, []int{100, 100}, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "high", l.Groups[0].High, 0.2+1.959964*0.4*math.Sqrt(0.005), 1e-6)
	if !l.Groups[0].Outside || !l.Groups[1].Outside || l.SmallCounts {
		t.Errorf("%+v; want both outside, enough of each", l)
	}
	// A fifth of 20 is fewer than 5.
	if l, err = ProportionsAgainstAll([]int{20, 4}, []int{100, 20}, 0.05); err != nil || !l.SmallCounts {
		t.Errorf("%+v, %v; want small counts", l, err)
	}
}

func TestAnomRefuses(t *testing.T) {
	means := func(alpha float64, groups ...[]float64) func() error {
		return func() error { _, err := MeansAgainstAll(groups, alpha); return err }
	}
	shares := func(x, n []int) func() error {
		return func() error { _, err := ProportionsAgainstAll(x, n, 0.05); return err }
	}
	checkRefusals(t, []refusal{
		{"no alpha", means(0, []float64{1, 2}, []float64{3, 4}), "alpha", ErrOutOfRange},
		{"alpha NaN", means(math.NaN(), []float64{1, 2}, []float64{3, 4}), "alpha", ErrOutOfRange},
		{"one group", means(0.05, []float64{1, 2}), "groups", ErrTooFew},
		{"no spread", means(0.05, []float64{1, 1}, []float64{2, 2}), "groups", ErrNoSpread},
		{"count above its size", shares([]int{1, 5}, []int{4, 4}), "x[1]", ErrOutOfRange},
		{"negative count", shares([]int{-1, 2}, []int{4, 4}), "x[0]", ErrOutOfRange},
		{"empty group", shares([]int{0, 2}, []int{0, 4}), "n[0]", ErrOutOfRange},
		{"sizes that do not go along", shares([]int{0}, []int{4, 4}), "x", ErrOutOfRange},
		{"one group of shares", shares([]int{1}, []int{4}), "n", ErrTooFew},
		{"none", shares([]int{0, 0}, []int{4, 4}), "x", ErrNoSpread},
		{"all", shares([]int{4, 4}, []int{4, 4}), "x", ErrNoSpread},
	})
}
