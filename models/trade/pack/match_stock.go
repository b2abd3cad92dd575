package pack

import (
	"cmp"
	"fmt"
	"slices"
)

// matcher is a task made ready: the stock in an order of its own, oldest first,
// then by name, so that the order it came in changes nothing.
type matcher struct {
	task   MatchTask
	k      int
	blocks []Block
	mv     []int64
	uohm   []int64
	day    []int64
	age    []int   // rank of the date, equal dates have one rank, none comes last
	lots   [][]int // blocks that may be in one pack; one lot when any may
	lotOf  []int
}

// shape is how far the blocks of a pack lie apart.
type shape struct{ mv, uohm, days int64 }

func newMatcher(t MatchTask) (*matcher, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	m := &matcher{task: t, k: t.PackSize, blocks: slices.Clone(t.Blocks)}
	slices.SortFunc(m.blocks, func(a, b Block) int {
		return cmp.Or(byDate(a, b), cmp.Compare(a.ID, b.ID))
	})
	lotNumber := map[string]int{}
	for i, b := range m.blocks {
		m.mv, m.uohm = append(m.mv, b.MV), append(m.uohm, b.Uohm)
		m.day = append(m.day, int64(dayNumber(b.Made)))
		rank := 0
		if i > 0 {
			rank = m.age[i-1]
			if byDate(m.blocks[i-1], b) != 0 {
				rank++
			}
		}
		m.age = append(m.age, rank)
		name := ""
		if t.Rules.SameLot {
			name = b.Lot
		}
		lot, known := lotNumber[name]
		if !known {
			lot = len(m.lots)
			lotNumber[name] = lot
			m.lots = append(m.lots, nil)
		}
		m.lots[lot] = append(m.lots[lot], i)
		m.lotOf = append(m.lotOf, lot)
	}
	return m, nil
}

// byDate puts the older block first and one without a date last.
func byDate(a, b Block) int {
	switch {
	case a.Made.IsZero() && b.Made.IsZero():
		return 0
	case a.Made.IsZero():
		return 1
	case b.Made.IsZero():
		return -1
	}
	return cmp.Compare(dayNumber(a.Made), dayNumber(b.Made))
}

// shape measures a pack.
func (m *matcher) shape(members []int) shape {
	i := members[0]
	lowMV, highMV := m.mv[i], m.mv[i]
	lowUohm, highUohm := m.uohm[i], m.uohm[i]
	lowDay, highDay := m.day[i], m.day[i]
	for _, i := range members[1:] {
		lowMV, highMV = min(lowMV, m.mv[i]), max(highMV, m.mv[i])
		lowUohm, highUohm = min(lowUohm, m.uohm[i]), max(highUohm, m.uohm[i])
		lowDay, highDay = min(lowDay, m.day[i]), max(highDay, m.day[i])
	}
	return shape{highMV - lowMV, highUohm - lowUohm, highDay - lowDay}
}

// cost is that of a pack times both scales, which makes it an integer.
func (m *matcher) cost(s shape) int64 {
	return s.mv*m.task.ScaleUohm + s.uohm*m.task.ScaleMV
}

// float takes the scales out of a cost again.
func (m *matcher) float(cost int64) float64 {
	return float64(cost) / (float64(m.task.ScaleMV) * float64(m.task.ScaleUohm))
}

// join adds the cost of one more pack as the task wants it.
func (m *matcher) join(before, cost int64) int64 {
	if m.task.Least == LeastMax {
		return larger(before, cost)
	}
	return add(before, cost)
}

// excess says by how much a pack breaks the limits, each in parts of its own;
// 0 when it keeps them all.
func (m *matcher) excess(s shape) float64 {
	over := func(value int64, limit *int64) float64 {
		if limit == nil || value <= *limit {
			return 0
		}
		return float64(value-*limit) / float64(max(*limit, 1))
	}
	return over(s.mv, m.task.Rules.MaxMV) + over(s.uohm, m.task.Rules.MaxUohm) + over(s.days, m.task.Rules.MaxSpanDays)
}

// check refuses a task that cannot be worked on.
func (t MatchTask) check() error {
	if err := checkPackSize(t.PackSize); err != nil {
		return err
	}
	switch {
	case len(t.Blocks) == 0:
		return fieldf("blocks", "no blocks")
	case len(t.Blocks) > maxStock:
		return fieldf("blocks", "%d blocks, at most %d", len(t.Blocks), maxStock)
	case t.Packs < 0 || t.Packs > len(t.Blocks)/t.PackSize:
		return fieldf("packs", "%d packs of %d out of %d blocks", t.Packs, t.PackSize, len(t.Blocks))
	case t.Least != LeastSum && t.Least != LeastMax:
		return fieldf("agg", "%.40q is neither sum nor max", t.Least)
	case t.ScaleMV < 1 || t.ScaleMV > maxMatchMV:
		return fieldf("scale_mV", "must lie between 1 and %d", maxMatchMV)
	case t.ScaleUohm < 1 || t.ScaleUohm > maxMatchScale:
		return fieldf("scale_uohm", "must lie between 1 and %d", maxMatchScale)
	}
	for _, limit := range []struct {
		field string
		value *int64
	}{
		{"constraints.max_range_mV", t.Rules.MaxMV}, {"constraints.max_range_uohm", t.Rules.MaxUohm},
		{"constraints.max_age_span_days", t.Rules.MaxSpanDays},
	} {
		if limit.value != nil && *limit.value < 0 {
			return fieldf(limit.field, "cannot be negative")
		}
	}
	return t.checkBlocks()
}

// checkBlocks refuses a block without what the task needs, or named twice.
func (t MatchTask) checkBlocks() error {
	seen := map[string]bool{}
	for i, b := range t.Blocks {
		at := fmt.Sprintf("blocks[%d].", i)
		switch {
		case b.ID == "":
			return fieldf(at+"id", "is missing")
		case seen[b.ID]:
			return fieldf(at+"id", "%.60q is given twice", b.ID)
		case b.MV < 1 || b.MV > maxMatchMV:
			return fieldf(at+"ocv_mV", "must lie between 1 and %d: a reversed or dead block is never matched", maxMatchMV)
		case b.Uohm < 1 || b.Uohm > maxMatchValue:
			return fieldf(at+"ir_uohm", "must lie between 1 and %d", maxMatchValue)
		case t.Rules.SameLot && b.Lot == "":
			return fieldf(at+"lot", "is missing, and packs are to be of one lot")
		case t.Rules.MaxSpanDays != nil && b.Made.IsZero():
			return fieldf(at+"made", "is missing, and the dates in a pack are limited")
		}
		seen[b.ID] = true
	}
	return nil
}

// checkPackSize refuses a pack of one block, which needs no match, and one larger
// than any.
func checkPackSize(packSize int) error {
	if packSize < minPackSize || packSize > maxPackSize {
		return fieldf("pack_size", "must lie between %d and %d, not %d", minPackSize, maxPackSize, packSize)
	}
	return nil
}
