package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

// The certified values of the NIST Statistical Reference Datasets, one-way
// analysis of variance.
func TestOneWayCertified(t *testing.T) {
	for _, c := range cases.OfKind(t, "oneway_anova") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct{ Groups [][]float64 }](t, c.Input)
			want := cases.Decode[struct {
				SSBetween float64  `json:"ss_between"`
				SSWithin  float64  `json:"ss_within"`
				F         float64  `json:"F"`
				SD        *float64 `json:"residual_sd"`
			}](t, c.Expected)
			a, err := OneWay(in.Groups)
			if err != nil {
				t.Fatal(err)
			}
			relative := max(c.Tolerance.Rel, c.Tolerance.Abs)
			near(t, "SS between", a.SSBetween, want.SSBetween, relative*want.SSBetween)
			near(t, "SS within", a.SSWithin, want.SSWithin, relative*want.SSWithin)
			near(t, "F", a.F, want.F, relative*want.F)
			if want.SD != nil {
				near(t, "residual sd", a.ResidualSD, *want.SD, relative**want.SD)
			}
		})
	}
}

func TestOneWayByHand(t *testing.T) {
	// Means 2 and 6 about 4: between 2*4 + 2*4, within 1+1+1+1.
	a, err := OneWay([][]float64{{1, 3}, {5, 7}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "F", a.F, 8, 1e-12)
	near(t, "component between", a.BetweenVariance, (16.-2)/2, 1e-12)
	// F with 1 and 2 degrees of freedom is t squared with 2: P = 1 - t/sqrt(2+t^2).
	near(t, "P", a.P, 1-math.Sqrt(8)/math.Sqrt(10), 1e-12)

	// Groups nearer to each other than their values allow: mean squares 1 and 8.
	if a, err = OneWay([][]float64{{0, 4}, {1, 5}}); err != nil {
		t.Fatal(err)
	}
	near(t, "component as estimated", a.BetweenVarianceAsEstimated, -3.5, 1e-12)
	if a.BetweenVariance != 0 {
		t.Errorf("component between %v; want 0", a.BetweenVariance)
	}

	// Sizes 2 and 4: n0 = (6 - 20/6)/1 = 8/3; means 1 and 4, all 3: between 2*4+4*1
	// = 12, within 2 + 2 = 4, mean square 1.
	if a, err = OneWay([][]float64{{0, 2}, {3, 4, 4, 5}}); err != nil {
		t.Fatal(err)
	}
	near(t, "component of unequal groups", a.BetweenVariance, (12.-1)/(8./3), 1e-12)
}

func TestOneWayMoves(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		groups := drawGroups(r, 2)
		scale, shift := float64(rapid.IntRange(1, 50).Draw(r, "scale")), float64(rapid.IntRange(-500, 500).Draw(r, "shift"))
		a, err := OneWay(groups)
		if err != nil {
			r.Fatal(err)
		}
		b, err := OneWay(moved(groups, scale, shift))
		if err != nil {
			r.Fatal(err)
		}
		for _, group := range groups {
			slices.Reverse(group)
		}
		c, err := OneWay(groups)
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(a.F-b.F) > 1e-8*(1+a.F) || math.Abs(b.ResidualSD-scale*a.ResidualSD) > 1e-8*scale || math.Abs(a.F-c.F) > 1e-9*(1+a.F) {
			r.Fatalf("F %v, moved %v, reversed %v; residual sd %v, moved %v", a.F, b.F, c.F, a.ResidualSD, b.ResidualSD)
		}
		if a.P < 0 || a.P > 1 || a.RSquared < 0 || a.RSquared > 1 {
			r.Fatalf("P %v, R squared %v", a.P, a.RSquared)
		}
	})
}

// F by numpy, its quantiles by scipy 1.10, stats.f.ppf, put into the formula; by it the
// first and the last would begin below 0.
func TestShareBetween(t *testing.T) {
	for _, test := range []struct {
		groups    [][]float64
		low, high float64
	}{
		{[][]float64{{6, 4, 5, 7}, {8, 9, 7, 6}, {5, 6, 7, 5}}, 0, 0.9703839504853947},
		{[][]float64{{12.1, 12.4, 11.9, 12.0, 12.2}, {12.6, 12.9, 12.7, 12.8, 12.5, 12.6}, {12.0, 12.3, 12.2, 12.1, 12.4}}, 0.34771265462510403, 0.9929575680891918},
		{[][]float64{{1, 2, 3}, {1.1, 2, 2.9}, {2, 1, 3}}, 0, 0},
	} {
		a, err := OneWay(test.groups)
		if err != nil {
			t.Fatal(err)
		}
		share, err := a.ShareBetween(0.95)
		if err != nil || math.Abs(share.Low-test.low) > 1e-9 || math.Abs(share.High-test.high) > 1e-9 {
			t.Errorf("%v: %+v, %v; want %v to %v", test.groups, share, err, test.low, test.high)
		}
		if share, err := a.ShareBetween(1); err == nil {
			t.Errorf("confidence 1: %+v", share)
		}
	}
}

func TestOneWayRefuses(t *testing.T) {
	of := func(groups ...[]float64) func() error {
		return func() error { _, err := OneWay(groups); return err }
	}
	checkRefusals(t, []refusal{
		{"nothing", of(), "groups", ErrTooFew},
		{"one group", of([]float64{1, 2, 3}), "groups", ErrTooFew},
		{"an empty group", of([]float64{1, 2}, nil), "groups[1]", ErrTooFew},
		{"one value in each", of([]float64{1}, []float64{2}), "groups", ErrTooFew},
		{"equal within groups", of([]float64{1, 1}, []float64{2, 2}), "groups", ErrNoSpread},
		{"NaN", of([]float64{1, 2}, []float64{2, math.NaN()}), "groups[1]", ErrNotFinite},
		{"overflow", of([]float64{1, 2}, []float64{1e300, -1e300}), "groups[1]", ErrNotFinite},
		{"too many groups", of(make([][]float64, MostGroups+1)...), "groups", ErrOutOfRange},
	})
}
