package pack

import "math/bits"

// table holds, for every set of blocks of a lot as bits, the least cost of
// cutting it into packs without a rest, and in how many ways that is done. Of a
// set that is to be cut, the first block must be in some pack: trying every pack
// that holds it, and what is known of the rest, gives the least and counts each
// choice once.
type table struct {
	m       *matcher
	lot     []int // blocks of the matcher, by bit
	allowed []bool
	join    func(before, cost int64) int64
	bar     int64 // packs, and sets, that cost more are of no use
	count   count
	least   []int64
	ways    []int64

	// By the number of packs, over all sets.
	byPacks     []int64
	waysByPacks []float64
}

// count says which ways of cutting a set are counted.
type count int

const (
	countNone count = iota // none: only the least cost is wanted
	countBest              // those that cost the least
	countAll               // all whose packs do not cost more than the bar
)

// newTable finds the packs that keep the rules.
func (m *matcher) newTable(lot []int) *table {
	size := 1 << len(lot)
	t := &table{m: m, lot: lot, allowed: make([]bool, size), least: make([]int64, size), ways: make([]int64, size)}
	for set := range uint32(size) {
		t.allowed[set] = bits.OnesCount32(set) == m.k && m.excess(m.shape(t.blocks(set))) == 0
	}
	return t
}

// blocks lists the blocks of a set.
func (t *table) blocks(set uint32) []int {
	list := members(set)
	for i, bit := range list {
		list[i] = t.lot[bit]
	}
	return list
}

// fill works out the table.
func (t *table) fill(join func(before, cost int64) int64, bar int64, counted count) {
	t.join, t.bar, t.count = join, bar, counted
	t.byPacks = make([]int64, len(t.lot)/t.m.k+1)
	t.waysByPacks = make([]float64, len(t.byPacks))
	for p := range t.byPacks {
		t.byPacks[p] = noWay
	}
	t.byPacks[0], t.waysByPacks[0] = 0, 1
	t.least[0], t.ways[0] = 0, 1
	for set := uint32(1); set < uint32(len(t.least)); set++ {
		t.least[set], t.ways[set] = noWay, 0
		size := bits.OnesCount32(set)
		if size%t.m.k != 0 {
			continue
		}
		firstBlock := set & -set
		i := t.lot[bits.TrailingZeros32(set)]
		t.try(set, set&^firstBlock, t.m.k-1, firstBlock, span{t.m.mv[i], t.m.mv[i], t.m.uohm[i], t.m.uohm[i]})
		p := size / t.m.k
		switch {
		case t.least[set] >= noWay:
		case t.count == countAll:
			t.byPacks[p] = min(t.byPacks[p], t.least[set])
			t.waysByPacks[p] += float64(t.ways[set])
		case t.least[set] < t.byPacks[p]:
			t.byPacks[p], t.waysByPacks[p] = t.least[set], float64(t.ways[set])
		case t.least[set] == t.byPacks[p]:
			t.waysByPacks[p] += float64(t.ways[set])
		}
	}
}

// span is how far the blocks taken so far reach.
type span struct{ lowMV, highMV, lowUohm, highUohm int64 }

// try adds need blocks out of from to a pack of the set, in every way that can
// still be of use: more blocks never make a pack cheaper.
func (t *table) try(set, from uint32, need int, taken uint32, s span) {
	cost := t.m.cost(shape{mv: s.highMV - s.lowMV, uohm: s.highUohm - s.lowUohm})
	switch {
	case cost > t.bar,
		t.count == countBest && cost > t.least[set],
		t.count == countNone && cost >= t.least[set]:
		return
	}
	if need == 0 {
		t.take(set, taken, cost)
		return
	}
	for bits.OnesCount32(from) >= need {
		i := t.lot[bits.TrailingZeros32(from)]
		block := from & -from
		from &^= block
		t.try(set, from, need-1, taken|block, span{
			min(s.lowMV, t.m.mv[i]), max(s.highMV, t.m.mv[i]),
			min(s.lowUohm, t.m.uohm[i]), max(s.highUohm, t.m.uohm[i]),
		})
	}
}

// take sets down what a pack and the best of the rest make of a set.
func (t *table) take(set, pack uint32, cost int64) {
	rest := set &^ pack
	if !t.allowed[pack] || t.least[rest] >= noWay {
		return
	}
	switch cost := t.join(t.least[rest], cost); {
	case t.count == countAll:
		t.least[set] = min(t.least[set], cost)
		t.ways[set] += t.ways[rest]
	case cost > t.bar:
	case cost < t.least[set]:
		t.least[set], t.ways[set] = cost, t.ways[rest]
	case cost == t.least[set]:
		t.ways[set] += t.ways[rest]
	}
}

// oldest gives the set of so many packs with the oldest blocks: among those of
// least cost, or among all that are below the bar.
func (t *table) oldest(packs int, any bool) uint32 {
	var best uint32
	for set := range uint32(len(t.least)) {
		fits := t.least[set] < noWay && (any || t.least[set] == t.byPacks[packs])
		if fits && bits.OnesCount32(set) == packs*t.m.k && (best == 0 || t.older(set, best)) {
			best = set
		}
	}
	return best
}

// older says whether a uses older blocks than b: at the first difference of
// their dates in order, or else of their blocks in order.
func (t *table) older(a, b uint32) bool {
	x, y := t.blocks(a), t.blocks(b)
	for i := range x {
		if t.m.age[x[i]] != t.m.age[y[i]] {
			return t.m.age[x[i]] < t.m.age[y[i]]
		}
	}
	for i := range x {
		if x[i] != y[i] {
			return x[i] < y[i]
		}
	}
	return false
}

// unfold gives the packs of a set, of equal ones the first in order.
func (t *table) unfold(set uint32) [][]int {
	var packs [][]int
	for set != 0 {
		firstBlock := set & -set
		var taken uint32
		packsOf(set&^firstBlock, t.m.k-1, firstBlock, func(pack uint32) bool {
			rest := t.least[set&^pack]
			if t.allowed[pack] && rest < noWay {
				cost := t.m.cost(t.m.shape(t.blocks(pack)))
				if cost <= t.bar && t.join(rest, cost) == t.least[set] {
					taken = pack
				}
			}
			return taken == 0
		})
		packs = append(packs, t.blocks(taken))
		set &^= taken
	}
	return packs
}

// packsOf calls visit with taken and every choice of need blocks out of from,
// in order, until it returns false.
func packsOf(from uint32, need int, taken uint32, visit func(pack uint32) bool) bool {
	if need == 0 {
		return visit(taken)
	}
	for bits.OnesCount32(from) >= need {
		block := from & -from
		from &^= block
		if !packsOf(from, need-1, taken|block, visit) {
			return false
		}
	}
	return true
}
