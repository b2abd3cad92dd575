package spc

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// someSeries draws series whose points lie on zone lines and on one another more
// often than real ones do.
func someSeries(r *rapid.T) []float64 {
	z := make([]float64, rapid.IntRange(0, 60).Draw(r, "n"))
	for i := range z {
		z[i] = float64(rapid.IntRange(-7, 7).Draw(r, "half sigmas")) / 2
	}
	return z
}

func lookAll(r *rapid.T, z []float64) []Match {
	var names []string
	for _, rule := range RunRules() {
		names = append(names, rule.Name)
	}
	matches, err := Look(names, z)
	if err != nil {
		r.Fatal(err)
	}
	return matches
}

// A series upside down has the same patterns on the other side.
func TestLookUpsideDown(t *testing.T) {
	other := map[Side]Side{SideHigh: SideLow, SideLow: SideHigh, SideEither: SideEither}
	rapid.Check(t, func(r *rapid.T) {
		z := someSeries(r)
		turned := make([]float64, len(z))
		for i := range z {
			turned[i] = -z[i]
		}
		want := lookAll(r, z)
		for i := range want {
			want[i].Side = other[want[i].Side]
		}
		if got := lookAll(r, turned); !sameMatches(got, want) {
			r.Fatalf("%v upside down: %v; want %v", z, got, want)
		}
	})
}

func sameMatches(a, b []Match) bool { return len(a) == 0 && len(b) == 0 || reflect.DeepEqual(a, b) }

// What was met stays met when points are added behind, and nothing is added
// before them.
func TestLookOfLongerSeries(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		z := someSeries(r)
		cut := rapid.IntRange(0, len(z)).Draw(r, "cut")
		before := slices.DeleteFunc(lookAll(r, z), func(m Match) bool { return m.Last >= cut })
		if got := lookAll(r, z[:cut]); !sameMatches(got, before) {
			r.Fatalf("first %d of %v: %v; of all of them %v", cut, z, got, before)
		}
	})
}

// What is met in a series is met at the same points when others stand before it.
func TestLookBehindOtherPoints(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		z := someSeries(r)
		cut := rapid.IntRange(0, len(z)).Draw(r, "cut")
		all := lookAll(r, z)
		for _, m := range lookAll(r, z[cut:]) {
			if !slices.ContainsFunc(all, func(a Match) bool {
				return a.Rule == m.Rule && a.Last == m.Last+cut && a.Side == m.Side && a.Newest == m.Newest && a.First <= m.First+cut
			}) {
				r.Fatalf("%+v is met behind point %d of %v, and not in all of it", m, cut, z)
			}
		}
	})
}

// The definitions word by word, looked up afresh at each point.
func TestLookByDefinition(t *testing.T) {
	beyond := func(side, line float64) func(float64) bool { return func(x float64) bool { return side*x > line } }
	count := func(window []float64, of func(float64) bool) (n int) {
		for _, x := range window {
			if of(x) {
				n++
			}
		}
		return n
	}
	moves := func(window []float64, turn float64) bool {
		for i := 1; i < len(window); i++ {
			way := window[i] - window[i-1]
			if way == 0 || i > 1 && (way > 0) != (turn*(window[i-1]-window[i-2]) > 0) {
				return false
			}
		}
		return true
	}
	definitions := map[string]func(last func(n int) []float64) bool{
		BeyondLimit: func(last func(int) []float64) bool { return math.Abs(last(1)[0]) > 3 },
		TwoOfThreeBeyondTwo: func(last func(int) []float64) bool {
			return count(last(3), beyond(1, 2)) >= 2 || count(last(3), beyond(-1, 2)) >= 2
		},
		FourOfFiveBeyondOne: func(last func(int) []float64) bool {
			return count(last(5), beyond(1, 1)) >= 4 || count(last(5), beyond(-1, 1)) >= 4
		},
		EightOneSide: func(last func(int) []float64) bool {
			return count(last(8), beyond(1, 0)) == 8 || count(last(8), beyond(-1, 0)) == 8
		},
		NineOneSide: func(last func(int) []float64) bool {
			return count(last(9), beyond(1, 0)) == 9 || count(last(9), beyond(-1, 0)) == 9
		},
		SixTrending:         func(last func(int) []float64) bool { return len(last(6)) == 6 && moves(last(6), 1) },
		FourteenAlternating: func(last func(int) []float64) bool { return len(last(14)) == 14 && moves(last(14), -1) },
		FifteenWithinOne: func(last func(int) []float64) bool {
			return count(last(15), func(x float64) bool { return math.Abs(x) < 1 }) == 15
		},
		EightOutsideOne: func(last func(int) []float64) bool {
			return count(last(8), func(x float64) bool { return math.Abs(x) > 1 }) == 8
		},
	}
	rapid.Check(t, func(r *rapid.T) {
		z := someSeries(r)
		got := map[string][]int{}
		for _, m := range lookAll(r, z) {
			got[m.Rule] = append(got[m.Rule], m.Last)
		}
		for rule, met := range definitions {
			var want []int
			for i := range z {
				if met(func(n int) []float64 { return z[max(0, i-n+1) : i+1] }) {
					want = append(want, i)
				}
			}
			if !slices.Equal(got[rule], want) {
				r.Fatalf("%s in %v: met at %v; want %v", rule, z, got[rule], want)
			}
		}
	})
}

// On a chart with frozen limits a signal stays where it was found, and only its
// end may move on.
func TestSignalsOfLongerSeries(t *testing.T) {
	var names []string
	for _, rule := range RunRules() {
		names = append(names, rule.Name)
	}
	signals := func(r *rapid.T, z []float64) []Signal {
		chart, err := Chart{Panels: []Panel{strip(PanelValues, z, 0).between(-3, 3)}}.WithRules(names)
		if err != nil {
			r.Fatal(err)
		}
		return chart.Panels[0].Signals
	}
	rapid.Check(t, func(r *rapid.T) {
		z := someSeries(r)
		cut := rapid.IntRange(0, len(z)).Draw(r, "cut")
		all := signals(r, z)
		for _, s := range signals(r, z[:cut]) {
			if s.First > s.Index || s.Index > s.Last || s.Last >= cut {
				r.Fatalf("%+v of the first %d of %v", s, cut, z)
			}
			if !slices.ContainsFunc(all, func(a Signal) bool {
				return a.Rule == s.Rule && a.Index == s.Index && a.First == s.First && a.Side == s.Side && a.Last >= s.Last
			}) {
				r.Fatalf("%+v of the first %d of %v is none of all: %+v", s, cut, z, all)
			}
		}
	})
}
