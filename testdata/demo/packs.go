package demo

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// cellsOf is what new, full, rested blocks of a product read at 25 degrees.
var cellsOf = map[string]struct{ volts, spread, mohm, mohmSpread float64 }{
	"Pallas PB17": {12.925, 0.013, 10.8, 0.34},
	"Pallas PB9":  {12.975, 0.011, 17.2, 0.5},
	"Corlis F32":  {3.3420, 0.0035, 2.10, 0.055},
}

// block is one block of a pack, at 25 degrees.
type block struct{ volts, mohm float64 }

// packWork is one pack on its way through the shop.
type packWork struct {
	product
	item    models.Item
	from    *lot
	blocks  []block
	rest    float64 // hours since the charger
	round   int
	shelved bool // it has a place on the shelf
}

// buildPack is one pack, put together and charged, that now comes to be read.
func (m *maker) buildPack() error {
	w, err := m.newPack(m.ordered(m.packs))
	if err != nil {
		return err
	}
	m.summary.Packs++
	f, like := w.form.Pack, cellsOf[w.form.Pack.BlockModel]
	w.rest = m.random.between(24, 46)
	if f.Chemistry == "lifepo4" {
		w.rest = m.random.between(2, 20)
	} else if m.random.chance(0.05) {
		w.rest = m.random.between(6, 20) // a rush order: judged as provisional
	}
	if m.random.chance(0.05) {
		w.blocks[m.random.IntN(len(w.blocks))].volts -= like.volts * m.random.between(0.008, 0.016) // one was not full
	}
	m.readPack(w)
	return nil
}

// newPack adds the item with its blocks, each by its maker's number, and their
// lot.
func (m *maker) newPack(p product) (*packWork, error) {
	f := p.form.Pack
	from, blocks, err := m.take(p.blockKey(), f.Strings*f.Blocks)
	if err != nil {
		return nil, err
	}
	w, like := &packWork{product: p, from: from}, cellsOf[f.BlockModel]
	parts := []models.FittedPart{{Role: "block", LotID: &from.ID, Quantity: len(blocks)}}
	for i := range blocks {
		at := models.Block(i/f.Blocks+1, i%f.Blocks+1)
		parts = append(parts, models.FittedPart{Role: "block", Place: at.Key(), PartID: &blocks[i].ID, Quantity: 1})
		w.blocks = append(w.blocks, block{like.volts + from.offset*like.volts/12.9 + m.random.normal(0, like.spread), like.mohm + m.random.normal(0, like.mohmSpread)})
	}
	w.item, err = m.addItem(models.KindPack, p, m.people.packs, parts)
	return w, err
}

// readPack plans the readings: then release, or charging singly, a rest and
// another round.
func (m *maker) readPack(w *packWork) {
	started := m.clock
	m.plan(started.Add(m.random.minutes(6, 12)), func() error {
		w.round++
		conditions := models.Conditions{RestHours: fmt.Sprintf("%.0f", w.rest)}
		out, err := m.record(inspection{w.item, models.Final, m.people.packs, bench1, started, m.packSets(w.form.Pack, w.blocks), conditions})
		if err != nil {
			return err
		}
		if out.Inspection.Verdict == models.VerdictPass || out.Inspection.Verdict == models.VerdictProvisional {
			return m.packPassed(w)
		}
		m.plan(m.daysOn(2), func() error {
			w.rest = m.random.between(28, 44)
			like := cellsOf[w.form.Pack.BlockModel]
			for i := range w.blocks {
				w.blocks[i].volts = like.volts + m.random.normal(0, like.spread*0.7)
			}
			m.readPack(w)
			return nil
		})
		return nil
	})
}

// packPassed releases most packs, some by whoever measured; a few are held
// first, and a few wait some days.
func (m *maker) packPassed(w *packWork) error {
	if err := m.shelve(w); err != nil {
		return err
	}
	if m.random.chance(0.05) {
		m.plan(m.daysOn(2+m.out.random.IntN(7)), func() error { return m.releasePack(w, m.people.inspector) })
		return nil
	}
	by := m.people.inspector
	if m.random.chance(0.5) {
		by = m.people.packs
	}
	let := func() error { return m.releasePack(w, by) }
	if m.random.chance(0.010) {
		return m.inDoubt(w.item, m.people.packs, packDoubts, let)
	}
	m.plan(m.atWork(m.clock.Add(m.random.minutes(3, 30))), let)
	return nil
}

