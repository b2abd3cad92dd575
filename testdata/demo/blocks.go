package demo

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/stock"
)

// delivery is a lot of blocks that came in during the last weeks and waits for
// its packs: measured when it came in and, where it lay long enough, once more.
type delivery struct {
	days, blocks int     // before the last day; how many
	again        int     // days before the last of the second reading; -1 for none
	told         bool    // the lot of the story
	old          int     // how many are older than their model allows
	rest         float64 // h before the first reading
}

// deliveries: two that lay over a week, of which one is the story's, and one of
// this week. Together they are more than can be tried in every way.
var deliveries = []delivery{{days: 12, blocks: 26, again: 1, rest: 96}, {days: 11, blocks: 24, again: 0, told: true, rest: 80}, {days: 3, blocks: 14, again: -1, old: 1, rest: 76}}

// measuredBlock is one block of them: what it reads at 25 degrees, and its fall.
type measuredBlock struct {
	number      string
	volts, mohm float64
	fall        float64 // V a day
	dateCode    string  // its own, where it is not the lot’s
}

// planBlocks plans what comes in. It has a chance of its own, so that the rest
// of the shop does not hang on it.
func (m *maker) planBlocks() error {
	random := &random{rand.New(rand.NewPCG(m.options.Seed, 0x626c6f636b73))}
	last := m.days[len(m.days)-1]
	for n, d := range deliveries {
		d.told = d.told && m.stories.Told
		in := m.atWork(on(last.AddDate(0, 0, -d.days), 8, 20))
		m.plan(in, func() error { return m.takeInBlocks(random, n, d) })
	}
	return nil
}

// takeInBlocks receives a lot, measures it, and plans the second reading.
func (m *maker) takeInBlocks(random *random, n int, d delivery) error {
	p := m.packs[0] // the product that is ordered most
	f := p.form.Pack
	supplier, model, _ := strings.Cut(f.BlockModel, " ")
	m.lotNumber++
	l := models.Lot{ID: m.newID(), Code: fmt.Sprintf("BL-%04d", 300+m.lotNumber), Material: "blocks", Description: f.BlockModel + ", " + f.CapacityAh + " Ah", Supplier: supplier, Quantity: d.blocks,
		SupplierCode: fmt.Sprintf("%s%04d", supplier[:1], 2000+random.IntN(7000)), DateCode: m.clock.AddDate(0, -1, 0).Format("0601"), ReceivedAt: models.Moment(m.clock), ReceivedBy: m.people.inspector.ID}
	if d.told {
		m.stories.StockLot = l.Code
	}
	if err := m.store.AddLot(m.ctx, m.stamp(m.people.inspector), l); err != nil {
		return err
	}
	like, at := cellsOf[f.BlockModel], m.clock
	blocks := make([]measuredBlock, d.blocks)
	for i := range blocks {
		fall := m.stories.BlockFall / 10
		if d.told {
			fall = m.stories.BlockFall
		}
		blocks[i] = measuredBlock{number: fmt.Sprintf("%s-%d%05d", model, 4+n, 1103+7*i+random.IntN(5)), fall: fall * random.between(0.7, 1.3),
			volts: random.normal(like.volts-0.03, like.spread), mohm: random.normal(like.mohm, like.mohmSpread)}
		if i < d.old {
			blocks[i].dateCode = m.clock.AddDate(-1, -2, 0).Format("0601")
		}
	}
	if err := m.readBlocks(l.Code, models.Incoming, d.rest, blocks); err != nil || d.again < 0 {
		return err
	}
	again := m.atWork(on(m.days[len(m.days)-1].AddDate(0, 0, -d.again), 10, 15))
	m.plan(again, func() error {
		days := m.clock.Sub(at).Hours() / 24
		for i := range blocks {
			blocks[i].volts -= days * blocks[i].fall
		}
		return m.readBlocks(l.Code, models.SecondReading, d.rest+24*days, blocks)
	})
	return nil
}

// readBlocks sends what the bench reads of a lot, as one list.
func (m *maker) readBlocks(lot, stage string, rest float64, blocks []measuredBlock) error {
	f, temperature := m.packs[0].form.Pack, m.temperature()
	list := stock.Delivery{Model: f.BlockProduct, Lot: lot, Stage: stage, MeasuredAt: m.clock, SentAt: m.clock, Place: bench1, Conditions: models.Conditions{RestHours: fmt.Sprintf("%.0f", rest)},
		Temperature: fmt.Sprintf("%.1f", temperature), Gauges: stock.Gauges{Voltage: "V-51", Resistance: "R-52", Temperature: "H-53"}, Method: f.ResistanceMethod, CaseSound: "yes"}
	for _, b := range blocks {
		list.Rows = append(list.Rows, stock.Row{ID: m.newID(), Number: b.number, DateCode: b.dateCode,
			Voltage:    fmt.Sprintf("%.3f", b.volts+0.0002*float64(f.Cells)*(temperature-25)),
			Resistance: fmt.Sprintf("%.2f", math.Max(1, b.mohm*(1-0.005*(temperature-25))))})
	}
	who := actor(m.people.packs)
	who.Place = bench1
	taken, err := m.blocks.TakeIn(m.ctx, who, list)
	if err != nil {
		return fmt.Errorf("take in lot %s: %w", lot, err)
	}
	m.summary.Inspections += len(taken)
	return nil
}

// blockModels is the family of the blocks, once it is there.
type blockModels struct {
	family models.Family
	limits models.Specification
}

// blockModel adds a model of block with the figures that a pack's form gives.
func (m *maker) blockModel(all *blockModels, pack *models.PackForm) error {
	supplier, model, _ := strings.Cut(pack.BlockModel, " ")
	block, err := kinds.WithBlockDefaults(models.BlockForm{Supplier: supplier, Model: model, Chemistry: pack.Chemistry, Cells: pack.Cells, Capacity: pack.CapacityAh, Rate: pack.Rate,
		ResistanceMethod: pack.ResistanceMethod, ResistanceLow: pack.ResistanceLow, ResistanceHigh: pack.ResistanceHigh, DateCode: models.DateYearMon})
	if err != nil {
		return err
	}
	form := models.ProductForm{Block: &block}
	if all.family.ID == "" {
		if all.family, all.limits, err = m.family(models.KindBlock, "Blocks", form); err != nil {
			return err
		}
	}
	product, stamp := models.Product{ID: m.newID(), FamilyID: all.family.ID, Name: pack.BlockModel, Revision: 1}, m.stamp(m.people.owner)
	pack.BlockProduct, pack.BlockRevision, pack.Limits = product.ID, 1, maps.Clone(block.Limits)
	if err := m.store.AddProduct(m.ctx, stamp, product, models.ProductRevision{Form: form, Reason: "first form"}); err != nil {
		return err
	}
	kind, _ := kinds.Named(models.KindBlock)
	list, needed, err := kind.Own(form, models.ProductForm{}, all.limits, all.limits)
	if err != nil || !needed {
		return err
	}
	return m.store.AddSpecification(m.ctx, stamp, models.Specification{ID: m.newID(), FamilyID: all.family.ID, ProductID: &product.ID, Revision: 1, Grade: all.limits.Grade, Rule: all.limits.Rule,
		Characteristics: list, Reason: "limits of this model’s own form"})
}
