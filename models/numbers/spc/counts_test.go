package spc

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

// Exact limits by tables of the Poisson distribution (Molina, Poisson's
// Exponential Binomial Limit, 1942, from memory, and the sums written out): the
// least count with no more than 0.00135 beyond it, the greatest with no more
// than 0.00135 below it.
func TestExactPoissonLimits(t *testing.T) {
	for _, test := range []struct{ mean, low, high float64 }{
		// P(X > 3) = 0.00175, P(X > 4) = 0.00017 for 0.5.
		{0.5, 0, 4},
		// P(X > 4) = 0.00366, P(X > 5) = 0.00059 for 1.
		{1, 0, 5},
		// P(X > 7) = 0.00110, P(X > 6) = 0.00453 for 2.
		{2, 0, 7},
		// P(X > 8) = 0.0038, P(X > 9) = 0.0011 for 3.
		{3, 0, 9},
		// P(X > 12) = 0.0020, P(X > 13) = 0.0007 for 5; P(X < 1) = 0.0067.
		{5, 0, 13},
		// P(X < 1) = 0.00034, P(X < 2) = 0.0030 for 8; P(X > 17) = 0.00159,
		// P(X > 18) = 0.00065.
		{8, 1, 18},
	} {
		low, high, err := ofCounts.tails(1, test.mean)
		if err != nil || low != test.low || high != test.high {
			t.Errorf("limits for a mean of %v: %v, %v, %v; want %v, %v", test.mean, low, high, err, test.low, test.high)
		}
	}
}

// Whatever the mean, exact limits are the first with no more than the tail
// beyond, by sums of the probabilities of gonum.
func TestExactLimitsAreTheFirst(t *testing.T) {
	for _, size := range []float64{1, 5, 40, 300} {
		for _, p := range []float64{0, 0.001, 0.03, 0.3, 0.5, 0.9, 0.999, 1} {
			checkTails(t, ofProportions, size, p, distuv.Binomial{N: size, P: p}.Prob, size)
			if mean := p * size; mean > 0 {
				checkTails(t, ofRates, size, p, distuv.Poisson{Lambda: mean}.Prob, mean+30*math.Sqrt(mean)+60)
			}
		}
	}
}

func checkTails(t *testing.T, c counted, size, centre float64, probability func(float64) float64, most float64) {
	t.Helper()
	sum := func(from, to float64) float64 {
		var p float64
		for k := from; k <= to; k++ {
			if q := probability(k); !math.IsNaN(q) {
				p += q
			} else if k == math.Round(centre*size) {
				p++ // All of it, at the ends of the binomial.
			}
		}
		return p
	}
	low, high, err := c.tails(size, centre)
	if err != nil || low < 0 || high > most {
		t.Fatalf("%s of %v at %v: %v, %v, %v", c.panel, size, centre, low, high, err)
	}
	const rounding = 1e-9
	if above := sum(high+1, most); above > exactTail+rounding {
		t.Errorf("%s of %v at %v: %v above %v", c.panel, size, centre, above, high)
	}
	if high > 0 {
		if above := sum(high, most); above <= exactTail-rounding {
			t.Errorf("%s of %v at %v: only %v from %v on", c.panel, size, centre, above, high)
		}
	}
	if below := sum(0, low-1); below > exactTail+rounding {
		t.Errorf("%s of %v at %v: %v below %v", c.panel, size, centre, below, low)
	}
	if below := sum(0, low); below <= exactTail-rounding {
		t.Errorf("%s of %v at %v: only %v up to %v", c.panel, size, centre, below, low)
	}
}

// Counts are small where three sigma reach to 0: below a mean count of 9.
func TestSmallCounts(t *testing.T) {
	for _, test := range []struct {
		count int
		exact bool
	}{{9, true}, {10, false}} {
		c := Counts{Counts: make([]int, 30)}
		for i := range c.Counts {
			c.Counts[i] = test.count + i%3 - 1
		}
		chart := plot(t, "c", c)
		if chart.Facts.SmallCounts != test.exact || test.exact != (chart.SigmaEstimator == PoissonTails) {
			t.Errorf("mean count %d: %+v, %s", test.count, chart.Facts, chart.SigmaEstimator)
		}
	}
}

