package pack

import (
	"fmt"
	"math"
	"slices"
)

// noWay is the cost of what cannot be done; adding a cost to it does not
// overflow.
const noWay = math.MaxInt64 / 4

// LineMatch are the least ranges when blocks are told apart by one quantity.
type LineMatch struct {
	SumRange int64 // least sum of the packs' ranges
	MaxRange int64 // least largest range, found by itself
}

// MatchLine chooses packs of packSize blocks by one quantity, and gives the
// least possible sum of their ranges and the least possible largest range.
//
// For one quantity some best choice consists of runs of the sorted list: of two
// packs whose intervals overlap, the lower and the upper half of their blocks
// are no worse, neither in sum nor in the larger range, and a block left over
// inside a pack's interval replaces an end of it without loss. So with x sorted
//
//	F(j, p) = min(F(j-1, p), F(j-k, p-1) + x_j - x_(j-k+1))
//
// is exact, with the larger of the two in place of the sum for the largest
// range. Source: exchange argument and dynamic programme, textbook.
func MatchLine(values []int64, packSize, packs int) (LineMatch, error) {
	if err := checkPackSize(packSize); err != nil {
		return LineMatch{}, err
	}
	switch {
	case len(values) > maxStock:
		return LineMatch{}, fieldf("blocks", "%d blocks, at most %d", len(values), maxStock)
	case packs < 1 || packs > len(values)/packSize:
		return LineMatch{}, fieldf("packs", "%d packs of %d out of %d blocks", packs, packSize, len(values))
	}
	for i, x := range values {
		if x < -maxMatchValue || x > maxMatchValue {
			return LineMatch{}, fieldf(fmt.Sprintf("blocks[%d]", i), "%d lies outside what is measured", x)
		}
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	run := func(end int) int64 { return sorted[end] - sorted[end-packSize+1] }
	return LineMatch{
		SumRange: leastRuns(len(sorted), packSize, packs, run, add)[packs],
		MaxRange: leastRuns(len(sorted), packSize, packs, run, larger)[packs],
	}, nil
}

// leastRuns is the dynamic programme over n things in order: the least that no,
// one and up to packs runs of k cost together, where run gives the cost of the
// run that ends at a place and join adds it to what came before.
func leastRuns(n, k, packs int, run func(end int) int64, join func(before, run int64) int64) []int64 {
	before := make([]int64, n+1) // with one pack less, by how many things are decided
	least := []int64{0}
	for range packs {
		now := make([]int64, n+1)
		now[0] = noWay
		for j := 1; j <= n; j++ {
			now[j] = now[j-1]
			if j >= k && before[j-k] < noWay {
				now[j] = min(now[j], join(before[j-k], run(j-1)))
			}
		}
		before = now
		least = append(least, now[n])
	}
	return least
}

func add(before, cost int64) int64 { return before + cost }

func larger(before, cost int64) int64 { return max(before, cost) }

// mostRuns gives the largest number of disjoint groups of k values with a range
// of at most limit: from the lowest value on, every run that fits is taken.
func mostRuns(values []int64, k int, limit int64) int {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	packs := 0
	for i := 0; i+k <= len(sorted); {
		if sorted[i+k-1]-sorted[i] <= limit {
			packs++
			i += k
		} else {
			i++
		}
	}
	return packs
}
