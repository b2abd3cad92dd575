package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

func TestVarianceTestsByHand(t *testing.T) {
	// Variances 1 and 4 with 2 degrees of freedom each, pooled 2.5: (4 ln 2.5 -
	// 2 ln 1 - 2 ln 4) / (1 + (1/2 + 1/2 - 1/4)/3). Distances from the medians
	// 1 0 1 and 2 0 2: between 2/3, within 10/3 on 4.
	v, err := VarianceTestsOf([][]float64{{0, 1, 2}, {0, 2, 4}})
	if err != nil {
		t.Fatal(err)
	}
	want := (4*math.Log(2.5) - 2*math.Log(4)) / 1.25
	near(t, "Bartlett", v.Bartlett, want, 1e-12)
	near(t, "Bartlett P", v.BartlettP, math.Erfc(math.Sqrt(want/2)), 1e-12) // Chi-square with 1 is a normal value squared.
	near(t, "Levene", v.Levene, 0.8, 1e-12)
}

// NIST/SEMATECH e-Handbook, 1.3.5.7 and 1.3.5.10, gear diameters: T 20.78587 and
// W 1.705910 as printed.
func TestVarianceTestsOfGears(t *testing.T) {
	list, ok := cases.InPlace(t)
	if !ok {
		t.Log("TRACEWRIGHT_CASES is not set: the gear diameters are left out")
	}
	for _, c := range list {
		if c.Kind != "variance_tests" {
			continue
		}
		in := cases.Decode[struct{ Groups [][]float64 }](t, c.Input)
		v, err := VarianceTestsOf(in.Groups)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "Bartlett", v.Bartlett, 20.78587, 5e-6)
		near(t, "Levene", v.Levene, 1.705910, 1e-5)
	}
}

func TestVarianceTestsMove(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		groups := drawGroups(r, 3)
		a, err := VarianceTestsOf(groups)
		if err != nil {
			r.Fatal(err)
		}
		b, err := VarianceTestsOf(moved(groups, -3, 250))
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(a.Bartlett-b.Bartlett) > 1e-8*(1+a.Bartlett) || math.Abs(a.Levene-b.Levene) > 1e-8*(1+a.Levene) {
			r.Fatalf("%+v, moved %+v", a, b)
		}
	})
}

func TestVarianceTestsRefuse(t *testing.T) {
	of := func(groups ...[]float64) func() error {
		return func() error { _, err := VarianceTestsOf(groups); return err }
	}
	checkRefusals(t, []refusal{
		{"one group", of([]float64{1, 2, 3}), "groups", ErrTooFew},
		{"one value", of([]float64{1, 2, 3}, []float64{1}), "groups[1]", ErrTooFew},
		{"equal values", of([]float64{1, 2, 3}, []float64{4, 4, 4}), "groups[1]", ErrNoSpread},
		{"NaN", of([]float64{math.NaN(), 2, 3}, []float64{4, 5, 4}), "groups[0]", ErrNotFinite},
		{"pairs have equal distances", of([]float64{1, 2}, []float64{4, 7}), "groups", ErrNoSpread},
	})
}
