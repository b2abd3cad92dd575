package demo

import (
	"fmt"
	"math/rand/v2"
	"time"

	"tracewright/models"
)

// outgoing is what was released and waits to be sent, and to whom. It has a
// chance of its own, so that the rest of the shop does not hang on it.
type outgoing struct {
	random    *random
	wheels    []waiting
	packs     []waiting
	kits      map[string]models.Product // by product of wheel
	customers []models.Customer
	order     int // number of the last one
}

// waiting is an item that may go from a moment on.
type waiting struct {
	item    models.Item
	product string
	from    time.Time
}

// kitParts are the small parts of every kit.
var kitParts = []models.KitLine{{Part: "torque arm, 12 mm", Quantity: 1}, {Part: "axle nut and washer set", Quantity: 2}, {Part: "cable ties", Quantity: 10}}

// firstNames, lastNames and streets make customers of nobody.
var (
	firstNames = []string{"Ada", "Bruno", "Cleo", "Derk", "Elin", "Falk", "Greta", "Hanno", "Ines", "Jorn", "Kaja", "Levin"}
	lastNames  = []string{"Brenn", "Castell", "Dorval", "Ekman", "Forsell", "Grau", "Holm"}
	streets    = []string{"Quay", "Mill Lane", "Ropewalk", "Harbour Street", "North Field"}
	carriers   = []string{"Foxline", "Brisk Parcel", "fetched"}
)

func newOutgoing(seed uint64) outgoing {
	return outgoing{random: &random{rand.New(rand.NewPCG(seed, 0x736869707065))}, kits: map[string]models.Product{}, order: 4100}
}

// makeKits adds a kit for each product of wheel, and customers.
func (m *maker) makeKits() error {
	family := models.Family{ID: m.newID(), Kind: models.KindKit, Name: "Conversion kits"}
	first := models.Specification{ID: m.newID(), FamilyID: family.ID, Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}
	if err := m.store.AddFamily(m.ctx, m.stamp(m.people.owner), family, first); err != nil {
		return err
	}
	for _, w := range m.wheels {
		lines := append([]models.KitLine{{Product: w.ID, Quantity: 1}, {Product: m.packs[0].ID, Quantity: 1}}, kitParts...)
		p := models.Product{ID: m.newID(), FamilyID: family.ID, Name: w.Name + " kit"}
		if err := m.store.AddProduct(m.ctx, m.stamp(m.people.owner), p, models.ProductRevision{Form: models.ProductForm{Kit: &models.KitForm{Lines: lines}}}); err != nil {
			return err
		}
		m.out.kits[w.ID] = p
	}
	for i := range 40 {
		c := models.Customer{ID: m.ids.secret(), Name: firstNames[i%len(firstNames)] + " " + lastNames[i%len(lastNames)], Address: fmt.Sprintf("%s %d\n%d Westhaven", streets[i%len(streets)], 2+3*i, 4100+7*i), Phone: fmt.Sprintf("555 0%03d", 100+7*i)}
		c.Email = fmt.Sprintf("%s.%d@example.org", firstNames[i%len(firstNames)], i)
		if err := m.store.AddCustomer(m.ctx, m.stamp(m.people.desk), c); err != nil {
			return err
		}
		m.out.customers = append(m.out.customers, c)
	}
	for _, day := range m.days {
		m.plan(on(day, 15, 40), m.sendOff)
	}
	return nil
}

// goesOut puts an item among those that will be sent in one to six days.
func (m *maker) goesOut(item models.Item, product string) {
	w := waiting{item, product, m.clock.Add(time.Duration(m.out.random.between(1, 6) * 24 * float64(time.Hour)))}
	if item.Kind == models.KindPack {
		m.out.packs = append(m.out.packs, w)
	} else {
		m.out.wheels = append(m.out.wheels, w)
	}
}

// taken takes the next item that might go by a moment.
func (m *maker) taken(list *[]waiting, product string, by time.Time) (waiting, bool) {
	for i, w := range *list {
		if w.from.After(by) || product != "" && w.product != product {
			continue
		}
		*list = append((*list)[:i:i], (*list)[i+1:]...)
		if item, err := m.store.Item(m.ctx, w.item.ID); err != nil || item.State != models.StateReleased {
			return m.taken(list, product, by) // Held or void since.
		}
		return w, true
	}
	return waiting{}, false
}

