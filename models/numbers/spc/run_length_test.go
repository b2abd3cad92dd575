package spc

import (
	"errors"
	"math"
	"testing"

	"tracewright/testdata/cases"
)

// meanOfOne is the mean run length of a design for one shift.
func meanOfOne(t *testing.T, d Design, shift float64) float64 {
	t.Helper()
	means, err := d.RunLengths(shift)
	if err != nil {
		t.Fatalf("%+v with a shift of %v: %v", d, shift, err)
	}
	return means[0]
}

// Run lengths against the cases of kind run_length: Champ and Woodall 1987, Lucas
// and Saccucci 1990, Hawkins 1993 and the closed form of limits alone, computed
// apart from this code.
func TestRunLengthCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "run_length") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Chart   string
				K, H, L float64
				Lambda  float64
				Width   float64 `json:"limit_sigmas"`
				N       int
				Rules   []string
				Shifts  []float64
			}](t, c.Input)
			want := cases.Decode[struct{ ARL []float64 }](t, c.Expected).ARL
			var d Design = RuleDesign{Rules: in.Rules}
			switch in.Chart {
			case "ewma":
				d = EWMADesign{in.Lambda, in.L}
			case "cusum":
				d = CUSUMDesign{Slack: in.K, Interval: in.H}
			case "mean":
				d = RuleDesign{[]string{BeyondLimit}, in.Width, in.N}
			}
			got, err := d.RunLengths(in.Shifts...)
			if err != nil || len(got) != len(want) || len(want) == 0 {
				t.Fatalf("%v, %v; want %v", got, err, want)
			}
			for i := range want {
				if math.Abs(got[i]/want[i]-1) > c.Tolerance.Rel {
					t.Errorf("shift of %v: %.12g; want %.12g", in.Shifts[i], got[i], want[i])
				}
			}
		})
	}
}

// Two-sided sums with a short interval, for which the rule would have 26 nodes (h up
// to 0.909): the integral equation at 120 Gauss-Legendre nodes, solved with scipy 1.10
// and the nodes of its numpy, and 1/L = 1/L(high) + 1/L(low).
func TestRunLengthsOfShortIntervals(t *testing.T) {
	for _, test := range []struct{ slack, interval, shift, want float64 }{
		{0.5, 0.5, 0, 2.96279750309}, {0.5, 0.5, 1, 1.84412192342},
		{0.5, 0.8, 0, 4.33761912449}, {0.5, 0.8, 1, 2.26468325855},
		{1, 0.5, 0, 7.11627829191}, {1, 0.5, 1, 3.00708432168},
	} {
		got := meanOfOne(t, CUSUMDesign{Slack: test.slack, Interval: test.interval}, test.shift)
		if math.Abs(got/test.want-1) > 1e-9 {
			t.Errorf("slack %v, interval %v, shift %v: %.12g; want %.12g", test.slack, test.interval, test.shift, got, test.want)
		}
	}
}

// Fast initial response, both sums begun at half the interval, slack 0.5: Lucas
// and Crosier, Technometrics 24, 1982, table of two-sided run lengths (from
// memory).
func TestHeadStartTable(t *testing.T) {
	for _, test := range []struct {
		interval, shift, want, rounding float64
	}{
		{4, 0, 149, 0.5}, {4, 0.5, 20.1, 0.05}, {4, 1, 5.29, 0.005}, {4, 2, 2.01, 0.005},
		{5, 0, 430, 0.5}, {5, 0.5, 28.7, 0.05}, {5, 1, 6.35, 0.005}, {5, 2, 2.36, 0.005},
	} {
		got := meanOfOne(t, CUSUMDesign{0.5, test.interval, test.interval / 2}, test.shift)
		if math.Abs(got-test.want) > test.rounding {
			t.Errorf("interval %v, shift %v: %.4f; printed %v", test.interval, test.shift, got, test.want)
		}
	}
}

// Runs on one side are runs of heads: the first run of n heads or n tails of a
// fair coin ends after 2^n - 1 throws in the mean (Feller, An Introduction to
// Probability Theory, volume 1, chapter XIII).
func TestRunsOnOneSideAreRunsOfHeads(t *testing.T) {
	for rule, want := range map[string]float64{NineOneSide: 1<<9 - 1, EightOneSide: 1<<8 - 1} {
		if got := meanOfOne(t, RuleDesign{Rules: []string{rule}}, 0); math.Abs(got/want-1) > 1e-11 {
			t.Errorf("%s: %.12g; want %v", rule, got, want)
		}
	}
	// A coin with heads of chance p: the first n heads in a row end after
	// (p^-n - 1)/(1-p) throws (the same chapter). Fifteen within one sigma.
	p := math.Erf(1 / math.Sqrt2)
	want := (math.Pow(p, -15) - 1) / (1 - p)
	if got := meanOfOne(t, RuleDesign{Rules: []string{FifteenWithinOne}}, 0); math.Abs(got/want-1) > 1e-11 {
		t.Errorf("fifteen within: %.12g; want %.12g", got, want)
	}
	p = 1 - p
	want = (math.Pow(p, -8) - 1) / (1 - p)
	if got := meanOfOne(t, RuleDesign{Rules: []string{EightOutsideOne}}, 0); math.Abs(got/want-1) > 1e-11 {
		t.Errorf("eight outside: %.12g; want %.12g", got, want)
	}
}

