package demo

import (
	"fmt"
	"math"
	"strings"
	"time"

	"tracewright/models"
)

// lot is a received batch with what the simulation knows of it.
type lot struct {
	models.Lot
	made   [2][]wave  // of rims: what all of the lot are shaped like
	joint  [2]float64 // of rims: how far the joint stands out, mm
	offset float64    // of blocks: V away from the others
	told   bool       // the lot of a story
	stock  []models.Item
}

// lots are the batches by what they are for, in the order of receipt.
type lots map[string][]*lot

// material is what is ordered again and again. Motors and blocks are parts:
// each is taken in by its maker's number.
type material struct {
	key               string
	name, description string
	supplier, prefix  string
	every             int     // working days between deliveries
	use               float64 // pieces in the whole history
	told              int     // which delivery is the story's; 0 for none
	kind, model       string  // of parts
}

// planDeliveries orders a batch of everything every few weeks; the first ones
// are there when the history begins. A delivery is half as large again as what
// is used of it on average.
func (m *maker) planDeliveries() error {
	for _, x := range m.materials() {
		number := 0
		for day := 0; day < len(m.days); number++ {
			at, l := on(m.days[day], 7, 10), m.newLot(x)
			quantity := x.use * 1.5 * float64(x.every) / float64(len(m.days))
			l.Quantity = int(math.Ceil(quantity/10)+1) * 10
			l.told = m.stories.Told && x.told > 0 && number == x.told-1
			l.ReceivedAt = models.Moment(at) // what is in use is known before it comes
			m.lots[x.key] = append(m.lots[x.key], l)
			m.plan(at, func() error { return m.receive(l, x) })
			day += x.every + m.random.IntN(5) - 2
		}
	}
	return nil
}

// materials lists what the products are made of, with the pieces that the
// whole history takes.
func (m *maker) materials() []material {
	var list []material
	order := func(x material) {
		for i := range list {
			if list[i].key == x.key {
				list[i].use += x.use
				return
			}
		}
		list = append(list, x)
	}
	for _, p := range m.wheels {
		w, made := p.form.Wheel, float64(m.options.Wheels)*p.share
		spokes := made * float64(w.Holes)
		maker, _, _ := strings.Cut(p.motor, " ")
		order(material{key: p.rimKey(), name: "rim", description: fmt.Sprintf("%s rim, %d holes", w.Rim, w.Holes), supplier: "Fenlow Rims", prefix: "RL", every: 44, use: made})
		told := 0
		if w.SpokeType == toldSpokes {
			told = 3
		}
		order(material{key: p.spokeKey(), name: "spokes", description: w.SpokeType + " stainless blanks, cut and threaded here", supplier: "Hartwell Wire", prefix: "SP", every: 26, use: spokes, told: told})
		order(material{key: "nipples", name: "nipples", description: "brass, 14 mm", supplier: "Hartwell Wire", prefix: "NP", every: 62, use: spokes})
		order(material{key: p.motorKey(), name: "motors", description: w.Motor, supplier: maker, prefix: "MT", every: 38, use: made, kind: models.KindMotor, model: strings.TrimPrefix(w.Motor, maker+" ")})
	}
	for _, p := range m.packs {
		f := p.form.Pack
		maker, model, _ := strings.Cut(f.BlockModel, " ")
		told := 0
		if f.BlockModel == toldBlocks {
			told = 4
		}
		order(material{key: p.blockKey(), name: "blocks", description: f.BlockModel + ", " + f.CapacityAh + " Ah", supplier: maker, prefix: "BL", every: 24,
			use: float64(m.options.Packs*f.Strings*f.Blocks) * p.share, told: told, kind: models.KindBlock, model: model})
	}
	return list
}

// The materials that a story is about.
const (
	toldSpokes = "2.3/2.0 mm butted"
	toldBlocks = "Pallas PB17"
)

// newLot draws what a batch is like. In the quiet scenario all are alike.
func (m *maker) newLot(x material) *lot {
	l := &lot{Lot: models.Lot{Material: x.name, Description: x.description, Supplier: x.supplier}}
	level, offset := m.random.skewed(1, 0.12), m.random.normal(0, 0.0035)
	shape := m.random
	if !m.stories.Told {
		level, offset, shape = 1, 0, newRandom(0) // every lot the same pattern
	}
	l.offset = offset
	for channel, size := range [2]float64{0.7, 1.0} {
		for k, amplitude := range []float64{0.014, 0.020, 0.012, 0.007} {
			l.made[channel] = append(l.made[channel], wave{k + 1, amplitude * size * level, shape.phase()})
		}
		l.joint[channel] = size * level * shape.normal(0.03, 0.02)
	}
	return l
}

// receive takes a delivery in.
func (m *maker) receive(l *lot, x material) error {
	m.lotNumber++
	l.ID, l.Code = m.newID(), fmt.Sprintf("%s-%04d", x.prefix, 300+m.lotNumber)
	l.SupplierCode = fmt.Sprintf("%s%04d", strings.ToUpper(x.supplier[:1]), 2000+m.random.IntN(7000))
	l.DateCode = m.clock.AddDate(0, 0, -30).Format("0601")
	l.ReceivedAt, l.ReceivedBy = models.Moment(m.clock), m.people.inspector.ID
	if l.told && x.name == "spokes" {
		m.stories.SpokeLot = l.Code
	} else if l.told {
		m.stories.BlockLot = l.Code
	}
	stamp := m.stamp(m.people.inspector)
	if err := m.store.AddLot(m.ctx, stamp, l.Lot); err != nil {
		return err
	}
	if err := m.lookAt(l); err != nil || x.kind == "" {
		return err
	}
	for range l.Quantity {
		m.partNumber[x.model] += 1 + m.random.IntN(4)
		short, _, _ := strings.Cut(x.model, ",")
		number := fmt.Sprintf("%s-%06d", short, 310000+m.partNumber[x.model])
		l.stock = append(l.stock, models.Item{ID: m.newID(), Kind: x.kind, Supplier: x.supplier, Model: x.model, MakerNumber: &number,
			State: models.StateInProcess, Origin: "received", CreatedAt: l.ReceivedAt})
	}
	return m.store.AddItems(m.ctx, stamp, l.stock)
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

// take draws parts from the lot in use. A lot that runs short gives way to the
// newest that has enough, and when there is none a small delivery comes.
func (m *maker) take(key string, n int) (*lot, []models.Item, error) {
	from := m.inUse(key, m.clock)
	for i := len(m.lots[key]) - 1; i >= 0 && len(from.stock) < n; i-- {
		if l := m.lots[key][i]; len(l.stock) >= n {
			from = l
		}
	}
	if len(from.stock) < n {
		x := m.materialOf(key)
		from = m.newLot(x)
		from.Quantity = 10 * n
		m.lots[key] = append(m.lots[key], from)
		if err := m.receive(from, x); err != nil {
			return nil, nil, err
		}
	}
	parts := from.stock[:n]
	from.stock = from.stock[n:]
	return from, parts, nil
}

func (m *maker) materialOf(key string) material {
	for _, x := range m.materials() {
		if x.key == key {
			return x
		}
	}
	return material{}
}
