package spc

import (
	"math"
	"math/rand/v2"
	"testing"
)

// normals returns n normal values with standard deviation 1 about a mean.
func normals(seed uint64, n int, mean float64) []float64 {
	random := rand.New(rand.NewPCG(2026, seed))
	z := make([]float64, n)
	for i := range z {
		z[i] = mean + random.NormFloat64()
	}
	return z
}

// firstByRules returns how many points a series runs until one of the rules is
// met. It looks through the series afresh each time it has grown, as a person
// would, and shares nothing with the Markov chain but the table of rules.
func firstByRules(t *testing.T, rules []string, draw func() float64) int {
	t.Helper()
	var z []float64
	for grow := 64; ; grow = len(z) {
		for range grow {
			z = append(z, draw())
		}
		matches, err := Look(rules, z)
		if err != nil {
			t.Fatal(err)
		}
		first := math.MaxInt
		for _, m := range matches {
			first = min(first, m.Last)
		}
		if len(matches) > 0 {
			return first + 1
		}
	}
}

// firstByEWMA and firstByCUSUM follow the charts by their definitions.
func firstByEWMA(lambda, limit float64, draw func() float64) int {
	smoothed := 0.0
	for n := 1; ; n++ {
		smoothed = lambda*draw() + (1-lambda)*smoothed
		if math.Abs(smoothed) > limit*math.Sqrt(lambda/(2-lambda)) {
			return n
		}
	}
}

func firstByCUSUM(slack, interval, start float64, draw func() float64) int {
	high, low := start, start
	for n := 1; ; n++ {
		x := draw()
		high, low = max(0, high+x-slack), max(0, low-x-slack)
		if high > interval || low > interval {
			return n
		}
	}
}

// Run lengths and chances of a signal against simulation with fixed seeds, within
// three standard errors of the simulation.
func TestRunLengthsBySimulation(t *testing.T) {
	const runs = 4000
	byRules := func(rules ...string) func(func() float64) int {
		return func(draw func() float64) int { return firstByRules(t, rules, draw) }
	}
	for _, test := range []struct {
		name   string
		design Design
		first  func(draw func() float64) int
		shift  float64
		within int
	}{
		{"a point beyond a limit", RuleDesign{Rules: []string{BeyondLimit}}, byRules(BeyondLimit), 0, 250},
		{"four rules in control", RuleDesign{Rules: FourRules()}, byRules(FourRules()...), 0, 60},
		{"four rules shifted", RuleDesign{Rules: FourRules()}, byRules(FourRules()...), 0.8, 10},
		{"eight rules in control", RuleDesign{Rules: EightRules()}, byRules(EightRules()...), 0, 50},
		{"eight rules shifted down", RuleDesign{Rules: EightRules()}, byRules(EightRules()...), -0.7, 10},
		{"a trend alone", RuleDesign{Rules: []string{SixTrending}}, byRules(SixTrending), 0, 300},
		{"a trend and a limit, shifted", RuleDesign{Rules: []string{SixTrending, BeyondLimit}}, byRules(SixTrending, BeyondLimit), 1, 40},
		{"alternation and within", RuleDesign{Rules: []string{FourteenAlternating, FifteenWithinOne}}, byRules(FourteenAlternating, FifteenWithinOne), 0, 300},
		{"outside and one side", RuleDesign{Rules: []string{EightOutsideOne, NineOneSide}}, byRules(EightOutsideOne, NineOneSide), 0.3, 150},
		{"smoothed mean in control", EWMADesign{0.2, 2.5}, func(draw func() float64) int { return firstByEWMA(0.2, 2.5, draw) }, 0, 100},
		{"smoothed mean shifted", EWMADesign{0.1, 2.7}, func(draw func() float64) int { return firstByEWMA(0.1, 2.7, draw) }, 0.5, 30},
		{"cumulative sum in control", CUSUMDesign{Slack: 0.5, Interval: 4}, func(draw func() float64) int { return firstByCUSUM(0.5, 4, 0, draw) }, 0, 100},
		{"cumulative sum with head start", CUSUMDesign{Slack: 0.5, Interval: 4, HeadStart: 2}, func(draw func() float64) int { return firstByCUSUM(0.5, 4, 2, draw) }, 0, 20},
		{"cumulative sum with the largest head start", CUSUMDesign{Slack: 0.25, Interval: 3, HeadStart: 1.75}, func(draw func() float64) int { return firstByCUSUM(0.25, 3, 1.75, draw) }, 0.3, 8},
	} {
		t.Run(test.name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(26, 11))
			draw := func() float64 { return test.shift + random.NormFloat64() }
			var sum, squares, early float64
			for range runs {
				n := float64(test.first(draw))
				sum += n
				squares += n * n
				if n <= float64(test.within) {
					early++
				}
			}
			mean := sum / runs
			means, err := test.design.RunLengths(test.shift)
			if err != nil {
				t.Fatal(err)
			}
			if se := math.Sqrt((squares/runs - mean*mean) / runs); math.Abs(mean-means[0]) > 3*se {
				t.Errorf("mean run length %.3f; simulated %.3f with standard error %.3f", means[0], mean, se)
			}
			chance, err := test.design.Within(test.shift, test.within)
			if err != nil {
				t.Fatal(err)
			}
			share := early / runs
			if se := math.Sqrt(share * (1 - share) / runs); math.Abs(share-chance) > 3*se {
				t.Errorf("a signal among %d points with chance %.4f; simulated %.4f with standard error %.4f", test.within, chance, share, se)
			}
		})
	}
}
