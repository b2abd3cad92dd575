package pack

import "slices"

// bound gives the lower bound on so many packs, whatever the rules.
func (m *matcher) bound(packs int, out *MatchResult) (int64, error) {
	mv, err := MatchLine(m.mv, m.k, packs)
	if err != nil {
		return 0, err
	}
	uohm, err := MatchLine(m.uohm, m.k, packs)
	if err != nil {
		return 0, err
	}
	if m.task.Least == LeastMax {
		out.BoundMV, out.BoundUohm = mv.MaxRange, uohm.MaxRange
		return max(m.cost(shape{mv: mv.MaxRange}), m.cost(shape{uohm: uohm.MaxRange})), nil
	}
	out.BoundMV, out.BoundUohm = mv.SumRange, uohm.SumRange
	return m.cost(shape{mv: mv.SumRange, uohm: uohm.SumRange}), nil
}

// lotBound gives a bound on so many packs that are of one lot each: in every lot
// the bound of both quantities together for each number of packs, and the
// cheapest way to share the packs among the lots. A lot that cannot give so many
// within a limit on one quantity gives none.
func (m *matcher) lotBound(packs int) int64 {
	shared := []int64{0}
	for _, lot := range m.lots {
		least := m.leastOfLot(lot, min(packs, len(lot)/m.k))
		now := make([]int64, min(packs, len(shared)+len(least)-2)+1)
		for p := range now {
			now[p] = noWay
		}
		for p, cost := range least {
			for q, before := range shared {
				if p+q < len(now) && cost < noWay && before < noWay {
					now[p+q] = min(now[p+q], m.join(before, cost))
				}
			}
		}
		shared = now
	}
	return shared[packs]
}

// leastOfLot bounds what no, one and up to packs packs of a lot cost.
func (m *matcher) leastOfLot(lot []int, packs int) []int64 {
	mv := m.leastOfOne(lot, m.mv, packs, m.task.Rules.MaxMV)
	uohm := m.leastOfOne(lot, m.uohm, packs, m.task.Rules.MaxUohm)
	least := make([]int64, packs+1)
	for p := range least {
		switch {
		case mv[p] >= noWay || uohm[p] >= noWay:
			least[p] = noWay
		case m.task.Least == LeastMax:
			least[p] = max(m.cost(shape{mv: mv[p]}), m.cost(shape{uohm: uohm[p]}))
		default:
			least[p] = m.cost(shape{mv: mv[p], uohm: uohm[p]})
		}
	}
	return least
}

// leastOfOne is the dynamic programme of MatchLine over one lot, with the limit
// on the quantity: new ranges are never larger than the larger old one, so runs
// are best with a limit too.
func (m *matcher) leastOfOne(lot []int, quantity []int64, packs int, limit *int64) []int64 {
	sorted := make([]int64, len(lot))
	for i, block := range lot {
		sorted[i] = quantity[block]
	}
	slices.Sort(sorted)
	join := func(before, run int64) int64 {
		if limit != nil && run > *limit {
			return noWay
		}
		return m.join(before, run)
	}
	return leastRuns(len(sorted), m.k, packs, func(end int) int64 { return sorted[end] - sorted[end-m.k+1] }, join)
}

// mostPacks bounds the number of packs from above: lot by lot, by each limit
// alone.
func (m *matcher) mostPacks() int {
	most := 0
	for _, lot := range m.lots {
		packs := len(lot) / m.k
		for _, by := range []struct {
			values []int64
			limit  *int64
		}{{m.mv, m.task.Rules.MaxMV}, {m.uohm, m.task.Rules.MaxUohm}, {m.day, m.task.Rules.MaxSpanDays}} {
			if by.limit == nil {
				continue
			}
			var values []int64
			for _, i := range lot {
				values = append(values, by.values[i])
			}
			packs = min(packs, mostRuns(values, m.k, *by.limit))
		}
		most += packs
	}
	return most
}