// sendOff sends what may go today: a wheel in a kit with a pack where one is
// ready, by itself otherwise.
func (m *maker) sendOff() error {
	for {
		w, ok := m.taken(&m.out.wheels, "", m.clock)
		if !ok {
			return m.sendPacks()
		}
		items := []string{w.item.ID}
		if m.out.random.chance(0.45) {
			if pack, ok := m.taken(&m.out.packs, m.packs[0].ID, m.clock); ok {
				kit, err := m.packedKit(w.product, w.item, &pack.item)
				if err != nil {
					return err
				}
				items = []string{kit.ID}
			}
		}
		if err := m.ship(items); err != nil {
			return err
		}
		if err := m.mayComeBack(w.item); err != nil {
			return err
		}
	}
}

// sendPacks sends packs by themselves: those that go into no kit here, and of the
// others what waited longer than any wheel does.
func (m *maker) sendPacks() error {
	for i, p := range m.packs {
		by := m.clock
		if i == 0 {
			by = by.AddDate(0, 0, -60)
		}
		for {
			w, ok := m.taken(&m.out.packs, p.ID, by)
			if !ok {
				break
			}
			if err := m.ship([]string{w.item.ID}); err != nil {
				return err
			}
		}
	}
	return nil
}

// ship is one order's shipment.
func (m *maker) ship(items []string) error {
	m.out.order++
	c := m.out.customers[m.out.random.IntN(len(m.out.customers))]
	sh := models.Shipment{ID: m.newID(), Items: items, OrderRef: fmt.Sprint(m.out.order), Carrier: carriers[m.out.random.IntN(len(carriers))], Customer: c.ID}
	_, err := m.store.AddShipment(m.ctx, m.stamp(m.people.desk), m.clock.Year()%100, sh)
	return err
}

// packedKit makes a kit of a wheel with what is given put in.
func (m *maker) packedKit(wheelProduct string, wheel models.Item, pack *models.Item) (models.Item, error) {
	p, by := m.out.kits[wheelProduct], m.people.packs
	kit, err := m.store.AddItemWithSerial(m.ctx, m.stamp(by), models.Item{ID: m.newID(), Kind: models.KindKit, FamilyID: &p.FamilyID, ProductID: &p.ID, Origin: "made"}, "K", m.clock.Year()%100, nil)
	if err != nil {
		return kit, err
	}
	put := []models.KitPacking{{ItemID: &wheel.ID, Quantity: 1}}
	if pack != nil {
		put = append(put, models.KitPacking{ItemID: &pack.ID, Quantity: 1})
		for _, l := range kitParts {
			put = append(put, models.KitPacking{Part: l.Part, Quantity: l.Quantity})
		}
	}
	for _, x := range put {
		x.ID, x.KitID, x.Added = m.newID(), kit.ID, true
		if err := m.store.PackKit(m.ctx, m.stamp(by), x); err != nil {
			return kit, err
		}
	}
	return kit, nil
}

// leaveOrders leaves two kits at the packing bench and orders that wait.
func (m *maker) leaveOrders() error {
	for _, withPack := range []bool{true, false} {
		w, ok := m.last(m.out.wheels)
		if !ok {
			return nil // too small a shop
		}
		var pack *models.Item
		if p, ok := m.last(m.out.packs); ok && withPack && p.product == m.packs[0].ID {
			pack = &p.item
		}
		if _, err := m.packedKit(w.product, w.item, pack); err != nil {
			return err
		}
	}
	for i, o := range []struct {
		days  int
		lines []models.OrderLine
	}{{-2, []models.OrderLine{{Product: m.wheels[1].ID, Quantity: 2}}}, {3, []models.OrderLine{{Product: m.out.kits[m.wheels[5].ID].ID, Quantity: 2}, {Product: m.packs[0].ID, Quantity: 1}}}, {11, []models.OrderLine{{Product: m.wheels[6].ID, Quantity: 4}}}} {
		order := models.Order{ID: m.newID(), Ref: fmt.Sprint(m.out.order + 1 + i), Customer: m.out.customers[i].ID, DueOn: m.end.AddDate(0, 0, o.days).Format(time.DateOnly), Lines: o.lines}
		if err := m.store.AddOrder(m.ctx, m.stamp(m.people.desk), order); err != nil {
			return err
		}
	}
	return nil
}

// last is the newest item that waits and is released still.
func (m *maker) last(list []waiting) (waiting, bool) {
	for i := len(list) - 1; i >= 0; i-- {
		item, err := m.store.Item(m.ctx, list[i].item.ID)
		if err != nil || item.State != models.StateReleased {
			continue
		}
		if kit, err := m.store.KitOf(m.ctx, item.ID); err == nil && kit == "" {
			return list[i], true
		}
	}
	return waiting{}, false
}
