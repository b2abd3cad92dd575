package pack

import (
	"fmt"
	"math/bits"
)

// maxExactWork bounds the packs looked at in covering every choice, so that it
// takes about a second: one stock of twenty blocks is within it whatever the
// size of its packs, and so are many lots of fifteen.
const maxExactWork = 80_000_000

// maxExactSets bounds the sets of blocks in all tables, for memory.
const maxExactSets = 1 << 22

// coverable says whether every choice can be covered: each lot by itself, since
// no pack holds blocks of two.
func (m *matcher) coverable() bool {
	work, sets := 0, 0
	for _, lot := range m.lots {
		n := len(lot)
		if n < m.k {
			continue
		}
		if n > exactStock {
			return false
		}
		sets += 1 << n
		for size := m.k; size <= n; size += m.k {
			work += binomial(n, size) * binomial(size-1, m.k-1)
		}
	}
	return work <= maxExactWork && sets <= maxExactSets
}

// binomial is the number of ways to take k of n; n is at most exactStock.
func binomial(n, k int) int {
	ways := 1
	for i := range k {
		ways = ways * (n - i) / (i + 1)
	}
	return ways
}

// exact covers every choice: a table for each lot, and the best way to share the
// packs among the lots. Source: dynamic programme over subsets and over lots,
// textbook.
func (m *matcher) exact(most int) (choice, error) {
	var tables []*table
	for _, lot := range m.lots {
		if len(lot) < m.k {
			lot = nil // no pack, no table
		}
		tables = append(tables, m.newTable(lot))
	}
	bar := m.bar(most)
	worst := m.task.Least == LeastMax
	counted := countBest
	if worst {
		counted = countNone // that comes below
	}
	for _, t := range tables {
		t.fill(m.join, bar, counted)
	}
	shares := m.share(tables, m.join)
	packs := m.task.Packs
	if packs == 0 {
		packs = shares.most()
	}
	least := shares.least(packs)
	switch {
	case packs == 0:
		return choice{exact: true, count: 1}, nil
	case least >= noWay:
		return choice{}, fmt.Errorf("%w: %d packs of %d do not keep to the rules", ErrNoMatch, packs, m.k)
	}
	if worst {
		// Every choice whose packs all cost at most that is as good. Of those
		// with the oldest blocks the least sum is taken.
		for _, t := range tables {
			t.fill(add, least, countAll)
		}
		shares = m.share(tables, add)
	}
	out := choice{exact: true, count: shares.count(packs)}
	for at, p := range shares.split(packs) {
		out.packs = append(out.packs, tables[at].unfold(tables[at].oldest(p, worst))...)
	}
	return out, nil
}

// bar gives the cost of a good choice with as many packs as there will be, so
// that what costs more need not be looked at; noWay when none is known. Where the
// most are asked for, that is known when the bound on their number is reached.
func (m *matcher) bar(most int) int64 {
	packs := m.task.Packs
	if packs == 0 {
		packs = most
	}
	if packs == 0 {
		return noWay
	}
	l := m.anneal(m.start(packs), packs, barEffort, 0, m.aim())
	m.polish(l, packs, barEffort)
	if s := m.score(l, packs); s.broken == 0 {
		return s.cost
	}
	return noWay
}

// barEffort is that of the search before every choice is covered.
const barEffort = 200_000

// shares holds what the first lots can do together: by the number of packs the
// least cost and in how many ways.
type shares struct {
	m      *matcher
	join   func(before, cost int64) int64
	tables []*table
	costs  [][]int64
	ways   [][]float64
}

// share works out how packs are best shared among the lots.
func (m *matcher) share(tables []*table, join func(before, cost int64) int64) shares {
	s := shares{m: m, join: join, tables: tables, costs: [][]int64{{0}}, ways: [][]float64{{1}}}
	for at, t := range tables {
		before, beforeWays := s.costs[at], s.ways[at]
		costs := make([]int64, len(before)+len(t.byPacks)-1)
		ways := make([]float64, len(costs))
		for p := range costs {
			costs[p] = noWay
		}
		for p, cost := range t.byPacks {
			for q := range before {
				if cost >= noWay || before[q] >= noWay {
					continue
				}
				switch both := join(before[q], cost); {
				case t.count == countAll:
					costs[p+q] = min(costs[p+q], both)
					ways[p+q] += t.waysByPacks[p] * beforeWays[q]
				case both < costs[p+q]:
					costs[p+q], ways[p+q] = both, t.waysByPacks[p]*beforeWays[q]
				case both == costs[p+q]:
					ways[p+q] += t.waysByPacks[p] * beforeWays[q]
				}
			}
		}
		s.costs, s.ways = append(s.costs, costs), append(s.ways, ways)
	}
	return s
}

// most is the largest number of packs that keep the rules.
func (s shares) most() int {
	last := s.costs[len(s.costs)-1]
	packs := 0
	for p, cost := range last {
		if cost < noWay {
			packs = p
		}
	}
	return packs
}

func (s shares) least(packs int) int64 {
	if last := s.costs[len(s.costs)-1]; packs < len(last) {
		return last[packs]
	}
	return noWay
}

// count gives the ways, 0 when they are too many to count exactly.
func (s shares) count(packs int) int64 {
	if ways := s.ways[len(s.ways)-1][packs]; ways < 1<<53 {
		return int64(ways)
	}
	return 0
}

// split gives the packs of each lot, of equal splits more to the older lots.
func (s shares) split(packs int) []int {
	split := make([]int, len(s.tables))
	for at := len(s.tables) - 1; at >= 0; at-- {
		before, t := s.costs[at], s.tables[at]
		for p, cost := range t.byPacks {
			rest := packs - p
			if rest < 0 || rest >= len(before) || cost >= noWay || before[rest] >= noWay {
				continue
			}
			if s.join(before[rest], cost) == s.costs[at+1][packs] {
				split[at], packs = p, rest
				break
			}
		}
	}
	return split
}

// members lists the blocks of a set.
func members(set uint32) []int {
	list := make([]int, 0, bits.OnesCount32(set))
	for ; set != 0; set &= set - 1 {
		list = append(list, bits.TrailingZeros32(set))
	}
	return list
}