// The charts against the cases that may be carried: the limits three sigma
// away of Montgomery's purchase orders stand beside the exact ones, since a
// sample of 80 with 9.55 % expects 7.6 of them.
func TestChartsOfCountCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "overdispersed_chart") {
		in := cases.Decode[struct {
			Counts []int
			N      []float64
		}](t, c.Input)
		want := cases.Decode[struct{ Center, Sigma_z float64 }](t, c.Expected)
		high := cases.Decode[struct{ UCL []float64 }](t, c.Expected).UCL
		kind := "overdispersed_p"
		if want.Center > 1 {
			kind = "overdispersed_u"
		}
		chart := plot(t, kind, Counts{Counts: in.Counts, Of: in.N})
		for i, y := range chart.Panels[0].High {
			if math.Abs(y-high[i]) > c.Tolerance.Rel*high[i] {
				t.Errorf("%s: high limit %d = %v; want %v", c.ID, i, y, high[i])
			}
		}
	}
	for _, c := range cases.OfKind(t, "p_chart") {
		in := cases.Decode[struct {
			Counts []int
			N      []float64
		}](t, c.Input)
		want := cases.Decode[struct{ UCL []float64 }](t, c.Expected)
		lines, err := Proportions(in.Counts, in.N)
		if err != nil || !lines.Small {
			t.Fatal(err, lines.Small)
		}
		for i, y := range lines.High {
			near(t, "three sigma", y, want.UCL[i])
			if lines.ExactHigh[i] == lines.High[i] {
				t.Errorf("exact limit %d is the other one", i)
			}
		}
	}
}

func TestCountsRefuse(t *testing.T) {
	for name, test := range map[string]struct {
		kind  string
		in    Counts
		err   error
		field string
	}{
		"nothing":              {"c", Counts{}, stats.ErrTooFew, "counts"},
		"a negative count":     {"c", Counts{Counts: []int{3, -1}}, ErrCount, "counts[1]"},
		"a count above n":      {"p", Counts{Counts: []int{3, 51}, Of: []float64{50, 50}}, ErrCount, "counts[1]"},
		"a fraction of items":  {"p", Counts{Counts: []int{3, 5}, Of: []float64{50, 50.5}}, ErrCount, "n[1]"},
		"no items":             {"p", Counts{Counts: []int{0, 5}, Of: []float64{0, 50}}, ErrCount, "n[0]"},
		"sizes missing":        {"p", Counts{Counts: []int{3, 5}}, ErrSizesDiffer, "n"},
		"sizes that differ":    {"np", Counts{Counts: []int{3, 5}, Of: []float64{50, 60}}, ErrSizesDiffer, "n[1]"},
		"sizes of one unit":    {"c", Counts{Counts: []int{3, 5}, Of: []float64{1, 1}}, ErrSizesDiffer, "units"},
		"a unit that is none":  {"u", Counts{Counts: []int{3, 5}, Of: []float64{1, math.NaN()}}, ErrCount, "units[1]"},
		"an endless unit":      {"u", Counts{Counts: []int{3, 5}, Of: []float64{1, math.Inf(1)}}, ErrCount, "units[1]"},
		"a negative unit":      {"u", Counts{Counts: []int{3, 5}, Of: []float64{1, -2}}, ErrCount, "units[1]"},
		"a count beyond sense": {"u", Counts{Counts: []int{3, 1 << 40}, Of: []float64{1, 2}}, ErrCount, "counts[1]"},
	} {
		_, err := Plot(test.kind, test.in)
		var named *stats.ArgumentError
		if !errors.Is(err, test.err) || !errors.As(err, &named) || named.Argument != test.field {
			t.Errorf("%s: %v; want %v of %s", name, err, test.err, test.field)
		}
	}
}

// Limits frozen on samples of a thousand, judged on ten and on two: three sigmas
// would call 4 of 10 a signal, which comes about once in 78 such samples
// (P(X >= 4) = 0.0128 for 10 and 0.1, by the binomial formula), and 2 on 2 units
// once in 57 (1 - exp(-0.2) 1.2 = 0.0175, Poisson).
func TestSmallCountsAreJudgedExactlyByLimitsOfLargeOnes(t *testing.T) {
	for _, test := range []struct {
		kind, estimator string
		size            float64
		inside, outside int
		of              float64
	}{
		{"p", BinomialTails, 1000, 4, 6, 10},
		{"u", PoissonTails, 1000, 2, 3, 2},
	} {
		baseline := Counts{}
		for i := range 60 {
			baseline.Counts, baseline.Of = append(baseline.Counts, 95+i%11), append(baseline.Of, test.size)
		}
		definition, err := ChartOf(test.kind)
		if err != nil {
			t.Fatal(err)
		}
		limits, err := definition.Freeze(baseline)
		if err != nil || limits.Exact {
			t.Fatalf("%s: exact %v on a thousand, %v", test.kind, limits.Exact, err)
		}
		for count, signals := range map[int]int{test.inside: 0, test.outside: 1} {
			c, err := definition.Judge(limits, Counts{Counts: []int{count}, Of: []float64{test.of}})
			if err != nil {
				t.Fatal(err)
			}
			if len(c.Panels[0].Signals) != signals || c.SigmaEstimator != test.estimator || !c.Facts.SmallCounts {
				t.Errorf("%s: %d of %v gives %d signals by %s, small %v; want %d by %s", test.kind, count, test.of, len(c.Panels[0].Signals), c.SigmaEstimator,
					c.Facts.SmallCounts, signals, test.estimator)
			}
		}
	}
}
