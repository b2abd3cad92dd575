package stats

import (
	"fmt"
	"maps"
	"math"
	"slices"
)

// Block is what was measured together, a day as a rule: its values resemble each
// other for reasons of their own, so they move as one. Group says under which
// condition the whole block was made; equal numbers are one group.
type Block struct {
	Group  int
	Values []float64
}

// BlockTest compares groups of blocks.
type BlockTest struct {
	// Means of each group in the order of their numbers; every block counts once,
	// by the mean of its values.
	Means []float64
	// P is the chance of group means as far apart if the groups were given to the
	// blocks by lot.
	P float64
	// Exact: P counts every arrangement. Otherwise so many were drawn.
	Exact        bool
	Arrangements int
}

const (
	// LeastArrangements and MostArrangements bound how many are drawn, mostMoves
	// their product with what is put in order.
	LeastArrangements = 100
	MostArrangements  = 1_000_000
	mostMoves         = 100_000_000
)

// CompareBlocks tests whether the groups of at least two blocks each differ, by
// exchanging whole blocks between them: no shape is assumed, and values of a day
// that resemble each other do not count as so many witnesses (Good, Permutation,
// Parametric and Bootstrap Tests of Hypotheses, 2005). The statistic is the sum
// of squares between the groups of block means.
//
// Where two groups allow no more arrangements than asked for all of them are
// counted. Otherwise that many are drawn from the seed and P is
// (1 + as large)/(1 + drawn), which is never 0 (Phipson and Smyth, Statistical
// Applications in Genetics and Molecular Biology 9, 2010).
func CompareBlocks(blocks []Block, arrangements int, seed uint64) (BlockTest, error) {
	if arrangements < LeastArrangements || arrangements > MostArrangements {
		return BlockTest{}, outside("arrangements", arrangements, "must be from 100 to 1000000")
	}
	if len(blocks)*arrangements > mostMoves {
		return BlockTest{}, outside("blocks", len(blocks), "blocks are too many for so many arrangements")
	}
	means, labels, sizes, err := blockMeans(blocks)
	if err != nil {
		return BlockTest{}, err
	}
	test := BlockTest{Means: groupMeans(means, labels, sizes)}
	// About their common mean, so that the sum over groups of S^2/n is that of
	// squares between them.
	centre, err := Mean(means)
	if err != nil {
		return BlockTest{}, about("blocks", err)
	}
	for i := range means {
		means[i] -= centre
	}
	if allEqual(means) {
		return BlockTest{}, about("blocks", fmt.Errorf("means of the blocks: %w", ErrNoSpread))
	}
	p := permuter{means: means, sizes: sizes, sums: make([]float64, len(sizes))}
	observed, err := finite("sum of squares", p.between(labels))
	if err != nil {
		return BlockTest{}, about("blocks", err)
	}
	// Arrangements that differ by rounding only are as large.
	p.least = observed * (1 - 1e-12)
	if len(sizes) == 2 && chooseAtMost(len(means), sizes[0], arrangements) {
		large, all := p.countAll()
		test.P, test.Exact, test.Arrangements = float64(large)/float64(all), true, all
		return test, nil
	}
	large := p.countDrawn(labels, arrangements, NewRandom(seed))
	test.P, test.Arrangements = float64(1+large)/float64(1+arrangements), arrangements
	return test, nil
}

// blockMeans returns the mean of each block, the group of each counted from 0,
// and the number of blocks in each group.
func blockMeans(blocks []Block) (means []float64, labels, sizes []int, err error) {
	place := map[int]int{}
	for _, b := range blocks {
		place[b.Group] = 0
	}
	if len(place) < 2 {
		return nil, nil, nil, about("blocks", fmt.Errorf("%d groups where 2 are needed: %w", len(place), ErrTooFew))
	}
	for i, group := range slices.Sorted(maps.Keys(place)) {
		place[group] = i
	}
	means, labels, sizes = make([]float64, len(blocks)), make([]int, len(blocks)), make([]int, len(place))
	for i, b := range blocks {
		if means[i], err = Mean(b.Values); err != nil {
			return nil, nil, nil, about(fmt.Sprintf("blocks[%d]", i), err)
		}
		labels[i] = place[b.Group]
		sizes[labels[i]]++
	}
	for group, i := range place {
		if sizes[i] < 2 {
			return nil, nil, nil, about("blocks", fmt.Errorf("group %d has one block where 2 are needed: %w", group, ErrTooFew))
		}
	}
	return means, labels, sizes, nil
}

func groupMeans(means []float64, labels, sizes []int) []float64 {
	gathered := make([]float64, len(sizes))
	for i, group := range labels {
		gathered[group] += means[i] / float64(sizes[group])
	}
	return gathered
}

// permuter counts arrangements whose statistic is at least least.
type permuter struct {
	means []float64
	sizes []int
	sums  []float64
	least float64
}

func (p *permuter) between(labels []int) float64 {
	clear(p.sums)
	for i, group := range labels {
		p.sums[group] += p.means[i]
	}
	var squares float64
	for group, s := range p.sums {
		squares += s * s / float64(p.sizes[group])
	}
	return squares
}

func (p *permuter) countDrawn(labels []int, times int, chance *Random) (large int) {
	order := slices.Clone(labels)
	for range times {
		Shuffle(chance, order)
		if p.between(order) >= p.least {
			large++
		}
	}
	return large
}

// countAll goes through every choice of blocks for the first of two groups, in
// the order of the alphabet.
func (p *permuter) countAll() (large, all int) {
	n, k := len(p.means), p.sizes[0]
	chosen := make([]int, k)
	labels := make([]int, n)
	for i := range labels {
		labels[i] = 1
	}
	for i := range chosen {
		chosen[i] = i
		labels[i] = 0
	}
	for {
		all++
		if p.between(labels) >= p.least {
			large++
		}
		at := k - 1
		for at >= 0 && chosen[at] == n-k+at {
			at--
		}
		if at < 0 {
			return large, all
		}
		for _, i := range chosen[at:] {
			labels[i] = 1
		}
		for i, next := at, chosen[at]+1; i < k; i, next = i+1, next+1 {
			chosen[i] = next
			labels[next] = 0
		}
	}
}

// chooseAtMost says whether there are no more than most ways to choose k of n.
func chooseAtMost(n, k, most int) bool {
	ways := 1.
	for i := range min(k, n-k) {
		ways *= float64(n-i) / float64(i+1)
		if math.Round(ways) > float64(most) {
			return false
		}
	}
	return true
}
