package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// LeastForChange is the shortest series in which a change is looked for: in a
// shorter one no order of the values is unlikely enough to tell.
const LeastForChange = 10

// Change is the one place in a series where the level most likely changed.
type Change struct {
	// After is how many values lie before the change.
	After int
	// K is the largest |U_t|, where U_t counts over all pairs of one value up to t
	// and one behind it: +1 where the earlier one is larger, -1 where it is
	// smaller.
	K float64
	// P is the chance of as large a K in a series without a change, counted among
	// random orders of these values.
	P float64
	// Formula is Pettitt's 2 exp(-6 K^2/(n^3 + n^2)), at most 1, which needs no
	// drawing and is on the safe side, about twice P for 40 values.
	Formula float64
	// The levels on both sides.
	MeanBefore, MeanAfter, MedianBefore, MedianAfter float64
}

// ChangePoint looks for one change of level in at least [LeastForChange] values
// in the order they were taken, not all equal (Pettitt, Applied Statistics 28,
// 1979). It rests on ranks alone, so that neither a skewed shape nor a few wild
// values mislead it, with
//
//	U_t = 2 (rank 1 + ... + rank t) - t (n+1),
//
// ranks of equal values being their mean. P is (1 + as large)/(1 + drawn) of that
// many orders drawn from the seed, as in [CompareBlocks]. It takes values for
// independent: neighbours that resemble each other make it too small.
func ChangePoint(x []float64, orders int, seed uint64) (Change, error) {
	if orders < LeastArrangements || orders > MostArrangements {
		return Change{}, outside("orders", orders, "must be from 100 to 1000000")
	}
	if err := Check(x, LeastForChange); err != nil {
		return Change{}, about("x", err)
	}
	if allEqual(x) {
		return Change{}, about("x", fmt.Errorf("change of level: %w", ErrNoSpread))
	}
	if len(x)*orders > mostMoves {
		return Change{}, about("x", fmt.Errorf("%d values are too many for so many orders: %w", len(x), ErrOutOfRange))
	}
	n := float64(len(x))
	// Whole numbers, so that no order of adding matters.
	steps := ranks(x)
	for i, rank := range steps {
		steps[i] = 2*rank - (n + 1)
	}
	var c Change
	c.K, c.After = farthest(steps)
	c.Formula = min(2*math.Exp(-6*(c.K/n)*(c.K/n)/(n+1)), 1)
	large, chance := 0, NewRandom(seed)
	for range orders {
		Shuffle(chance, steps)
		if k, _ := farthest(steps); k >= c.K {
			large++
		}
	}
	c.P = float64(1+large) / float64(1+orders)
	for _, side := range []struct {
		values       []float64
		mean, median *float64
	}{{x[:c.After], &c.MeanBefore, &c.MedianBefore}, {x[c.After:], &c.MeanAfter, &c.MedianAfter}} {
		var err error
		if *side.mean, err = Mean(side.values); err != nil {
			return Change{}, about("x", err)
		}
		if *side.median, err = Median(side.values); err != nil {
			return Change{}, about("x", err)
		}
	}
	return c, nil
}

// farthest returns the largest distance from 0 that the running sum reaches
// before the last step, and after how many steps it is reached first.
func farthest(steps []float64) (most float64, after int) {
	sum := 0.
	for i, step := range steps[:len(steps)-1] {
		sum += step
		if away := math.Abs(sum); away > most {
			most, after = away, i+1
		}
	}
	return most, after
}

// ranks returns the place of each value by size, from 1; equal values share the
// mean of their places.
func ranks(x []float64) []float64 {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[a], x[b]) })
	ranks := make([]float64, len(x))
	for from := 0; from < len(order); {
		to := from + 1
		for to < len(order) && x[order[to]] == x[order[from]] {
			to++
		}
		for _, i := range order[from:to] {
			ranks[i] = float64(from+to+1) / 2
		}
		from = to
	}
	return ranks
}
