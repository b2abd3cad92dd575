package spc

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"

	"tracewright/models/numbers/stats"
	"tracewright/testdata/cases"
)

// The rules against the cases of kind run_rules: series by hand, a hit and a
// near miss for each rule of Western Electric, 1956, and Nelson, 1984, and three
// random series.
func TestLookCases(t *testing.T) {
	for _, c := range cases.OfKind(t, "run_rules") {
		t.Run(c.ID, func(t *testing.T) {
			in := cases.Decode[struct {
				Z     []float64
				Rules []string
			}](t, c.Input)
			want := cases.Decode[struct {
				Signals map[string]struct {
					All    []int
					Newest []int `json:"all_newest_in_zone"`
				}
			}](t, c.Expected)
			matches, err := Look(in.Rules, in.Z)
			if err != nil {
				t.Fatal(err)
			}
			if len(want.Signals) != len(in.Rules) {
				t.Fatalf("%d rules expected of %d", len(want.Signals), len(in.Rules))
			}
			for rule, expected := range want.Signals {
				all, newest := []int{}, []int{}
				for _, m := range matches {
					if m.Rule != rule {
						continue
					}
					all = append(all, m.Last)
					if m.Newest {
						newest = append(newest, m.Last)
					}
				}
				if !slices.Equal(all, expected.All) || !slices.Equal(newest, expected.Newest) {
					t.Errorf("%s in %v: met at %v, newest in zone %v; want %v, %v", rule, in.Z, all, newest, expected.All, expected.Newest)
				}
			}
		})
	}
}

// Which points make the pattern, and on which side: read off the definitions.
func TestLookTellsWhichPoints(t *testing.T) {
	rising := []float64{0.5, -1.2, -0.8, -0.3, 0.1, 0.4, 0.9, 0.2}
	zigzag := alternating(14, 0.3, -0.2)
	for _, test := range []struct {
		name, rule string
		z          []float64
		want       []Match
	}{
		{"beyond a limit", BeyondLimit, []float64{0, -3.1}, []Match{{BeyondLimit, 1, 1, SideLow, true}}},
		{"on a limit is inside", BeyondLimit, []float64{3, -3}, nil},
		{"two of three with one between", TwoOfThreeBeyondTwo, []float64{0.1, 2.1, 0.3, 2.4}, []Match{{TwoOfThreeBeyondTwo, 1, 3, SideHigh, true}}},
		{"two of three, still met one point on", TwoOfThreeBeyondTwo, []float64{-2.2, -2.6, 0.4},
			[]Match{{TwoOfThreeBeyondTwo, 0, 1, SideLow, true}, {TwoOfThreeBeyondTwo, 0, 2, SideLow, false}}},
		{"four of five", FourOfFiveBeyondOne, []float64{1.2, 1.4, 0.5, 1.1, 1.6}, []Match{{FourOfFiveBeyondOne, 0, 4, SideHigh, true}}},
		{"nine below", NineOneSide, alternating(9, -0.1, -0.9), []Match{{NineOneSide, 0, 8, SideLow, true}}},
		{"a trend upward", SixTrending, rising, []Match{{SixTrending, 1, 6, SideHigh, true}}},
		{"alternation has no side", FourteenAlternating, zigzag, []Match{{FourteenAlternating, 0, 13, SideEither, true}}},
		{"within one sigma has no side", FifteenWithinOne, alternating(15, 0.9, -0.9), []Match{{FifteenWithinOne, 0, 14, SideEither, true}}},
		{"outside one sigma has no side", EightOutsideOne, alternating(8, 1.1, -1.1), []Match{{EightOutsideOne, 0, 7, SideEither, true}}},
		{"no points", EightOneSide, nil, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			got, err := Look([]string{test.rule}, test.z)
			if err != nil || !reflect.DeepEqual(got, test.want) {
				t.Errorf("%s in %v: %+v, %v; want %+v", test.rule, test.z, got, err, test.want)
			}
		})
	}
}

func TestLookRefuses(t *testing.T) {
	for _, test := range []struct {
		name  string
		rules []string
		z     []float64
		want  error
	}{
		{"no rule", nil, []float64{1}, ErrNoRules},
		{"an unknown rule", []string{BeyondLimit, "full_moon"}, []float64{1}, ErrRule},
		{"a rule twice", []string{BeyondLimit, NineOneSide, BeyondLimit}, []float64{1}, ErrRuleTwice},
		{"not a number", FourRules(), []float64{1, math.NaN()}, stats.ErrNotFinite},
		{"infinite", FourRules(), []float64{math.Inf(-1)}, stats.ErrNotFinite},
	} {
		if got, err := Look(test.rules, test.z); !errors.Is(err, test.want) {
			t.Errorf("%s: %v, %v; want %v", test.name, got, err, test.want)
		}
	}
}

// The table holds each rule once, and the two sets only rules of the table.
func TestRuleTable(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range RunRules() {
		if seen[r.Name] || r.Need < 1 || r.Of < r.Need || r.Of > 16 {
			t.Errorf("rule %+v", r)
		}
		seen[r.Name] = true
	}
	if len(seen) > 9 {
		t.Errorf("%d rules do not fit the memory of a chain", len(seen))
	}
	for _, set := range [][]string{FourRules(), EightRules()} {
		if rules, err := rulesNamed(set); err != nil || len(rules) != len(set) {
			t.Errorf("%v: %v", set, err)
		}
	}
}

// One pass a rule: ten times the points take about ten times as long.
func BenchmarkLook(b *testing.B) {
	for _, size := range []struct {
		name string
		n    int
	}{{"100000 points", 100_000}, {"1000000 points", 1_000_000}} {
		z := normals(1, size.n, 0)
		b.Run(size.name, func(b *testing.B) {
			for b.Loop() {
				if _, err := Look(EightRules(), z); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(size.n), "ns/point")
		})
	}
}
