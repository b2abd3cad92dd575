package pack

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// ErrNoMatch says that no choice of packs keeps to the rules, or that none was
// found.
var ErrNoMatch = errors.New("no such packs")

// What a match makes least.
const (
	LeastSum = "sum" // the sum of the packs' costs
	LeastMax = "max" // the cost of the worst pack
)

// Sizes that a match takes.
const (
	minPackSize   = 2
	maxPackSize   = 40
	maxStock      = 500
	exactStock    = 20            // up to here every choice is looked at
	maxMatchValue = 100_000_000   // micro-ohm: 100 ohm
	maxMatchMV    = 1_000_000     // 1000 V
	maxMatchScale = maxMatchValue // so that sums of costs fit an int64
)

// Block is one measured block of the stock: voltage and resistance at 25
// degrees, of one method, both past the gate and taken in one session or the
// last days.
type Block struct {
	ID   string
	MV   int64     // open-circuit voltage, mV
	Uohm int64     // resistance, micro-ohm
	Lot  string    // needed for SameLot
	Made time.Time // needed for MaxSpanDays; without it a block counts as the newest
}

// MatchRules are what every pack must keep; nil means no limit, and a value
// equal to its limit passes.
type MatchRules struct {
	SameLot     bool
	MaxMV       *int64 // largest range of voltage in a pack
	MaxUohm     *int64 // largest range of resistance in a pack
	MaxSpanDays *int64 // between the first and the last made in a pack
}

// MatchTask asks for packs out of a stock of one model.
type MatchTask struct {
	Blocks    []Block
	PackSize  int
	Packs     int    // 0: as many as can be made
	Least     string // LeastSum or LeastMax
	ScaleMV   int64  // voltage range that costs 1
	ScaleUohm int64  // resistance range that costs 1
	Rules     MatchRules
}

// MatchedPack is one pack of the choice.
type MatchedPack struct {
	Blocks    []string // in order of their names
	RangeMV   int64
	RangeUohm int64
	Cost      float64
}

// MatchResult is a choice, with what can be said of how good it is.
type MatchResult struct {
	Packs     []MatchedPack
	Left      []string
	Cost      float64 // sum or largest of the packs' costs
	Exact     bool    // no choice is better, and none makes more packs if the most were asked for
	BestCount int64   // how many choices cost the same; 0 when not known
	MostPacks int     // no choice can make more packs than this

	LowerBound         float64 // no choice of as many packs costs less, whatever the rules
	LotBound           float64 // the same for packs of one lot each, never lower; equal without SameLot and limits
	BoundMV, BoundUohm int64   // least sum (or largest) of the ranges by one quantity alone
}

// Match chooses disjoint packs from a stock. A pack P costs
//
//	c(P) = range_mV(P)/ScaleMV + range_uohm(P)/ScaleUohm
//
// and the choice has, in this order, the number of packs asked for (or the
// most), the least sum (or the least worst) of c, and the newest blocks left
// over: of the two choices' dates in order, the first that differs is the
// older. A weight on one quantity is a smaller scale. All is compared in
// integers, so equal is equal.
//
// Up to 20 blocks (with SameLot in each of a number of lots) every choice is
// covered and Exact is true. Above, the choice is the best of several starts and
// a seeded search, Exact is false unless it meets its bound, and Gap is the
// largest relative distance there can be from the least cost. The order of the stock changes nothing; the same stock gives the same choice.
//
// The bound adds up what each quantity alone would cost (MatchLine), or takes
// the larger for LeastMax; rules only raise the true least, so it holds with
// them. Source: range cost common practice, no source; bound and dynamic
// programme textbook. Three and more blocks a pack with two quantities have no
// fast exact method in general (from memory).
//
// Matching cures no bad block: stock is screened before, and limits are not
// widened to use it up.
func Match(t MatchTask) (MatchResult, error) {
	m, err := newMatcher(t)
	if err != nil {
		return MatchResult{}, err
	}
	most := m.mostPacks()
	if t.Packs > most {
		return MatchResult{}, fmt.Errorf("%w: at most %d packs of %d keep to the rules", ErrNoMatch, most, t.PackSize)
	}
	var found choice
	if m.coverable() {
		found, err = m.exact(most)
	} else {
		found, err = m.search(most)
	}
	if err != nil {
		return MatchResult{}, err
	}
	return m.result(found, most)
}

// choice is a set of packs, members by their place in matcher.blocks.
type choice struct {
	packs [][]int
	exact bool
	count int64
}

// result measures a choice and sets the bound beside it.
func (m *matcher) result(found choice, most int) (MatchResult, error) {
	out := MatchResult{Packs: []MatchedPack{}, Left: []string{}, Exact: found.exact, BestCount: found.count, MostPacks: most}
	if found.exact && m.task.Packs == 0 {
		out.MostPacks = len(found.packs)
	}
	used := make([]bool, len(m.blocks))
	var cost int64
	for _, members := range found.packs {
		var names []string
		for _, i := range members {
			used[i] = true
			names = append(names, m.blocks[i].ID)
		}
		slices.Sort(names)
		s := m.shape(members)
		c := m.cost(s)
		cost = m.join(cost, c)
		out.Packs = append(out.Packs, MatchedPack{Blocks: names, RangeMV: s.mv, RangeUohm: s.uohm, Cost: m.float(c)})
	}
	slices.SortFunc(out.Packs, func(a, b MatchedPack) int { return strings.Compare(a.Blocks[0], b.Blocks[0]) })
	for i, b := range m.blocks {
		if !used[i] {
			out.Left = append(out.Left, b.ID)
		}
	}
	slices.Sort(out.Left)
	out.Cost = m.float(cost)
	if len(found.packs) == 0 {
		return out, nil
	}
	bound, err := m.bound(len(found.packs), &out)
	if err != nil {
		return MatchResult{}, err
	}
	byLot := max(bound, m.lotBound(len(found.packs)))
	out.LowerBound, out.LotBound = m.float(bound), m.float(byLot)
	if cost == byLot && (m.task.Packs > 0 || len(found.packs) == most) {
		out.Exact = true
	}
	return out, nil
}

// Gap says by how much, relatively, the cost may at most lie above the least
// there is: cost over the higher bound less 1. Without a cost it is 0; above a
// bound of 0 it is not known. An exact choice has a gap too: the bound is low.
func (r MatchResult) Gap() (gap float64, known bool) {
	switch {
	case r.Cost == 0:
		return 0, true
	case r.LotBound == 0:
		return 0, false
	}
	return r.Cost/r.LotBound - 1, true
}
