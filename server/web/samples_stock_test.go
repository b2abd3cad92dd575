package web

import (
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/stock"
	"tracewright/models/work/trace"
)

func sampleBlock(n int) models.StockBlock {
	number := fmt.Sprintf("Q3-%d", 1170+n)
	return models.StockBlock{Item: models.Item{ID: fmt.Sprint("b", n), Kind: models.KindBlock, MakerNumber: &number, Supplier: "Corbel", Model: "4S"}, Lot: "Q3",
		Receipt: &models.BlockReceipt{MadeOn: "2027-04-01"}}
}

// sampleScreening is a lot of eight blocks, one of which loses charge: the losses
// of the worked example of the screening rule, in mV a day.
func sampleScreening() stock.Screening {
	form, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: "Corbel", Model: "4S", Chemistry: "agm", Cells: 6, Capacity: "22", Rate: "C20"})
	if err != nil {
		panic(err)
	}
	v := stock.Screening{Model: models.Product{ID: "m1", Name: "Corbel 4S"}, Form: form, LotID: "l1", Lot: "Q3", Blocks: 9, Median: 1.286, Step: 0.14, Flagged: 1}
	for i, k := range []float64{1.29, 1.14, 1.43, 1.29, 6.43, 1.29, 1.14, 1.43} {
		l := stock.Loss{Block: sampleBlock(i), MVDay: k, Z: (k - 1.286) / 0.143 * 0.6745, Days: 7, First: models.StockReading{Read: "12.903", MeasuredAt: sampleNow.AddDate(0, 0, -7)}, Second: models.StockReading{Read: "12.894", MeasuredAt: sampleNow}}
		if l.Flagged = k > 5; l.Flagged {
			l.Why = []models.Remark{models.NewRemark("loses_charge", "value", "6.43", "limit", "5")}
		}
		v.Losses = append(v.Losses, l)
	}
	v.NotCompared = []stock.NotCompared{{Block: sampleBlock(8), Why: models.NewRemark("one_reading_only")}}
	v.Rule.MedianOCV, v.Rule.OCVKnown = 12.9, true
	v.Reasons = []models.Remark{models.NewRemark("lot_many_flagged", "k", "1", "n", "8")}
	return v
}

func sampleStock() stock.StockView {
	screening := sampleScreening()
	v := stock.StockView{Model: screening.Model, Form: screening.Form, Lots: []stock.Screening{screening, {Lot: "Q4"}}}
	reading := &models.StockReading{MeasuredAt: sampleNow, Volts: "12.8420", Milliohm: "9.4100"}
	for i := range offeredShown + 5 {
		v.Blocks = append(v.Blocks, stock.Block{StockBlock: sampleBlock(i), Reading: reading, Resistance: reading, Charge: number(97.4), Made: time.Date(2027, 4, 1, 0, 0, 0, 0, time.UTC)})
	}
	aside := stock.Block{StockBlock: sampleBlock(90), Reasons: []models.Remark{models.NewRemark("set_aside_damaged")}}
	aside.Disposition = &models.Disposition{Decision: models.Quarantine, Code: "damaged"}
	low := stock.Block{StockBlock: sampleBlock(91), Loss: &screening.Losses[4], Reasons: []models.Remark{models.NewRemark("block_low", "value", "12.41", "limit", "12.60", "unit", "V")}}
	v.Blocks = append(v.Blocks, aside, low)
	return v
}

