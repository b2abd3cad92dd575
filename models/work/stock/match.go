package stock

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// Propose chooses packs out of the measured stock and stores the proposal with
// its cost, the least there could be, and why each block is where it is. A
// *models.RefusedError says that no such packs can be made, and how many could.
func (s *Service) Propose(ctx context.Context, actor models.Actor, ask Ask) (View, error) {
	t, err := s.prepare(ctx, ask)
	if err != nil {
		return View{}, err
	}
	if len(t.offered) < t.size() {
		return View{}, refusal("too_few_offered", "got", fmt.Sprint(len(t.offered)), "want", fmt.Sprint(t.size()))
	}
	if t.ask.Count > len(t.offered)/t.size() {
		return View{}, refusal("too_few_offered", "got", fmt.Sprint(len(t.offered)), "want", fmt.Sprint(t.ask.Count*t.size()))
	}
	if err := t.solve(); err != nil {
		return View{}, err
	}
	return s.storeMatch(ctx, actor, t)
}

func refusal(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}

// solve chooses. The limit of resistance is a share of the offered blocks'
// middle; where a pack of the choice then breaks its own, whose middle is lower,
// it is chosen again with the limit of that pack, and in the end with the share of
// the lowest block, which no pack can break.
func (t *task) solve() error {
	const turns = 5
	for turn := range turns + 1 {
		result, err := t.matched()
		if err != nil {
			return err
		}
		if err := t.fill(result); err != nil {
			return err
		}
		limit, broken := t.ownLimit()
		if !broken {
			return nil
		}
		if turn == turns-1 {
			limit = t.share("spread_ir_b_pct", float64(slices.MinFunc(t.offered, func(a, b Measured) int { return cmp.Compare(a.Uohm, b.Uohm) }).Uohm))
		}
		t.content.Rules.MaxUohm, t.content.Tightened = &limit, true
	}
	return nil
}

// ownLimit is the least limit of resistance that a pack of the choice has by its own
// middle and breaks; broken is false where none does.
func (t *task) ownLimit() (limit int64, broken bool) {
	byID := t.byID()
	for _, g := range t.content.Packs {
		if g.ByResistance != pack.GradeReject {
			continue
		}
		blocks := make([]Measured, len(g.Blocks))
		for i, id := range g.Blocks {
			blocks[i] = byID[id]
		}
		if own := t.share("spread_ir_b_pct", medianUohm(blocks)); !broken || own < limit {
			limit, broken = own, true
		}
	}
	return limit, broken
}

// matched asks package pack.
func (t *task) matched() (pack.MatchResult, error) {
	r := t.content.Rules
	m := pack.MatchTask{PackSize: t.size(), Packs: t.ask.Count, Least: r.Least, ScaleMV: r.ScaleMV, ScaleUohm: r.ScaleUohm,
		Rules: pack.MatchRules{SameLot: r.SameLot, MaxMV: r.MaxMV, MaxUohm: r.MaxUohm, MaxSpanDays: r.MaxDays}}
	for _, b := range t.offered {
		m.Blocks = append(m.Blocks, pack.Block{ID: b.Item, MV: b.MV, Uohm: b.Uohm, Lot: b.Lot, Made: t.made[b.Item]})
	}
	result, err := pack.Match(m)
	switch {
	case errors.Is(err, pack.ErrNoMatch):
		m.Packs = 0
		most, again := pack.Match(m)
		if again != nil {
			return pack.MatchResult{}, fmt.Errorf("match: %w", again)
		}
		return pack.MatchResult{}, refusal("fewer_packs_possible", "got", fmt.Sprint(len(most.Packs)), "want", fmt.Sprint(t.ask.Count))
	case err != nil:
		return pack.MatchResult{}, fmt.Errorf("match: %w", err)
	case len(result.Packs) == 0:
		return pack.MatchResult{}, refusal("no_pack_possible")
	}
	return result, nil
}

// fill puts a choice into the content, cheapest pack first, and explains it.
func (t *task) fill(result pack.MatchResult) error {
	c, byID := &t.content, t.byID()
	c.Packs = []Group{}
	for _, p := range result.Packs {
		g, err := t.group(p.Blocks, byID)
		if err != nil {
			return err
		}
		g.Cost = p.Cost
		c.Packs = append(c.Packs, g)
	}
	slices.SortStableFunc(c.Packs, func(a, b Group) int {
		return cmp.Or(cmp.Compare(a.Cost, b.Cost), strings.Compare(a.Blocks[0], b.Blocks[0]))
	})
	explain(c.Packs)
	c.Left = t.left(result, byID)
	c.Cost, c.Bound, c.Exact, c.BestCount, c.MostPacks = result.Cost, result.LotBound, result.Exact, result.BestCount, result.MostPacks
	gap, known := result.Gap()
	c.GapPct, c.GapKnown = 100*gap, known
	return nil
}

func (t *task) byID() map[string]Measured {
	m := make(map[string]Measured, len(t.offered))
	for _, b := range t.offered {
		m[b.Item] = b
	}
	return m
}

