package genealogy

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// Over random graphs with loops, the closure is what Warshall's algorithm
// (J. ACM 9, 1962) reaches, both ways.
func TestClosureOfRandomGraphs(t *testing.T) {
	for seed := range uint64(1000) {
		r := rand.New(rand.NewPCG(seed, 4))
		n := 2 + r.IntN(14)
		name := func(i int) string { return fmt.Sprintf("n%02d", i) }
		var uses []Use
		reach := make([][]bool, n)
		for i := range reach {
			reach[i] = make([]bool, n)
		}
		for range r.IntN(2*n + 1) {
			from, to := r.IntN(n), r.IntN(n)
			uses = append(uses, Use{Input: name(from), Output: name(to), Quantity: 1})
			reach[from][to] = true
		}
		for k := range n {
			for i := range n {
				for j := range n {
					reach[i][j] = reach[i][j] || reach[i][k] && reach[k][j]
				}
			}
		}
		g := NewGraph(uses)
		for i := range n {
			var forward, back []string
			loops := false
			for j := range n {
				if reach[i][j] {
					forward = append(forward, name(j))
				}
				if reach[j][i] {
					back = append(back, name(j))
				}
				loops = loops || reach[j][j] && (i == j || reach[i][j])
			}
			got := g.Outputs(name(i))
			if !slices.Equal(got.Reached, forward) {
				t.Fatalf("graph %d, outputs of %s: %v, want %v", seed, name(i), got.Reached, forward)
			}
			if (len(got.Loops) > 0) != loops {
				t.Fatalf("graph %d, from %s: loops %v, want some: %v", seed, name(i), got.Loops, loops)
			}
			for _, loop := range got.Loops {
				for k, key := range loop {
					if next := loop[(k+1)%len(loop)]; !slices.Contains(uses, Use{Input: key, Output: next, Quantity: 1}) {
						t.Fatalf("graph %d: loop %v has no use from %s to %s", seed, loop, key, next)
					}
				}
			}
			if got := g.Sources(name(i)).Reached; !slices.Equal(got, back) {
				t.Fatalf("graph %d, sources of %s: %v, want %v", seed, name(i), got, back)
			}
		}
	}
}

// A chain of 200 000 uses is walked without a deep stack.
func TestClosureOfALongChain(t *testing.T) {
	const n = 200_000
	uses := make([]Use, n)
	for i := range uses {
		uses[i] = Use{Input: fmt.Sprint("n", i), Output: fmt.Sprint("n", i+1)}
	}
	if got := len(NewGraph(uses).Outputs("n0").Reached); got != n {
		t.Errorf("%d reached, want %d", got, n)
	}
}

func at(hour int) time.Time { return time.Date(2026, 9, 1, hour, 0, 0, 0, time.UTC) }

func TestContents(t *testing.T) {
	moves := []Move{
		{"wheel 2", "kit", true, at(12)}, // Entered before what it replaces.
		{"wheel 1", "kit", true, at(8)}, {"pack", "kit", true, at(9)}, {"wheel 1", "kit", false, at(11)},
		{"kit", "pallet", true, at(13)}, {"wheel 1", "kit 2", true, at(14)},
		{"wheel 2", "kit 2", false, at(15)}, // Was never in it: changes nothing.
	}
	for _, c := range []struct {
		parent string
		hour   int
		want   []string
	}{
		{"kit", 7, nil}, {"kit", 8, []string{"wheel 1"}}, {"kit", 10, []string{"pack", "wheel 1"}}, {"kit", 11, []string{"pack"}},
		{"kit", 20, []string{"pack", "wheel 2"}}, {"pallet", 20, []string{"kit", "pack", "wheel 2"}}, {"kit 2", 20, []string{"wheel 1"}}, {"nothing", 20, nil},
	} {
		if got := Contents(moves, c.parent, at(c.hour)); !slices.Equal(got, c.want) {
			t.Errorf("%s at %d h holds %v, want %v", c.parent, c.hour, got, c.want)
		}
	}
	for child, want := range map[string]string{"wheel 1": "kit 2", "wheel 2": "kit", "kit": "pallet", "pallet": ""} {
		if got := Holder(moves, child); got != want {
			t.Errorf("%s lies in %q, want %q", child, got, want)
		}
	}
}

// A container within itself is a wrong record and ends all the same.
func TestContentsOfALoop(t *testing.T) {
	got := Contents([]Move{{"a", "b", true, at(8)}, {"b", "a", true, at(9)}}, "a", at(10))
	if !slices.Equal(got, []string{"a", "b"}) {
		t.Errorf("holds %v", got)
	}
}
