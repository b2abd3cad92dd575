package stock

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// Picking is a pack as it is picked by hand: the blocks so far, and how far they
// lie apart.
type Picking struct {
	Blocks []Measured
	Size   int // blocks of a whole pack
	Group  Group
	Graded bool // two blocks and more
	// Against are blocks that were picked and are not offered.
	Against []Left
	// Nearest are those that may go in, the nearest to what is picked first: by
	// the cost that the pack would then have.
	Nearest []Measured
	Limits  pack.SpreadLimits
}

// Spread measures blocks that are being picked for a pack, and stores nothing.
// Blocks are named by key, serial or maker's number.
func (s *Service) Spread(ctx context.Context, ask Ask, named []string) (Picking, error) {
	t, err := s.prepare(ctx, ask)
	if err != nil {
		return Picking{}, err
	}
	t.content.Picked = true
	p := Picking{Size: t.size(), Limits: t.limits()}
	ids, err := s.picked(ctx, t, "picked", named, &p.Against)
	if err != nil {
		return Picking{}, err
	}
	byID := t.byID()
	for _, id := range ids {
		p.Blocks = append(p.Blocks, byID[id])
	}
	if p.Graded = len(ids) > 1; p.Graded {
		if p.Group, err = t.group(ids, byID); err != nil {
			return Picking{}, err
		}
	}
	p.Nearest = t.nearest(p.Blocks)
	return p, nil
}

// nearest orders what is offered and not picked by the cost of the pack with it;
// before the first it stands in the order of names.
func (t *task) nearest(picked []Measured) []Measured {
	r := t.content.Rules
	with := func(b Measured) float64 {
		mv, uohm := span{b.MV, b.MV}, span{b.Uohm, b.Uohm}
		for _, p := range picked {
			mv.take(1, p.MV)
			uohm.take(1, p.Uohm)
		}
		return float64(mv.high-mv.low)/float64(r.ScaleMV) + float64(uohm.high-uohm.low)/float64(r.ScaleUohm)
	}
	list := slices.DeleteFunc(slices.Clone(t.offered), func(b Measured) bool {
		return slices.ContainsFunc(picked, func(p Measured) bool { return p.Item == b.Item })
	})
	slices.SortFunc(list, func(a, b Measured) int {
		return cmp.Or(cmp.Compare(with(a), with(b)), strings.Compare(a.Name, b.Name))
	})
	return list
}

// Picks are packs as they were picked by hand.
type Picks struct {
	Packs  [][]string // each from minus to plus, string by string
	Reason string     // needed where the blocks of a pack lie apart beyond the limits
	// InPlace says that each block was scanned as it was laid into its place:
	// nothing is left to confirm.
	InPlace bool
}

// Pick stores packs that were picked by hand. Blocks that are not offered are
// refused; how far a pack's blocks lie apart is said, and is the person's
// decision, with a reason where it is beyond the limits.
func (s *Service) Pick(ctx context.Context, actor models.Actor, ask Ask, picks Picks) (View, error) {
	t, err := s.prepare(ctx, ask)
	if err != nil {
		return View{}, err
	}
	packs, reason := picks.Packs, models.Trimmed(picks.Reason)
	t.content.Picked, t.content.Rules.Asked = true, len(packs)
	invalid := &models.InvalidError{}
	if len(packs) == 0 {
		invalid.Add("packs", "missing")
	}
	invalid.Lines("reason", reason, longReason)
	byID, used := t.byID(), map[string]bool{}
	var against []Left
	for i, named := range packs {
		field := fmt.Sprintf("packs[%d]", i)
		if len(named) != t.size() {
			invalid.Add(field, "pack_size", "got", fmt.Sprint(len(named)), "want", fmt.Sprint(t.size()))
			continue
		}
		ids, err := s.picked(ctx, t, field, named, &against)
		if err != nil {
			return View{}, err
		}
		for k, id := range ids {
			if used[id] {
				invalid.Add(fmt.Sprintf("%s[%d]", field, k), "block_twice", "number", byID[id].Name)
			}
			used[id] = true
		}
		if len(ids) != t.size() || len(invalid.Problems) > 0 {
			continue
		}
		g, err := t.group(ids, byID)
		if err != nil {
			return View{}, err
		}
		g.Reason = ByHand
		if (g.ByVoltage == pack.GradeReject || g.ByResistance == pack.GradeReject) && reason == "" {
			invalid.Add("reason", "reason_needed")
		}
		t.content.Cost += g.Cost
		t.content.Packs = append(t.content.Packs, g)
	}
	if err := invalid.OrNil(); err != nil {
		return View{}, err
	}
	if len(against) > 0 {
		refused := &models.RefusedError{}
		for _, l := range against {
			refused.Reasons = append(refused.Reasons, models.NewRemark("block_not_offered", "number", l.Name))
			refused.Reasons = append(refused.Reasons, l.Reasons...)
		}
		return View{}, refused
	}
	t.content.Reason = reason
	for _, b := range t.offered {
		if !used[b.Item] {
			t.content.Left = append(t.content.Left, Left{Item: b.Item, Name: b.Name, Reasons: append([]models.Remark{models.NewRemark("left_not_picked")}, t.outOfTurn(b)...)})
		}
	}
	v, err := s.storeMatch(ctx, actor, t)
	if err != nil || !picks.InPlace {
		return v, err
	}
	for i, g := range v.Content.Packs {
		for k, id := range g.Blocks {
			if v, err = s.Confirm(ctx, actor, v.ID, id, Slot{i + 1, k + 1}, ""); err != nil {
				return View{}, fmt.Errorf("place what was picked: %w", err)
			}
		}
	}
	return v, nil
}

// picked finds the blocks named among those offered; the others come back with
// what is against them.
func (s *Service) picked(ctx context.Context, t *task, field string, named []string, against *[]Left) ([]string, error) {
	invalid := &models.InvalidError{}
	byID := t.byID()
	var ids []string
	for i, n := range named {
		at := fmt.Sprintf("%s[%d]", field, i)
		item, code, err := s.block(ctx, n, t.stock.Model.ID)
		switch {
		case err != nil:
			return nil, err
		case code != "":
			invalid.Add(at, code, "number", models.Shortened(n))
		case slices.Contains(ids, item.ID):
			invalid.Add(at, "block_twice", "number", numberOf(item))
		default:
			if _, ok := byID[item.ID]; ok {
				ids = append(ids, item.ID)
			} else {
				*against = append(*against, t.against(item))
			}
		}
	}
	return ids, invalid.OrNil()
}

// against is what keeps a block from being offered.
func (t *task) against(item models.Item) Left {
	for _, l := range t.content.NotOffered {
		if l.Item == item.ID {
			return l
		}
	}
	return Left{Item: item.ID, Name: numberOf(item), Reasons: []models.Remark{models.NewRemark("block_not_in_stock", "product", t.stock.Model.Name)}}
}