// group measures a pack; its blocks stand in the order of their names.
func (t *task) group(ids []string, byID map[string]Measured) (Group, error) {
	blocks := make([]Measured, len(ids))
	for i, id := range ids {
		blocks[i] = byID[id]
	}
	if !t.content.Picked {
		slices.SortFunc(blocks, func(a, b Measured) int {
			return cmp.Or(strings.Compare(a.Name, b.Name), strings.Compare(a.Item, b.Item))
		})
	}
	var g Group
	lots := map[string]bool{}
	var first, last time.Time
	mv, uohm := span{}, span{}
	for i, b := range blocks {
		g.Blocks = append(g.Blocks, b.Item)
		lots[b.Lot] = true
		mv.take(i, b.MV)
		uohm.take(i, b.Uohm)
		if made := t.made[b.Item]; !made.IsZero() {
			if first.IsZero() || made.Before(first) {
				first = made
			}
			if made.After(last) {
				last = made
			}
		}
	}
	g.RangeMV, g.RangeUohm, g.Lots = mv.high-mv.low, uohm.high-uohm.low, len(lots)
	g.Days = int64(last.Sub(first).Hours() / 24)
	r := t.content.Rules
	g.Cost = float64(g.RangeMV)/float64(r.ScaleMV) + float64(g.RangeUohm)/float64(r.ScaleUohm)
	return g, g.grade(blocks, t.stock.Form.Cells, t.limits())
}

// span is the lowest and the highest of some values.
type span struct{ low, high int64 }

func (s *span) take(i int, x int64) {
	if i == 0 {
		s.low, s.high = x, x
		return
	}
	s.low, s.high = min(s.low, x), max(s.high, x)
}

// explain says of each pack, the cheapest first, what it has before those after
// it.
func explain(packs []Group) {
	for i := range packs {
		g := &packs[i]
		both := !slices.ContainsFunc(packs[i+1:], func(o Group) bool { return o.RangeMV < g.RangeMV || o.RangeUohm < g.RangeUohm })
		switch {
		case i == len(packs)-1 && i > 0:
			g.Reason = WhatIsLeft
		case both && i == 0:
			g.Reason = LowestInBoth
		case both:
			g.Reason = LowestLeftInBoth
		default:
			g.Reason = LowestLeft
		}
	}
}

// left says why blocks were left over: too few of their lot, no more packs asked for,
// beyond the blocks that were taken in one quantity, or the cheapest to leave.
func (t *task) left(result pack.MatchResult, byID map[string]Measured) []Left {
	mv, uohm, n := span{}, span{}, 0
	for _, g := range t.content.Packs {
		for _, id := range g.Blocks {
			mv.take(n, byID[id].MV)
			uohm.take(n, byID[id].Uohm)
			n++
		}
	}
	ofLot := map[string]int{}
	for _, b := range t.offered {
		ofLot[b.Lot]++
	}
	fewer := t.ask.Count > 0 && t.ask.Count < result.MostPacks
	out := make([]Left, 0, len(result.Left))
	for _, id := range result.Left {
		b := byID[id]
		code := "left_cheapest"
		switch {
		case t.content.Rules.SameLot && ofLot[b.Lot] < t.size():
			code = "left_lot_too_small"
		case fewer:
			code = "left_not_asked_for"
		case b.Uohm > uohm.high:
			code = "left_resistance_above"
		case b.Uohm < uohm.low:
			code = "left_resistance_below"
		case b.MV > mv.high:
			code = "left_voltage_above"
		case b.MV < mv.low:
			code = "left_voltage_below"
		}
		out = append(out, Left{Item: id, Name: b.Name, Reasons: append([]models.Remark{models.NewRemark(code)}, t.outOfTurn(b)...)})
	}
	slices.SortFunc(out, func(a, b Left) int { return strings.Compare(a.Name+" "+a.Item, b.Name+" "+b.Item) })
	return out
}

// outOfTurn says that a block left over is older than some that were taken: the
// oldest goes first, and matching goes before that.
func (t *task) outOfTurn(left Measured) []models.Remark {
	made, newer := t.made[left.Item], 0
	if made.IsZero() {
		return nil
	}
	for _, g := range t.content.Packs {
		for _, id := range g.Blocks {
			if t.made[id].After(made) {
				newer++
			}
		}
	}
	if newer == 0 {
		return nil
	}
	return []models.Remark{models.NewRemark("left_out_of_turn", "date", made.Format(time.DateOnly), "count", fmt.Sprint(newer))}
}

// storeMatch freezes a match.
func (s *Service) storeMatch(ctx context.Context, actor models.Actor, t *task) (View, error) {
	text, hash, err := t.content.encode()
	if err != nil {
		return View{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	m := models.Match{ID: models.NewID(), ProductID: t.product.ID, Blocks: t.stock.Model.ID, Content: text, ContentHash: hash, MadeBy: actor.String(), MadeAt: stamp.At}
	if err := s.store.AddMatch(ctx, stamp, m); err != nil {
		return View{}, err
	}
	return s.Match(ctx, m.ID)
}
