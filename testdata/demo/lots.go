package demo

import (
	"fmt"
	"time"

	"tracewright/models"
)

// lot is a received batch with what the simulation knows of it.
type lot struct {
	models.Lot
	level  float64 // of rims: how much run-out they were made with, as a factor
	offset float64 // of blocks: V away from the others
	told   bool    // the lot of a story
}

// lots are the batches by what they are for, in the order of receipt.
type lots map[string][]*lot

// makeLots receives a batch of everything every few weeks; the first ones are
// there when the history begins.
func (m *maker) makeLots() error {
	m.lots = lots{}
	seen := map[string]bool{}
	for _, p := range m.wheels {
		w := p.form.Wheel
		for _, x := range []struct {
			key, material, description, supplier, prefix string
			every, quantity                              int
		}{
			{"rim " + p.size, "rim", w.Rim + " rim, " + fmt.Sprint(w.Holes) + " holes", "Fenlow Rims", "RL", 44, 220},
			{"spokes " + w.SpokeType, "spokes", w.SpokeType + " stainless", "Hartwell Wire", "SP", 26, 9000},
			{"nipples", "nipples", "brass, 14 mm", "Hartwell Wire", "NP", 62, 20000},
		} {
			if seen[x.key] {
				continue
			}
			seen[x.key] = true
			if err := m.receive(x.key, x.material, x.description, x.supplier, x.prefix, x.every, x.quantity); err != nil {
				return err
			}
		}
	}
	for _, p := range m.packs {
		f := p.form.Pack
		if err := m.receive("blocks "+f.BlockModel, "blocks", f.BlockModel+", "+f.CapacityAh+" Ah", f.BlockModel[:6], "BL", 24, 420); err != nil {
			return err
		}
	}
	m.plantLots()
	return nil
}

func (m *maker) receive(key, material, description, supplier, prefix string, every, quantity int) error {
	for day := 0; day < len(m.days); day += every {
		at := m.days[day].Add(8 * time.Hour)
		if day == 0 {
			at = m.clock
		}
		n := 0
		for _, list := range m.lots {
			n += len(list)
		}
		l := &lot{level: m.random.skewed(1, 0.18), offset: m.random.normal(0, 0.008), Lot: models.Lot{
			ID: models.NewID(), Code: fmt.Sprintf("%s-%04d", prefix, 301+3*n), Material: material, Description: description, Supplier: supplier,
			SupplierCode: fmt.Sprintf("%s%04d", supplier[:1], 2000+m.random.IntN(7000)), DateCode: at.AddDate(0, 0, -30).Format("0601"), Quantity: quantity,
			ReceivedAt: models.Moment(at), ReceivedBy: m.people.inspector.ID,
		}}
		if err := m.store.AddLot(m.ctx, models.NewStamp(actor(m.people.inspector), at), l.Lot); err != nil {
			return err
		}
		m.lots[key] = append(m.lots[key], l)
		every += m.random.IntN(5) - 2
	}
	return nil
}

// plantLots says which lots the stories are about. In the quiet scenario the
// lots do not differ at all.
func (m *maker) plantLots() {
	if !m.stories.Told {
		for _, list := range m.lots {
			for _, l := range list {
				l.level, l.offset = 1, 0
			}
		}
		return
	}
	spokes := m.lots["spokes 2.3/2.0 mm butted"][2]
	spokes.told = true
	m.stories.SpokeLot = spokes.Code
	blocks := m.lots["blocks Pallas PB17"][3]
	blocks.told = true
	m.stories.BlockLot = blocks.Code
}

// inUse is the lot that is used on a day: the newest that has been there for a
// few days.
func (m *maker) inUse(key string, t time.Time) *lot {
	list := m.lots[key]
	found := list[0]
	for _, l := range list {
		if l.ReceivedAt.AddDate(0, 0, 3).Before(t) {
			found = l
		}
	}
	return found
}