// Trends and alternations of independent points are those of permutations,
// whatever the shift: two of 6! put six points in order; of the permutations of
// fourteen, twice the zigzag number E(14) = 199360981 alternate (André 1879; On-Line
// Encyclopedia of Integer Sequences, A000111).
func TestMovesArePermutations(t *testing.T) {
	factorial := func(n int) float64 { f, _ := math.Lgamma(float64(n + 1)); return math.Exp(f) }
	for _, shift := range []float64{0, 0.4, -2} {
		for _, test := range []struct {
			name  string
			rules []string
			n     int
			want  float64
		}{
			{"five points are no trend", []string{SixTrending}, 5, 0},
			{"six points", []string{SixTrending}, 6, 2 / factorial(6)},
			{"seven points", []string{SixTrending}, 7, trendShare(7)},
			{"eight points", []string{SixTrending}, 8, trendShare(8)},
			{"thirteen points are no alternation", []string{FourteenAlternating}, 13, 0},
			{"fourteen points", []string{FourteenAlternating}, 14, 2 * 199360981 / factorial(14)},
		} {
			got, err := RuleDesign{Rules: test.rules}.Within(shift, test.n)
			if err != nil || math.Abs(got-test.want) > 1e-12 {
				t.Errorf("%s, shift %v: %.15g, %v; want %.15g", test.name, shift, got, err, test.want)
			}
		}
		// Zone lines that no point ever crosses change nothing.
		alone := meanOfOne(t, RuleDesign{Rules: []string{SixTrending}}, shift)
		with := meanOfOne(t, RuleDesign{Rules: []string{SixTrending, TwoOfThreeBeyondTwo}, Width: 8}, 0)
		if shift == 0 && math.Abs(with/alone-1) > 1e-4 {
			t.Errorf("a trend alone %v, beside a rule that is hardly ever met %v", alone, with)
		}
	}
}

// trendShare counts the permutations of n in which six neighbours rise or fall.
func trendShare(n int) float64 {
	trend := RunRule{Name: SixTrending, Need: 6, Of: 6, Pattern: PatternTrend}
	order := make([]float64, 0, n)
	used := make([]bool, n)
	var with, all float64
	var place func()
	place = func() {
		if len(order) == n {
			all++
			if len(trend.look(order)) > 0 {
				with++
			}
			return
		}
		for x := range n {
			if used[x] {
				continue
			}
			used[x] = true
			order = append(order, float64(x))
			place()
			order = order[:len(order)-1]
			used[x] = false
		}
	}
	place()
	return with / all
}

// A lambda of 1 smooths nothing: the chart is one of limits alone.
func TestEWMAOfOneIsLimits(t *testing.T) {
	for _, shift := range []float64{0, 0.7, -2} {
		got := meanOfOne(t, EWMADesign{1, 2.8}, shift)
		want := meanOfOne(t, RuleDesign{Rules: []string{BeyondLimit}, Width: 2.8}, shift)
		if math.Abs(got/want-1) > 1e-10 {
			t.Errorf("shift %v: %.12g; limits alone %.12g", shift, got, want)
		}
	}
}

// Mean and distribution come by different ways: the mean by elimination, the
// chances point by point. With no signal before a point n the chance of that,
// summed over n, is the mean.
func TestMeanIsTheSumOfItsTail(t *testing.T) {
	for _, test := range []struct {
		d     Design
		shift float64
	}{
		{CUSUMDesign{0.5, 4, 2}, 0.5}, {CUSUMDesign{0.5, 4, 0}, -1}, {CUSUMDesign{0.25, 3, 1.5}, 0}, {EWMADesign{0.2, 2.5}, 1},
		{EWMADesign{0.05, 1.5}, -0.3}, {RuleDesign{Rules: FourRules()}, 1}, {RuleDesign{Rules: []string{SixTrending, BeyondLimit}}, 2},
	} {
		sum := 1.0
		for n := 1; n < 2000; n++ {
			chance, err := test.d.Within(test.shift, n)
			if err != nil {
				t.Fatal(err)
			}
			sum += 1 - chance
			if 1-chance < 1e-10 {
				break
			}
		}
		if want := meanOfOne(t, test.d, test.shift); math.Abs(sum/want-1) > 1e-7 {
			t.Errorf("%+v, shift %v: chances sum to %.10g; mean %.10g", test.d, test.shift, sum, want)
		}
	}
}

