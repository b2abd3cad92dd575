package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

// NIST/SEMATECH e-Handbook, 1.3.5.17.1, uranium isotopes of Tietjen and Moore:
// G 2.4687 and the one-sided critical value 2.032 as printed.
func TestGrubbsOfUranium(t *testing.T) {
	g, err := GrubbsOf([]float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}, 0.05)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "G", g.G, 2.4687, 1e-4)
	near(t, "critical value on one side", g.OneSided, 2.032, 5e-4)
	if g.Index != 7 || g.Value != 245.57 || !g.Outlier || g.High != g.G {
		t.Errorf("%+v; want the eighth value", g)
	}
}

// NIST/SEMATECH e-Handbook, 1.3.5.17.3, data of Rosner: statistics and critical
// values as printed, three outliers.
func TestManyOutliersOfRosner(t *testing.T) {
	list, ok := cases.InPlace(t)
	if !ok {
		t.Log("TRACEWRIGHT_CASES is not set: the data of Rosner are left out")
	}
	for _, c := range list {
		if c.Kind != "esd_outliers" {
			continue
		}
		in := cases.Decode[struct{ X []float64 }](t, c.Input)
		m, err := ManyOutliersOf(in.X, 10, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		for i, want := range []float64{3.118, 2.942, 3.179, 2.810, 2.815, 2.848, 2.279, 2.310, 2.101, 2.067} {
			near(t, "statistic", m.Statistics[i], want, 1.1e-3) // Printed cut, not rounded.
		}
		for i, want := range []float64{3.158, 3.151, 3.143, 3.136, 3.128, 3.120, 3.111, 3.103, 3.094, 3.085} {
			near(t, "critical value", m.Critical[i], want, 1.1e-3)
		}
		if m.Count != 3 {
			t.Errorf("%d outliers; want 3", m.Count)
		}
	}
}

// A second outlier hides the first from a test for one, not from one for two.
func TestManyOutliersSeesPairs(t *testing.T) {
	x := []float64{2.1, 2, 2.2, 1.9, 2.1, 2, 2.2, 2.1, 1.9, 2, 2.1, 2, 2.2, 2.1, 9, 9.1}
	one, err := ManyOutliersOf(x, 1, 0.05)
	if err != nil || one.Count != 0 {
		t.Errorf("looking for one: %+v, %v; want none", one, err)
	}
	two, err := ManyOutliersOf(x, 2, 0.05)
	if err != nil || two.Count != 2 || !slices.Equal(two.Indexes, []int{15, 14}) {
		t.Errorf("looking for two: %+v, %v; want the last two", two, err)
	}
}

// Each test calls normal values outlying as often as its level says.
func TestOutlierFalseAlarms(t *testing.T) {
	const runs, level = 2000, 0.05
	chance := NewRandom(17)
	var grubbs, many float64
	for range runs {
		x := chance.normals(30)
		g, err := GrubbsOf(x, level)
		if err != nil {
			t.Fatal(err)
		}
		m, err := ManyOutliersOf(x, 3, level)
		if err != nil {
			t.Fatal(err)
		}
		if g.Outlier {
			grubbs++
		}
		if m.Count > 0 {
			many++
		}
	}
	spread := 3 * math.Sqrt(level*(1-level)/runs)
	near(t, "one outlier", grubbs/runs, level, spread)
	near(t, "up to three outliers", many/runs, level, spread)
}

func TestGrubbsMoves(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		x := drawGroups(r, 3)[0]
		a, err := GrubbsOf(x, 0.05)
		if err != nil {
			r.Fatal(err)
		}
		b, err := GrubbsOf(moved([][]float64{x}, -4, 33)[0], 0.05)
		if err != nil {
			r.Fatal(err)
		}
		if math.Abs(a.G-b.G) > 1e-9 || math.Abs(a.High-b.Low) > 1e-9 || a.TwoSided != b.TwoSided {
			r.Fatalf("%+v, turned over %+v", a, b)
		}
		if bound := float64(len(x)-1) / math.Sqrt(float64(len(x))); a.G > bound+1e-12 || a.TwoSided > bound+1e-12 {
			r.Fatalf("%+v is beyond the largest G there is, %v", a, bound)
		}
	})
}

func TestOutliersRefuse(t *testing.T) {
	grubbs := func(alpha float64, x ...float64) func() error {
		return func() error { _, err := GrubbsOf(x, alpha); return err }
	}
	many := func(k int, x ...float64) func() error {
		return func() error { _, err := ManyOutliersOf(x, k, 0.05); return err }
	}
	checkRefusals(t, []refusal{
		{"two values", grubbs(0.05, 1, 2), "x", ErrTooFew},
		{"all equal", grubbs(0.05, 1, 1, 1), "x", ErrNoSpread},
		{"NaN", grubbs(0.05, 1, math.NaN(), 1), "x", ErrNotFinite},
		{"alpha 1", grubbs(1, 1, 2, 3), "alpha", ErrOutOfRange},
		{"none looked for", many(0, 1, 2, 3), "k", ErrOutOfRange},
		{"as many as values", many(2, 1, 2, 3), "k", ErrOutOfRange},
		{"two values, many", many(1, 1, 2), "x", ErrTooFew},
	})
}
