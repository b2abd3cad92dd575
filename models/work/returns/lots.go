package returns

import (
	"context"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/life"
)

// mostExplained bounds how many lots are taken out one after the other.
const mostExplained = 5

// lots compares each lot with all others of the family. Lots share items, so that a
// bad one makes those look bad that were built in beside it: the one that stands out
// most is taken out with its items, and the others are looked at again without them.
// What is left without the lots found comes back too.
func (s *Service) lots(ctx context.Context, r records, whole life.Curve, today, lag int) (list []Lot, rest *group, compared int, err error) {
	ids := slices.Sorted(maps.Keys(r.byLot))
	known, err := s.store.LotsByID(ctx, ids)
	if err != nil {
		return nil, nil, 0, fmt.Errorf("lots: %w", err)
	}
	for _, id := range ids {
		if comparable(r.byLot[id], r.all, today, lag) {
			compared++
		}
	}
	for _, l := range known {
		if r.byLot[l.ID].count == 0 {
			continue
		}
		e, err := excess(r.byLot[l.ID], r.all, whole, compared, today, lag)
		if err != nil {
			return nil, nil, 0, fmt.Errorf("lot %s: %w", l.Code, err)
		}
		list = append(list, Lot{Lot: l, Excess: e})
	}
	if rest, err = s.explain(ctx, r, list, compared, today, lag); err != nil {
		return nil, nil, 0, err
	}
	slices.SortFunc(list, func(a, b Lot) int {
		switch {
		case a.More != b.More:
			return order(a.More)
		case a.P != b.P && a.P < b.P:
			return -1
		case a.P != b.P:
			return 1
		}
		return strings.Compare(a.Lot.Code, b.Lot.Code)
	})
	return list, rest, compared, nil
}

func order(first bool) int {
	if first {
		return -1
	}
	return 1
}

func (s *Service) explain(ctx context.Context, r records, list []Lot, compared, today, lag int) (*group, error) {
	all, byLot := r.all, maps.Clone(r.byLot)
	open := map[int]bool{} // More at first sight, and not yet explained.
	for i := range list {
		open[i] = list[i].More
	}
	for range mostExplained {
		worst := -1
		curve, err := curveOf(all.lives(today, lag), 0)
		if err != nil {
			return nil, fmt.Errorf("curve without the lots found: %w", err)
		}
		least := 1.0
		for i := range list {
			if !open[i] {
				continue
			}
			e, err := excess(byLot[list[i].Lot.ID], all, curve, compared, today, lag)
			if err != nil {
				return nil, fmt.Errorf("lot %s: %w", list[i].Lot.Code, err)
			}
			if e.More && e.P < least {
				worst, least = i, e.P
			}
		}
		if worst < 0 {
			break
		}
		open[worst] = false
		if all, err = s.takeOut(ctx, r, all, byLot, list[worst].Lot); err != nil {
			return nil, err
		}
		// What stands out no more without it was explained by it.
		if all.count < FewUnits {
			break
		}
		if curve, err = curveOf(all.lives(today, lag), 0); err != nil {
			return nil, fmt.Errorf("curve without lot %s: %w", list[worst].Lot.Code, err)
		}
		for i := range list {
			if !open[i] {
				continue
			}
			e, err := excess(byLot[list[i].Lot.ID], all, curve, compared, today, lag)
			if err != nil {
				return nil, fmt.Errorf("lot %s: %w", list[i].Lot.Code, err)
			}
			if !e.More {
				open[i], list[i].More, list[i].Because = false, false, list[worst].Lot.Code
			}
		}
	}
	return all, nil
}

// takeOut leaves the items of a lot out of the family and of every other lot.
func (s *Service) takeOut(ctx context.Context, r records, all *group, byLot map[string]*group, lot models.Lot) (*group, error) {
	shared, err := s.store.SharedLots(ctx, r.family.ID, lot.ID, r.from, r.zone)
	if err != nil {
		return nil, fmt.Errorf("what holds lot %s and others: %w", lot.Code, err)
	}
	both := map[string]*group{}
	for _, d := range shared {
		if both[d.LotID] == nil {
			both[d.LotID] = newGroup()
		}
		both[d.LotID].add(dayNumber(d.Day), d.Units)
	}
	for _, item := range r.returned {
		if !slices.Contains(item.LotIDs, lot.ID) {
			continue
		}
		for _, id := range item.LotIDs {
			if g := both[id]; g != nil {
				g.back = append(g.back, failureOf(item, r.zone))
			}
		}
	}
	for id, g := range both {
		if byLot[id] != nil && id != lot.ID {
			byLot[id] = byLot[id].without(g)
		}
	}
	if g := both[lot.ID]; g != nil {
		all = all.without(g)
	}
	return all, nil
}
