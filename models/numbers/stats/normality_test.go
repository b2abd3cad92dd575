package stats

import (
	"math"
	"testing"

	"tracewright/testdata/cases"
)

// Shapiro and Wilk, Biometrika 52, 1965, example 3: weights of eleven men, W
// 0.79. Royston's approximation gives P 0.0067 for it, as R prints (from memory).
func TestShapiroWilkOfTheOriginalPaper(t *testing.T) {
	w, p, err := ShapiroWilk([]float64{148, 154, 158, 160, 161, 162, 166, 170, 182, 195, 236})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "W", w, 0.79, 5e-3)
	near(t, "P", p, 0.0067, 1e-4)
}

// Of three values W is exact: at equal distances it is 1, with two alike 3/4, the
// least there is.
func TestShapiroWilkOfThree(t *testing.T) {
	for name, test := range map[string]func([]float64) (float64, float64, error){"double": ShapiroWilk, "single": ShapiroWilkSingle} {
		w, p, err := test([]float64{2, 1, 3})
		if err != nil {
			t.Fatal(err)
		}
		near(t, name+" W at equal distances", w, 1, 1e-6)
		near(t, name+" P at equal distances", p, 1, 2e-3)
		if w, p, err = test([]float64{1, 1, 4}); err != nil {
			t.Fatal(err)
		}
		near(t, name+" W of two alike", w, 0.75, 1e-6)
		near(t, name+" P of two alike", p, 0, 2e-3)
	}
}

// The single-precision figures of a reference library to their last digit, and
// the double ones as near to them as single precision allows.
func TestShapiroWilkInPlace(t *testing.T) {
	list, ok := cases.InPlace(t)
	if !ok {
		t.Log("TRACEWRIGHT_CASES is not set: the data are left out")
	}
	for _, c := range list {
		if c.Kind != "normality" {
			continue
		}
		in := cases.Decode[struct{ X []float64 }](t, c.Input)
		want := cases.Decode[struct {
			W float64 `json:"shapiro_W"`
			P float64 `json:"shapiro_p"`
		}](t, c.Expected)
		w, p, err := ShapiroWilkSingle(in.X)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.ID+": W", w, want.W, 1e-14)
		near(t, c.ID+": P", p, want.P, 1e-8*want.P)
		if w, p, err = ShapiroWilk(in.X); err != nil {
			t.Fatal(err)
		}
		near(t, c.ID+": W in double precision", w, want.W, 5e-6)
		near(t, c.ID+": P in double precision", p, want.P, 2e-3*want.P)
	}
}

// Critical values of the adjusted statistic, mean and standard deviation
// estimated (D'Agostino and Stephens, 1986, table 4.7, case 3).
func TestAndersonDarlingTable(t *testing.T) {
	for _, row := range []struct{ adjusted, p float64 }{{0.631, 0.10}, {0.752, 0.05}, {0.873, 0.025}, {1.035, 0.01}, {1.159, 0.005}} {
		near(t, "P", andersonDarlingP(row.adjusted), row.p, 0.015*row.p) // The formulas are fitted to the table.
	}
	last := 1.
	for a := 0.; a < 15; a += 0.01 {
		p := andersonDarlingP(a)
		if !(p >= 0 && p <= last+2e-3) { // The four formulas do not meet exactly.
			t.Fatalf("P %v at %v, %v before", p, a, last)
		}
		last = p
	}
}

// Normal values are called otherwise as often as the level says, exponential ones
// nearly always.
func TestNormalityLevels(t *testing.T) {
	const runs, level = 2000, 0.05
	chance := NewRandom(23)
	var shapiro, anderson, skewed float64
	for range runs {
		x := chance.normals(30)
		_, p, err := ShapiroWilk(x)
		if err != nil {
			t.Fatal(err)
		}
		a, err := AndersonDarlingOf(x)
		if err != nil {
			t.Fatal(err)
		}
		if p <= level {
			shapiro++
		}
		if a.P <= level {
			anderson++
		}
		for i, v := range x {
			x[i] = -math.Log(NormalBelow(v))
		}
		if _, p, err = ShapiroWilk(x); err != nil {
			t.Fatal(err)
		}
		if p <= level {
			skewed++
		}
	}
	spread := 3 * math.Sqrt(level*(1-level)/runs)
	near(t, "Shapiro-Wilk", shapiro/runs, level, spread)
	near(t, "Anderson-Darling", anderson/runs, level, spread)
	if skewed < 0.9*runs { // Shapiro and Wilk found a power of 0.8 at 20 already.
		t.Errorf("exponential values are told apart in %v of the samples", skewed/runs)
	}
}

func TestMomentsByHand(t *testing.T) {
	// 0 0 0 1 about 1/4: m2 3/16, m3 3/32, m4 21/256.
	m, err := MomentsOf([]float64{0, 0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "skewness", m.Skewness, 2/math.Sqrt(3), 1e-12)
	near(t, "adjusted skewness", m.AdjustedSkewness, 2, 1e-12)
	near(t, "kurtosis", m.Kurtosis, -2./3, 1e-12)
	near(t, "adjusted kurtosis", m.AdjustedKurtosis, 4, 1e-12)
	if m, err = MomentsOf([]float64{1, 2, 3}); err != nil || m.AdjustedKurtosisKnown || math.Abs(m.Skewness) > 1e-12 {
		t.Errorf("%+v, %v; want no skewness and no adjusted kurtosis", m, err)
	}
}

func TestShapeRefuses(t *testing.T) {
	long := make([]float64, MostForShapiroWilk+1)
	for i := range long {
		long[i] = float64(i)
	}
	for name, figure := range map[string]func([]float64) error{
		"Shapiro-Wilk":     func(x []float64) error { _, _, err := ShapiroWilk(x); return about("x", err) },
		"in single":        func(x []float64) error { _, _, err := ShapiroWilkSingle(x); return about("x", err) },
		"Anderson-Darling": func(x []float64) error { _, err := AndersonDarlingOf(x); return about("x", err) },
		"moments":          func(x []float64) error { _, err := MomentsOf(x); return about("x", err) },
	} {
		of := func(x ...float64) func() error { return func() error { return figure(x) } }
		checkRefusals(t, []refusal{
			{name + " of two", of(1, 2), "x", ErrTooFew},
			{name + " of equal values", of(1, 1, 1, 1, 1, 1), "x", ErrNoSpread},
			{name + " of NaN", of(1, 2, 3, 4, 5, math.NaN()), "x", ErrNotFinite},
			{name + " of values too large", of(1e308, -1e308, 1e308, 3, 4, 5), "x", ErrNotFinite},
		})
	}
	checkRefusals(t, []refusal{
		{"too many", func() error { _, _, err := ShapiroWilk(long); return err }, "x", ErrOutOfRange},
		{"beyond single precision", func() error { _, _, err := ShapiroWilkSingle([]float64{1e100, 2e100, 4e100, 5e100}); return err }, "x", ErrOutOfRange},
	})
}
