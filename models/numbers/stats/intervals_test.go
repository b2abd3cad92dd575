package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tracewright/testdata/cases"
)

func TestMeanAndSDIntervalByTables(t *testing.T) {
	// 1 to 5: mean 3, s sqrt(2.5). Printed tables: t 2.776445; chi-square 0.484419
	// and 11.143287, each at 0.975 and 4 degrees of freedom.
	m, err := MeanInterval([]float64{1, 2, 3, 4, 5}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean, high", m.High, 3+2.776445*math.Sqrt(0.5), 1e-6)
	near(t, "mean, low", m.Low, 3-2.776445*math.Sqrt(0.5), 1e-6)
	s, err := SDInterval(math.Sqrt(2.5), 4, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "sd, low", s.Low, math.Sqrt(2.5*4/11.143287), 1e-6)
	near(t, "sd, high", s.High, math.Sqrt(2.5*4/0.484419), 5e-6)
}

// By its definition the exact interval leaves half of the rest in each tail.
func TestExactIntervalLeavesHalfOfTheRest(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(r, "n")
		x := rapid.IntRange(0, n).Draw(r, "x")
		confidence := float64(rapid.IntRange(50, 99).Draw(r, "confidence")) / 100
		i, err := ProportionIntervalsOf(x, n, confidence)
		if err != nil {
			r.Fatal(err)
		}
		tail := func(p float64, from, to int) float64 {
			var sum float64
			for k := from; k <= to; k++ {
				sum += choose(n, k) * math.Pow(p, float64(k)) * math.Pow(1-p, float64(n-k))
			}
			return sum
		}
		half := (1 - confidence) / 2
		if x > 0 && math.Abs(tail(i.Exact.Low, x, n)-half) > 1e-9 || x == 0 && i.Exact.Low != 0 {
			r.Fatalf("%d of %d at %v: low %v", x, n, confidence, i.Exact.Low)
		}
		if x < n && math.Abs(tail(i.Exact.High, 0, x)-half) > 1e-9 || x == n && i.Exact.High != 1 {
			r.Fatalf("%d of %d at %v: high %v", x, n, confidence, i.Exact.High)
		}
		for _, v := range []Interval{i.Exact, i.Wilson} {
			if v.Low > i.Estimate || v.High < i.Estimate || v.Low < 0 || v.High > 1 {
				r.Fatalf("%d of %d: %+v", x, n, i)
			}
		}
		// What is counted as good instead of bad turns the interval over.
		o, err := ProportionIntervalsOf(n-x, n, confidence)
		if err != nil || math.Abs(1-o.Exact.High-i.Exact.Low) > 1e-12 || math.Abs(1-o.Jeffreys.Low-i.Jeffreys.High) > 1e-12 || math.Abs(1-o.Wilson.High-i.Wilson.Low) > 1e-12 {
			r.Fatalf("%+v, turned over %+v, %v", i, o, err)
		}
	})
}

func TestIntervalsOfNothing(t *testing.T) {
	i, err := ProportionIntervalsOf(0, 30, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "high", i.Exact.High, 1-math.Pow(0.025, 1./30), 1e-12) // (1-p)^30 = 0.025.
	near(t, "high on one side", i.ExactHigh, 1-math.Pow(0.05, 1./30), 1e-12)
	c, err := CountIntervalsOf(0, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "count", c.TwoSided.High, -math.Log(0.025), 1e-12) // exp(-mean) = 0.025.
	m, err := MTBFOf(3000, 0, 0.95)
	if err != nil || m.EstimateKnown || !m.TwoSided.OpenHigh {
		t.Errorf("%+v, %v; want no estimate and no upper limit", m, err)
	}
	near(t, "time", m.Low, 3000/-math.Log(0.05), 1e-9)
}

// Cases of a reference library, and of the e-Handbook, 7.2.4.2 and 8.4.5.1.
func TestIntervalCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "poisson_interval") {
		in := cases.Decode[struct {
			Count                int
			Exposure, Confidence float64
		}](t, c.Input)
		want := cases.Decode[struct {
			Rates [2]float64 `json:"garwood_rate"`
		}](t, c.Expected)
		rate, _, err := RateIntervalOf(in.Count, in.Exposure, in.Confidence)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.ID+": low", rate.TwoSided.Low, want.Rates[0], 1e-9)
		near(t, c.ID+": high", rate.TwoSided.High, want.Rates[1], 1e-9)
	}
}

