package api

import (
	"context"

	"tracewright/models"
	"tracewright/models/work/stock"
)

// matchLine is a match in a list.
type matchLine struct {
	ID      string  `json:"id"`
	Product string  `json:"product"` // name, of the packs
	State   string  `json:"state"`   // open, kept, dropped
	MadeAt  instant `json:"made_at"`
	MadeBy  string  `json:"made_by"` // name
}

func (a *api) matchLine(ctx context.Context, m models.Match, names map[string]string) (matchLine, error) {
	product, err := a.cache.productName(ctx, &m.ProductID)
	return matchLine{ID: m.ID, Product: product, State: "open", MadeAt: instant(m.MadeAt), MadeBy: named(names, m.MadeBy)}, err
}

// matchShape is a match with what became of it.
type matchShape struct {
	matchLine
	Model      string          `json:"model"` // name, of the blocks
	Picked     bool            `json:"picked"`
	Reason     string          `json:"reason,omitempty"` // of who picked beyond the limits, or dropped it
	Rules      stock.Rules     `json:"rules"`
	Limits     string          `json:"limits_version"`
	Cost       float64         `json:"cost"`
	Bound      *float64        `json:"bound,omitempty"` // no choice of as many packs costs less
	GapPct     *float64        `json:"gap_pct,omitempty"`
	Exact      bool            `json:"exact"`
	MostPacks  int             `json:"most_packs,omitempty"`
	Next       *placeShape     `json:"next,omitempty"` // the first place that is not confirmed
	Packs      []matchPack     `json:"packs"`
	Left       []leftOverBlock `json:"left"`
	NotOffered []leftOverBlock `json:"not_offered"`
}

// matchPack is one pack of a match.
type matchPack struct {
	Places       []placeShape `json:"places"`
	RangeMV      int64        `json:"range_mv"`
	RangeUohm    int64        `json:"range_uohm"`
	RangePct     float64      `json:"range_pct"`
	Cost         float64      `json:"cost"`
	ByVoltage    string       `json:"by_voltage"`
	ByResistance string       `json:"by_resistance"`
	Reason       string       `json:"reason"`
	Serial       string       `json:"serial,omitempty"` // of the pack that was made of it
}

// placeShape is one place of a pack: string and position as on the bench.
type placeShape struct {
	Pack     int        `json:"pack"`
	Place    int        `json:"place"` // in the pack from 1, string by string
	String   int        `json:"string"`
	Position int        `json:"position"`
	Block    blockName  `json:"block"` // the one that lies there, else the one proposed
	Proposed *blockName `json:"proposed,omitempty"`
	PlacedAt *instant   `json:"placed_at,omitempty"`
	PlacedBy string     `json:"placed_by,omitempty"` // name
	Override string     `json:"override,omitempty"`
}

// leftOverBlock is a block in no pack, and why.
type leftOverBlock struct {
	Block   blockName `json:"block"`
	Reasons []remark  `json:"reasons"`
}

func (a *api) matchOf(ctx context.Context, v stock.View) (matchShape, error) {
	names, err := a.names(ctx)
	if err != nil {
		return matchShape{}, err
	}
	line, err := a.matchLine(ctx, v.MatchView.Match, names)
	if err != nil {
		return matchShape{}, err
	}
	c := v.Content
	out := matchShape{matchLine: line, Model: v.Model.Name, Picked: c.Picked, Reason: c.Reason, Rules: c.Rules, Limits: c.LimitsVersion, Cost: rounded(c.Cost, 4), Exact: c.Exact, MostPacks: c.MostPacks,
		Packs: make([]matchPack, len(c.Packs)), Left: leftOver(v, c.Left), NotOffered: leftOver(v, c.NotOffered)}
	if !c.Picked {
		bound := rounded(c.Bound, 4)
		out.Bound = &bound
	}
	if c.GapKnown {
		gap := rounded(c.GapPct, 1)
		out.GapPct = &gap
	}
	if v.End != nil {
		if out.State = "dropped"; v.End.Kept {
			out.State = "kept"
		} else {
			out.Reason = v.End.Reason
		}
	}
	for i, g := range c.Packs {
		p := matchPack{Places: make([]placeShape, len(g.Blocks)), RangeMV: g.RangeMV, RangeUohm: g.RangeUohm, RangePct: rounded(g.RangePct, 2), Cost: rounded(g.Cost, 4), ByVoltage: g.ByVoltage, ByResistance: g.ByResistance, Reason: g.Reason}
		for k := range g.Blocks {
			p.Places[k] = placeOf(v, stock.Slot{Pack: i + 1, Place: k + 1}, names)
		}
		if i < len(v.Made) && v.Made[i].Serial != nil {
			p.Serial = *v.Made[i].Serial
		}
		out.Packs[i] = p
	}
	if at, open := v.Next(); open && v.End == nil {
		next := placeOf(v, at, names)
		out.Next = &next
	}
	return out, nil
}

func placeOf(v stock.View, at stock.Slot, names map[string]string) placeShape {
	id, placed := v.At(at)
	position := v.Position(at)
	p := placeShape{Pack: at.Pack, Place: at.Place, String: position.String, Position: position.Place, Block: blockNameOf(v.Items[id])}
	if placed == nil {
		return p
	}
	moment := instant(placed.PlacedAt)
	p.PlacedAt, p.PlacedBy, p.Override = &moment, named(names, placed.PlacedBy), placed.Override
	if proposed := v.Content.Packs[at.Pack-1].Blocks[at.Place-1]; proposed != id {
		n := blockNameOf(v.Items[proposed])
		p.Proposed = &n
	}
	return p
}

func leftOver(v stock.View, list []stock.Left) []leftOverBlock {
	out := make([]leftOverBlock, len(list))
	for i, l := range list {
		out[i] = leftOverBlock{blockNameOf(v.Items[l.Item]), remarks(l.Reasons)}
	}
	return out
}

// spreadShape says how far picked blocks lie apart.
type spreadShape struct {
	Blocks       []pickedBlock   `json:"blocks"`
	Size         int             `json:"size"` // blocks of a whole pack
	RangeMV      *int64          `json:"range_mv,omitempty"`
	RangeUohm    *int64          `json:"range_uohm,omitempty"`
	RangePct     *float64        `json:"range_pct,omitempty"`
	ByVoltage    string          `json:"by_voltage,omitempty"`
	ByResistance string          `json:"by_resistance,omitempty"`
	Refused      []leftOverBlock `json:"refused"` // picked, and not offered
}

type pickedBlock struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Lot      string `json:"lot,omitempty"`
	MilliV   int64  `json:"mv"` // at 25 degrees
	Microohm int64  `json:"uohm"`
}

func spreadOf(p stock.Picking) spreadShape {
	out := spreadShape{Blocks: []pickedBlock{}, Size: p.Size, Refused: []leftOverBlock{}}
	for _, b := range p.Blocks {
		out.Blocks = append(out.Blocks, pickedBlock{b.Item, b.Name, b.Lot, b.MV, b.Uohm})
	}
	for _, l := range p.Against {
		out.Refused = append(out.Refused, leftOverBlock{blockName{ID: l.Item, Print: l.Name}, remarks(l.Reasons)})
	}
	if p.Graded {
		pct := rounded(p.Group.RangePct, 2)
		out.RangeMV, out.RangeUohm, out.RangePct, out.ByVoltage, out.ByResistance = &p.Group.RangeMV, &p.Group.RangeUohm, &pct, p.Group.ByVoltage, p.Group.ByResistance
	}
	return out
}
