package demo

import (
	"fmt"
	"math"
	"time"

	"tracewright/models"
)

// cellsOf is what new, full, rested blocks of a product read at 25 degrees.
var cellsOf = map[string]struct{ volts, spread, mohm, mohmSpread float64 }{
	"Pallas PB17": {12.925, 0.013, 10.8, 0.34},
	"Pallas PB9":  {12.975, 0.011, 17.2, 0.5},
	"Corlis F32":  {3.3420, 0.0035, 2.10, 0.055},
}

// block is one block of a pack, at 25 degrees.
type block struct{ volts, mohm float64 }

// buildPack is one pack from its blocks to its certificate.
func (m *maker) buildPack(at time.Time) error {
	p := m.ordered(m.packs)
	f := p.form.Pack
	m.clock = at
	from := m.inUse("blocks "+f.BlockModel, at)
	item, err := m.newPack(p, from)
	if err != nil {
		return err
	}
	like := cellsOf[f.BlockModel]
	blocks := make([]block, f.Strings*f.Blocks)
	for i := range blocks {
		blocks[i] = block{like.volts + from.offset*like.volts/12.9 + m.random.normal(0, like.spread), like.mohm + m.random.normal(0, like.mohmSpread)}
	}
	rest := m.random.between(24, 46)
	if f.Chemistry == "lifepo4" {
		rest = m.random.between(2, 20)
	} else if m.random.chance(0.05) {
		rest = m.random.between(6, 20) // a rush order: judged as provisional
	}
	if m.random.chance(0.05) {
		blocks[m.random.IntN(len(blocks))].volts -= like.volts * m.random.between(0.008, 0.016) // one was not full
	}
	for range 3 {
		out, err := m.inspect(item, models.Final, m.people.packs, bench1, m.packSets(f, blocks), models.Conditions{RestHours: fmt.Sprintf("%.0f", rest)}, m.random.between(6, 12))
		if err != nil {
			return err
		}
		if out.Inspection.Verdict == models.VerdictPass || out.Inspection.Verdict == models.VerdictProvisional {
			return m.finishPack(item, p, from, blocks)
		}
		// Charged singly, rested, measured again.
		m.clock = m.clock.AddDate(0, 0, 2)
		rest = 30
		for i := range blocks {
			blocks[i].volts = like.volts + m.random.normal(0, like.spread*0.7)
		}
	}
	return nil
}

// newPack adds the item with its blocks, each by the maker's number, and their
// lot.
func (m *maker) newPack(p product, from *lot) (models.Item, error) {
	f := p.form.Pack
	stamp := m.stamp(m.people.packs)
	maker, model := f.BlockModel[:6], f.BlockModel[7:]
	parts := []models.FittedPart{{Role: "block", LotID: &from.ID, Quantity: f.Strings * f.Blocks}}
	for s := 1; s <= f.Strings; s++ {
		for place := 1; place <= f.Blocks; place++ {
			m.blockSerial++
			number := fmt.Sprintf("%s-%06d", model, 310000+m.blockSerial*7)
			b, err := m.store.AddItem(m.ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: maker, Model: model, MakerNumber: &number, Origin: "demo"}, nil)
			if err != nil {
				return models.Item{}, err
			}
			parts = append(parts, models.FittedPart{Role: "block", Place: models.Block(s, place).Key(), PartID: &b.ID, Quantity: 1})
		}
	}
	return m.store.AddItemWithSerial(m.ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindPack, FamilyID: &p.FamilyID, ProductID: &p.ID, Origin: "demo"}, "P", m.clock.Year()%100, parts)
}

// temperature of the bench: warmer in summer, warmer in the afternoon.
func (m *maker) temperature() float64 {
	season := math.Cos(2 * math.Pi * float64(m.clock.YearDay()-200) / 365)
	return math.Round((20.5+3.5*season+0.25*float64(m.clock.Hour()-8)+m.random.normal(0, 0.7))*10) / 10
}

func (m *maker) packSets(f *models.PackForm, blocks []block) []models.SentSet {
	t := m.temperature()
	a := 0.0002 * float64(f.Cells) // V/K of lead-acid
	if f.Chemistry == "lifepo4" {
		a = 0
	}
	voltage := models.SentSet{Characteristic: "block_voltage", Method: models.EveryBlock, Instrument: "V-51", Unit: "V"}
	resistance := models.SentSet{Characteristic: "block_resistance", Method: models.EveryBlock, Instrument: "R-52", Unit: "mohm", Manner: models.ResistanceAC}
	whole := models.SentSet{Characteristic: "pack_voltage", Method: models.Whole, Instrument: "V-51", Unit: "V"}
	for s := 1; s <= f.Strings; s++ {
		sum := 0.0
		for place := 1; place <= f.Blocks; place++ {
			b := blocks[(s-1)*f.Blocks+place-1]
			volts := math.Round((b.volts+a*(t-25)+m.random.normal(0, 0.001))*1000) / 1000
			sum += volts
			at := models.Block(s, place)
			voltage.Values, voltage.Index = append(voltage.Values, fmt.Sprintf("%.3f", volts)), append(voltage.Index, at)
			mohm := b.mohm * (1 - 0.005*(t-25)) * (1 + m.random.normal(0, 0.006))
			resistance.Values, resistance.Index = append(resistance.Values, fmt.Sprintf("%.2f", mohm)), append(resistance.Index, at)
		}
		whole.Values, whole.Index = append(whole.Values, fmt.Sprintf("%.3f", sum+m.random.normal(0, 0.003))), append(whole.Index, models.Block(s, 0))
	}
	sets := []models.SentSet{voltage, resistance,
		{Characteristic: "block_temperature", Method: models.Whole, Instrument: "H-53", Unit: "degC", Values: []string{fmt.Sprintf("%.1f", t)}}, whole}
	for _, code := range []string{"polarity_checked", "insulated", "terminals_covered", "labelled"} {
		sets = append(sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{"yes"}})
	}
	return sets
}

// finishPack releases most packs, and plans a look at some on the shelf.
func (m *maker) finishPack(item models.Item, p product, from *lot, blocks []block) error {
	m.clock = m.clock.Add(time.Duration(m.random.between(3, 30)) * time.Minute)
	if m.random.chance(0.95) {
		by := m.people.inspector
		if m.random.chance(0.5) {
			by = m.people.packs
		}
		if err := m.issue(item, by, ""); err != nil {
			return err
		}
	}
	bad := m.stories.Told && from.told
	if !m.random.chance(0.08) && !(bad && m.random.chance(0.4)) {
		return nil
	}
	made := m.clock
	m.laterWork = append(m.laterWork, later{m.clock.AddDate(0, 0, 18+m.random.IntN(20)), func() error {
		days := m.clock.Sub(made).Hours() / 24
		for i := range blocks {
			fall := m.stories.BlockFall / 10
			if bad {
				fall = m.stories.BlockFall
			}
			blocks[i].volts -= days * fall * m.random.between(0.7, 1.3) * blocks[i].volts / 12.9
		}
		rest := fmt.Sprintf("%.0f", days*24)
		_, err := m.inspect(item, models.Recheck, m.people.packs, bench1, m.packSets(p.form.Pack, blocks), models.Conditions{RestHours: rest}, 7)
		return err
	}})
	return nil
}