// sampleMatch is two packs of two, with a block placed, one in place of another.
func sampleMatch(end *models.MatchEnd) stock.View {
	v := stock.View{Product: models.Product{Name: "Corbel 24"}, Model: models.Product{ID: "m1", Name: "Corbel 4S"}, Items: map[string]models.Item{}}
	v.ID = "x1"
	for i := range 6 {
		b := sampleBlock(i)
		v.Items[b.Item.ID] = b.Item
		v.Content.Input = append(v.Content.Input, stock.Measured{Item: b.Item.ID, Name: *b.Item.MakerNumber, Lot: "Q3", MV: int64(12860 + 7*i), Uohm: int64(9300 + 90*i)})
	}
	most := int64(100)
	c := &v.Content
	c.Strings, c.Blocks, c.Rules = 2, 1, stock.Rules{ScaleMV: 50, ScaleUohm: 950, MaxMV: &most}
	c.Packs = []stock.Group{{Blocks: []string{"b0", "b1"}, RangeMV: 7, RangeUohm: 90, ByVoltage: "A", ByResistance: "A", Lots: 1, Reason: stock.LowestInBoth},
		{Blocks: []string{"b2", "b4"}, RangeMV: 14, RangeUohm: 180, ByVoltage: "B", ByResistance: "A", Lots: 2, Days: 30, Reason: stock.WhatIsLeft}}
	c.Left = []stock.Left{{Item: "b5", Name: "Q3-1175", Reasons: []models.Remark{models.NewRemark("left_resistance_above")}}}
	c.NotOffered = []stock.Left{{Item: "b9", Name: "Q3-1179", Reasons: []models.Remark{models.NewRemark("loses_charge", "value", "6.43", "limit", "5")}}}
	c.Cost, c.Bound, c.GapPct, c.GapKnown = 0.7, 0.5, 40, true
	v.Placements = []models.MatchPlacement{{ID: "01", Pack: 1, Place: 1, ItemID: "b3", Override: "the other fell"}}
	if v.End = end; end != nil && end.Kept {
		v.Made = []models.Item{{ID: "i2", Serial: text("P270009QV")}}
	}
	return v
}

// stockPages are the pages of the stock and of matching, each empty and filled.
func stockPages(s *site, owner Frame) map[string][]any {
	blocks := func(all string) BlocksPage {
		p := BlocksPage{Frame: owner}
		s.fillBlocks(&p, []models.Product{{ID: "m1", Name: "Corbel 4S"}}, sampleStock(), "Q3", all)
		p.Open = []OpenMatch{{"/match/x1", "Corbel 24", "07:12, Tam Vale"}}
		return p
	}
	match := func(v stock.View, refused ...string) MatchPage {
		p := s.matchPage(owner, v)
		p.Refused, p.Where = refused, "rack C 2"
		return p
	}
	exact, picked, measured := sampleMatch(nil), sampleMatch(nil), sampleMatch(nil).Content.Input
	exact.Content.Exact, exact.Placements = true, nil
	picked.Content.Picked = true
	block := func(decisions ...models.Disposition) ItemPage {
		v := trace.ItemView{Item: sampleBlock(4).Item}
		v.Item.ProductID = text("m1")
		p := s.itemPage(owner, v, nil)
		s.decided(&p, v, decisions, nil)
		return p
	}
	pick := func(p stock.Picking) PickPage {
		page := PickPage{Frame: owner, Name: "Corbel 24", Product: "d1"}
		s.fillPick(&page, stock.Ask{Product: "d1"}, p, filled(map[string]string{}))
		return page
	}
	far := stock.Picking{Blocks: measured[:2], Size: 2, Graded: true, Group: stock.Group{RangeMV: 180, RangeUohm: 90, RangePct: 1, ByVoltage: "reject", ByResistance: "A"}}
	far.Limits.VoltageA, far.Limits.VoltageB, far.Limits.ResistA, far.Limits.ResistB = "0.050", "0.100", "10", "20"
	return map[string][]any{
		"blocks":     {BlocksPage{Frame: owner, Answer: "No model of block is known yet"}, blocks(""), blocks("offered")},
		"blocks_lot": {s.screeningPage(owner, stock.Screening{Lot: "Q9"}), s.screeningPage(owner, sampleScreening())},
		"item":       {block(), block(models.Disposition{Decision: models.Quarantine, Code: "loses_charge", Reason: "6.4 mV a day", DecidedAt: sampleNow}), block(models.Disposition{Decision: models.Quarantine, Code: "damaged"}, models.Disposition{Decision: models.Release, Code: "no_fault_found", Reason: "dirt"})},
		"match_ask":  {MatchAskPage{Frame: owner}, MatchAskPage{Frame: owner, Answer: "Which packs?", Open: []OpenMatch{{"/match/x1", "Corbel 24", "07:12, Tam Vale"}}}},
		"match": {match(exact), match(sampleMatch(nil)), match(picked, "Q3-1188 cannot go in.", "It loses 6.4 mV a day, 5 allowed."), match(sampleMatch(&models.MatchEnd{Kept: true})),
			match(sampleMatch(&models.MatchEnd{Reason: "the order fell through"}))},
		"match_pick": {pick(stock.Picking{Size: 2, Nearest: measured}), pick(stock.Picking{Blocks: measured[:1], Size: 2, Nearest: measured[1:]}), pick(far)},
	}
}