// releasePack issues the certificate, and plans a look at some on the shelf.
func (m *maker) releasePack(w *packWork, by models.Person) error {
	if _, err := m.issue(w.item, by, ""); err != nil {
		return err
	}
	if !m.random.chance(0.08) && !(w.from.told && m.random.chance(0.4)) {
		if !w.shelved {
			m.goesOut(w.item, w.ID)
		}
		return nil
	}
	made := m.clock
	m.plan(m.daysOn(18+m.random.IntN(20)), func() error {
		days := m.clock.Sub(made).Hours() / 24
		for i := range w.blocks {
			w.blocks[i].volts -= days * m.blockFall(w.from) * w.blocks[i].volts / 12.9
		}
		conditions := models.Conditions{RestHours: fmt.Sprintf("%.0f", w.rest+days*24)}
		out, err := m.record(inspection{w.item, models.Recheck, m.people.packs, bench1, m.clock.Add(-7 * time.Minute), m.packSets(w.form.Pack, w.blocks), conditions})
		if err == nil && out.Item.State == models.StateReleased && !w.shelved {
			m.goesOut(w.item, w.ID)
		}
		return err
	})
	return nil
}

// temperature of the bench: warmer in summer, warmer in the afternoon.
func (m *maker) temperature() float64 {
	season := math.Cos(2 * math.Pi * float64(m.clock.YearDay()-200) / 365)
	return math.Round((20.5+3.5*season+0.25*float64(m.clock.Hour()-8)+m.random.normal(0, 0.7))*10) / 10
}

// packSets is what the bench reads at its temperature: a lead-acid cell gives
// 0.2 mV more a kelvin (Bode, Lead-Acid Batteries, 1977), and resistance falls
// by half a percent a kelvin (common practice, no source).
func (m *maker) packSets(f *models.PackForm, blocks []block) []models.SentSet {
	t := m.temperature()
	slope := 0.0002 * float64(f.Cells)
	if f.Chemistry == "lifepo4" {
		slope = 0
	}
	voltage := models.SentSet{Characteristic: kinds.BlockVoltage, Method: models.EveryBlock, Instrument: "V-51", Unit: "V"}
	resistance := models.SentSet{Characteristic: kinds.BlockResistance, Method: models.EveryBlock, Instrument: "R-52", Unit: "mohm", Manner: models.ResistanceAC}
	whole := models.SentSet{Characteristic: kinds.PackVoltage, Method: models.Whole, Instrument: "V-51", Unit: "V"}
	shown := func(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
	for s := 1; s <= f.Strings; s++ {
		sum := 0.0
		for place := 1; place <= f.Blocks; place++ {
			b, at := blocks[(s-1)*f.Blocks+place-1], models.Block(s, place)
			volts := math.Round((b.volts+slope*(t-25)+m.random.normal(0, 0.001))*1000) / 1000
			sum += volts
			mohm := b.mohm * (1 - 0.005*(t-25)) * (1 + m.random.normal(0, 0.006))
			voltage.Values, voltage.Index = append(voltage.Values, shown(volts, 3)), append(voltage.Index, at)
			resistance.Values, resistance.Index = append(resistance.Values, shown(mohm, 2)), append(resistance.Index, at)
		}
		whole.Values, whole.Index = append(whole.Values, shown(sum+m.random.normal(0, 0.003), 3)), append(whole.Index, models.Block(s, 0))
	}
	sets := []models.SentSet{voltage, resistance,
		{Characteristic: kinds.BlockTemperature, Method: models.Whole, Instrument: "H-53", Unit: "degC", Values: []string{shown(t, 1)}}, whole}
	for _, code := range []string{"polarity_checked", "insulated", "terminals_covered", "labelled"} {
		sets = append(sets, models.SentSet{Characteristic: code, Method: models.Whole, Values: []string{"yes"}})
	}
	return sets
}