// The longest sums that are allowed settle slowest: the two followed together, with
// the share that signals taken to stay from some point on, run as long as the
// formula of both says, to six digits.
func TestLongestSumsTogether(t *testing.T) {
	for _, d := range []CUSUMDesign{{0, largestInterval, 0}, {0, largestInterval, largestInterval / 2}, {0.05, 30, 10}} {
		high, low, err := d.chains(0)
		if err != nil {
			t.Fatal(err)
		}
		got, err := meanOf(both(high, low))
		if want := meanOfOne(t, d, 0); err != nil || math.Abs(got/want-1) > 1e-6 {
			t.Errorf("%+v: %.12g, %v; want %.12g", d, got, err, want)
		}
	}
}

// A process shifted up is one shifted down in a mirror, and a larger shift is
// found sooner.
func TestRunLengthsOfShifts(t *testing.T) {
	for _, d := range []Design{RuleDesign{Rules: FourRules()}, RuleDesign{Rules: EightRules()}, EWMADesign{0.1, 2.7}, CUSUMDesign{0.5, 4, 1}} {
		last := math.Inf(1)
		for _, shift := range []float64{0, 0.3, 1, 3, 10, MaxShift} {
			up, down := meanOfOne(t, d, shift), meanOfOne(t, d, -shift)
			if math.Abs(up/down-1) > 1e-9 || up > last*(1+1e-12) || up < 1-1e-12 {
				t.Errorf("%+v, shift %v: %v up, %v down, %v before", d, shift, up, down, last)
			}
			last = up
		}
	}
}

func TestDesignsRefuse(t *testing.T) {
	nan := math.NaN()
	for _, test := range []struct {
		name  string
		d     Design
		shift float64
		n     int
		want  error
	}{
		{"no rules", RuleDesign{}, 0, 1, ErrNoRules},
		{"unknown rule", RuleDesign{Rules: []string{"full_moon"}}, 0, 1, ErrRule},
		{"width of nothing", RuleDesign{Rules: FourRules(), Width: nan}, 0, 1, ErrDesign},
		{"width below 0", RuleDesign{Rules: FourRules(), Width: -3}, 0, 1, ErrDesign},
		{"size below 0", RuleDesign{Rules: FourRules(), Size: -1}, 0, 1, ErrDesign},
		{"lambda 0", EWMADesign{0, 3}, 0, 1, ErrDesign},
		{"lambda above 1", EWMADesign{1.1, 3}, 0, 1, ErrDesign},
		{"limit is no number", EWMADesign{0.1, nan}, 0, 1, ErrDesign},
		{"slack below 0", CUSUMDesign{-0.1, 4, 0}, 0, 1, ErrDesign},
		{"interval 0", CUSUMDesign{0.5, 0, 0}, 0, 1, ErrDesign},
		{"interval out of bounds", CUSUMDesign{0.5, 1e9, 0}, 0, 1, ErrDesign},
		{"head start at the interval", CUSUMDesign{0.5, 4, 4}, 0, 1, ErrDesign},
		{"shift is no number", RuleDesign{Rules: FourRules()}, nan, 1, ErrShift},
		{"shift out of bounds", EWMADesign{0.1, 3}, 51, 1, ErrShift},
		{"infinite shift", CUSUMDesign{0.5, 4, 0}, math.Inf(-1), 1, ErrShift},
	} {
		t.Run(test.name, func(t *testing.T) {
			if got, err := test.d.RunLengths(test.shift); !errors.Is(err, test.want) {
				t.Errorf("run length %v, %v; want %v", got, err, test.want)
			}
			if got, err := test.d.Within(test.shift, test.n); !errors.Is(err, test.want) {
				t.Errorf("chance %v, %v; want %v", got, err, test.want)
			}
		})
	}
	for _, n := range []int{0, -1, MaxPoints + 1} {
		for _, d := range []Design{RuleDesign{Rules: FourRules()}, EWMADesign{0.1, 3}, CUSUMDesign{0.5, 4, 0}} {
			if got, err := d.Within(0, n); !errors.Is(err, ErrPoints) {
				t.Errorf("%d points: %v, %v", n, got, err)
			}
		}
	}
	for _, d := range []Design{RuleDesign{Rules: []string{BeyondLimit}, Width: 8}, CUSUMDesign{1, 40, 0},
		RuleDesign{Rules: []string{FifteenWithinOne}, Width: 0.25}} {
		if got, err := d.RunLengths(0); !errors.Is(err, ErrNeverSignals) {
			t.Errorf("%+v: %v, %v", d, got, err)
		}
	}
}

func BenchmarkRunLengthOfFourRules(b *testing.B) {
	for b.Loop() {
		if _, err := (RuleDesign{Rules: FourRules()}).RunLengths(0); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRunLengthOfEightRules(b *testing.B) {
	for b.Loop() {
		if _, err := (RuleDesign{Rules: EightRules()}).RunLengths(0); err != nil {
			b.Fatal(err)
		}
	}
}