// Factors as printed: Odeh and Owen, 1980; from memory, recomputed by another
// library.
func TestToleranceFactorTable(t *testing.T) {
	for _, row := range []struct {
		n        int
		coverage float64
		one, two float64
	}{
		{10, 0.90, 2.355, 0}, {10, 0.95, 2.911, 3.393}, {10, 0.99, 3.981, 0}, {30, 0.95, 2.220, 0},
		{20, 0.95, 0, 2.760}, {2, 0.95, 0, 36.519}, {50, 0.99, 0, 3.129},
	} {
		f, err := ToleranceFactorsOf(row.n, row.coverage, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if row.one > 0 {
			near(t, "one-sided", f.OneSided, row.one, 6e-4)
		}
		if row.two > 0 {
			near(t, "two-sided", f.TwoSided, row.two, 6e-4)
		}
	}
}

// Of many samples the share asked for has an interval that holds its coverage.
func TestToleranceIntervalHolds(t *testing.T) {
	const runs, n, coverage, confidence = 4000, 12, 0.9, 0.95
	f, err := ToleranceFactorsOf(n, coverage, confidence)
	if err != nil {
		t.Fatal(err)
	}
	chance, held := NewRandom(29), 0.
	for range runs {
		x := chance.normals(n)
		mean, err := Mean(x)
		if err != nil {
			t.Fatal(err)
		}
		sd, err := SD(x)
		if err != nil {
			t.Fatal(err)
		}
		l, err := f.Around(mean, sd)
		if err != nil {
			t.Fatal(err)
		}
		if NormalBelow(l.TwoSided.High)-NormalBelow(l.TwoSided.Low) >= coverage {
			held++
		}
	}
	near(t, "confidence", held/runs, confidence, 3*math.Sqrt(confidence*(1-confidence)/runs))
}

func TestIntervalsRefuse(t *testing.T) {
	share := func(x, n int, c float64) func() error {
		return func() error { _, err := ProportionIntervalsOf(x, n, c); return err }
	}
	checkRefusals(t, []refusal{
		{"mean of one value", func() error { _, err := MeanInterval([]float64{1}, 0.9); return err }, "x", ErrTooFew},
		{"mean at confidence 1", func() error { _, err := MeanInterval([]float64{1, 2}, 1); return err }, "confidence", ErrOutOfRange},
		{"sd below 0", func() error { _, err := SDInterval(-1, 4, 0.9); return err }, "sd", ErrOutOfRange},
		{"sd without degrees of freedom", func() error { _, err := SDInterval(1, 0, 0.9); return err }, "degrees of freedom", ErrOutOfRange},
		{"more than all", share(3, 2, 0.9), "x", ErrOutOfRange},
		{"fewer than none", share(-1, 2, 0.9), "x", ErrOutOfRange},
		{"of nothing", share(0, 0, 0.9), "n", ErrOutOfRange},
		{"confidence NaN", share(1, 2, math.NaN()), "confidence", ErrOutOfRange},
		{"negative count", func() error { _, err := CountIntervalsOf(-1, 0.9); return err }, "count", ErrOutOfRange},
		{"no exposure", func() error { _, _, err := RateIntervalOf(1, 0, 0.9); return err }, "exposure", ErrOutOfRange},
		{"no time", func() error { _, err := MTBFOf(0, 1, 0.9); return err }, "total_time", ErrOutOfRange},
		{"negative failures", func() error { _, err := MTBFOf(10, -1, 0.9); return err }, "failures", ErrOutOfRange},
		{"tolerance from one value", func() error { _, err := ToleranceFactorsOf(1, 0.9, 0.9); return err }, "n", ErrOutOfRange},
		{"coverage of all", func() error { _, err := ToleranceFactorsOf(9, 1, 0.9); return err }, "coverage", ErrOutOfRange},
	})
}
