package wheel

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A side of four worked by hand: mean 1000, squares 0 + 10000 + 22500 + 2500 =
// 35000, sd sqrt(35000/3), steps round the side 100, 250, 200, 50.
func TestSideByHand(t *testing.T) {
	s, err := SideStatistics([]int{1, 3, 5, 7}, []float64{1000, 1100, 850, 1050}, 8)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", s.Mean, 1000, 0)
	near(t, "sd", s.SD, math.Sqrt(35000.0/3), 1e-9)
	near(t, "spread %", s.CVPct, math.Sqrt(35000.0/3)/10, 1e-9)
	near(t, "min", s.Min, 850, 0)
	near(t, "max", s.Max, 1100, 0)
	near(t, "min over max", s.MinMaxRatio, 850.0/1100, 1e-15)
	near(t, "largest deviation %", s.MaxDevPct, 15, 1e-12)
	near(t, "largest step", s.MaxAdjacent, 250, 0)
	near(t, "largest step %", s.MaxAdjacentPct, 25, 1e-12)
	if s.N != 4 || !s.HasAdjacent || s.MaxDevSpoke != 5 || s.LowestSpoke != 5 || s.AdjacentAt != 3 {
		t.Errorf("got %+v", s)
	}
}

func TestNeighboursAreCyclic(t *testing.T) {
	// The largest step is from the last spoke of the side to its first.
	s, err := SideStatistics([]int{0, 2, 4, 6}, []float64{900, 950, 1000, 1050}, 8)
	if err != nil {
		t.Fatal(err)
	}
	if s.MaxAdjacent != 150 || s.AdjacentAt != 6 {
		t.Errorf("step %g at %d, want 150 at 6", s.MaxAdjacent, s.AdjacentAt)
	}
}

func TestASampleHasNoNeighbours(t *testing.T) {
	s, err := SideStatistics([]int{0, 12, 24}, []float64{1000, 1030, 970}, 36)
	if err != nil {
		t.Fatal(err)
	}
	if s.HasAdjacent || s.MaxAdjacent != 0 || s.MaxAdjacentPct != 0 {
		t.Errorf("a sample of three got neighbours: %+v", s)
	}
	near(t, "mean", s.Mean, 1000, 0)
	near(t, "largest deviation %", s.MaxDevPct, 3, 1e-12)
	near(t, "sd", s.SD, 30, 1e-12)
}

func TestSideRefuses(t *testing.T) {
	for _, row := range []struct {
		name    string
		spokes  []int
		tension []float64
		wheel   int
		want    error
	}{
		{"one spoke", []int{0}, []float64{1000}, 36, ErrTooFewSpokes},
		{"no spoke", nil, nil, 36, ErrTooFewSpokes},
		{"lists of two lengths", []int{0, 2}, []float64{1000}, 36, ErrInput},
		{"both sides mixed", []int{0, 1}, []float64{1000, 1000}, 36, ErrInput},
		{"spoke twice", []int{4, 4}, []float64{1000, 1000}, 36, ErrInput},
		{"spoke not on the wheel", []int{0, 36}, []float64{1000, 1000}, 36, ErrInput},
		{"negative index", []int{0, -2}, []float64{1000, 1000}, 36, ErrInput},
		{"odd wheel", []int{0, 2}, []float64{1000, 1000}, 35, ErrInput},
		{"negative tension", []int{0, 2}, []float64{1000, -1}, 36, ErrInput},
		{"not a number", []int{0, 2}, []float64{1000, math.NaN()}, 36, ErrInput},
		{"all slack", []int{0, 2}, []float64{0, 0}, 36, ErrInput},
	} {
		t.Run(row.name, func(t *testing.T) {
			if _, err := SideStatistics(row.spokes, row.tension, row.wheel); !errors.Is(err, row.want) {
				t.Errorf("got %v, want %v", err, row.want)
			}
		})
	}
	if s, err := SideStatistics([]int{0, 2}, []float64{0, 900}, 36); err != nil || s.Min != 0 {
		t.Errorf("one slack spoke is a reading: %+v, %v", s, err)
	}
}

// drawSide draws a whole side of different tensions, in whole newtons.
func drawSide(t *rapid.T) (spokes []int, tension []float64) {
	n := rapid.IntRange(6, 24).Draw(t, "spokes of the side")
	newtons := rapid.SliceOfNDistinct(rapid.IntRange(300, 1500), n, n, rapid.ID).Draw(t, "newtons")
	for i, v := range newtons {
		spokes, tension = append(spokes, 2*i), append(tension, float64(v))
	}
	return spokes, tension
}

// The order of reading, the unit and the first spoke do not matter.
func TestSideProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spokes, tension := drawSide(t)
		n := len(spokes)
		wheel := 2 * n
		before, err := SideStatistics(spokes, tension, wheel)
		if err != nil {
			t.Fatal(err)
		}

		order := rapid.Permutation(spokes).Draw(t, "order of reading")
		mixed := make([]float64, n)
		for i, j := range order {
			mixed[i] = tension[j/2]
		}
		again, err := SideStatistics(order, mixed, wheel)
		if err != nil || again != before {
			t.Fatalf("read in another order: %+v, %v, want %+v", again, err, before)
		}

		const perKgf = 9.80665
		scaled := make([]float64, n)
		for i, v := range tension {
			scaled[i] = v / perKgf
		}
		inKgf, err := SideStatistics(spokes, scaled, wheel)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "mean", inKgf.Mean*perKgf, before.Mean, 1e-8)
		same(t, "sd", inKgf.SD*perKgf, before.SD, 1e-8)
		same(t, "spread", inKgf.CVPct, before.CVPct, 1e-9)
		same(t, "largest deviation", inKgf.MaxDevPct, before.MaxDevPct, 1e-9)
		same(t, "largest step", inKgf.MaxAdjacentPct, before.MaxAdjacentPct, 1e-9)

		by := rapid.IntRange(0, n-1).Draw(t, "spokes turned")
		turned := make([]float64, n)
		for i, v := range tension {
			turned[(i+by)%n] = v
		}
		after, err := SideStatistics(spokes, turned, wheel)
		if err != nil {
			t.Fatal(err)
		}
		same(t, "sd", after.SD, before.SD, 1e-9)
		same(t, "largest step", after.MaxAdjacent, before.MaxAdjacent, 0)
		if want := (before.LowestSpoke + 2*by) % wheel; after.LowestSpoke != want {
			t.Fatalf("slackest spoke %d, want %d", after.LowestSpoke, want)
		}
	})
}
