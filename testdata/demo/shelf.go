package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// stood is a pack that passed, as it may stand on the shelf.
type stood struct {
	work *packWork
	read time.Time
}

// shelfPlaces are where packs stand and how warm it is there, degrees. The loft
// lies over the boiler.
var shelfPlaces = []struct {
	name string
	c    float64
}{{"rack C 1", 21}, {"rack C 2", 21}, {"rack C 3", 20.5}, {"loft 1", 29}, {"loft 2", 28.5}}

// aged are packs, the longest first, that nobody took out for long: the place and how many days ago
// they were read. At these places the interval by the calendar is 182, 138 and
// 143 days.
var aged = []struct {
	place string
	days  int
}{{"rack C 1", 184}, {"rack C 2", 171}, {"loft 1", 150}, {"loft 2", 145}, {"loft 2", 134}, {"rack C 3", 120}, {"rack C 2", 96}}

// shelfDays is how many days before the last the places of packs begin to be
// kept; those that nobody took out for long are the exception.
const shelfDays = 45

// shelves is what stands on the shelf so far. It has a chance of its own, so
// that the rest of the shop does not hang on it.
type shelves struct {
	random *random
	aged   int // how many of aged are found
	on     []stood
	placed int
}

func newShelves(seed uint64) shelves {
	return shelves{random: &random{rand.New(rand.NewPCG(seed, 0x7368656c66))}}
}

// planShelf plans a temperature a week at each place, and what is charged on the
// last day.
func (m *maker) planShelf() error {
	for _, p := range shelfPlaces {
		for at := on(m.days[0], 8, 10); at.Before(m.end); at = at.AddDate(0, 0, 7) {
			m.plan(at, func() error {
				c := p.c
				if at.AddDate(0, 0, 7).Before(m.end) {
					c += m.shelves.random.between(-0.4, 0.4)
				}
				return m.store.AddShelfTemperature(m.ctx, m.stamp(m.people.packs), models.ShelfTemperature{ID: m.newID(), Place: p.name, C: fmt.Sprintf("%.1f", c), At: m.clock})
			})
		}
	}
	m.planDischarge()
	last := m.days[len(m.days)-1]
	m.plan(on(last, 7, 10), func() error { return m.chargeFromShelf("CH-1", 7*time.Hour) })
	m.plan(on(last, 14, 40), func() error { return m.chargeFromShelf("CH-2", 0) })
	m.plan(on(last, 9, 5), func() error {
		p, ok := m.takeOld()
		if !ok {
			return nil
		}
		return m.store.AddWantedDate(m.ctx, m.stamp(m.people.packs), models.WantedDate{ID: m.newID(), ItemID: p.work.item.ID, Day: m.end.AddDate(0, 0, 9).Format(time.DateOnly)})
	})
	return nil
}

// shelve ticks off how a pack was built, and puts it on the shelf: the packs of
// the last weeks, most of which are taken out and sent, and a few that stay.
func (m *maker) shelve(w *packWork) error {
	days := m.end.Sub(m.clock).Hours() / 24
	place, stays := "", false
	if n := m.shelves.aged; n < len(aged) && days <= float64(aged[n].days) && strings.HasPrefix(w.form.Pack.Chemistry, "agm") && w.rest >= 24 {
		place, stays = aged[n].place, true
		m.shelves.aged++
	} else if days <= shelfDays {
		place = shelfPlaces[m.shelves.placed%3].name
		m.shelves.placed++
	}
	if place == "" {
		return nil
	}
	w.shelved = true
	for _, step := range []string{"joined", "soldered", "polarity", "insulated", "wrapped", "labelled"} {
		tick := models.BuildTick{ID: m.newID(), Step: step, Done: true, DoneAt: m.clock}
		if err := m.store.AddBuildTick(m.ctx, m.stamp(m.people.packs), w.item.ID, func([]models.BuildTick) (*models.BuildTick, error) { return &tick, nil }); err != nil {
			return err
		}
	}
	p := stood{w, m.clock}
	m.plan(m.clock.Add(m.shelves.random.minutes(20, 90)), func() error {
		m.shelves.on = append(m.shelves.on, p)
		return m.place(p, place)
	})
	out := m.atWork(m.clock.Add(time.Duration(m.shelves.random.between(1, 24) * 24 * float64(time.Hour))))
	if !stays && !m.shelves.random.chance(0.3) {
		m.plan(out, func() error { return m.takeOut(p) })
	}
	return nil
}

// takeOut takes a pack from the shelf, to be sent where it is released.
func (m *maker) takeOut(p stood) error {
	at := slices.IndexFunc(m.shelves.on, func(x stood) bool { return x.work == p.work })
	if at < 0 {
		return nil // on a charger by now
	}
	m.shelves.on = slices.Delete(m.shelves.on, at, at+1)
	m.goesOut(p.work.item, p.work.ID)
	return m.place(p, "")
}

func (m *maker) place(p stood, place string) error {
	return m.store.AddShelfPlace(m.ctx, m.stamp(m.people.packs), models.ShelfPlace{ID: m.newID(), ItemID: p.work.item.ID, Place: place, Since: m.clock})
}

// takeOld finds the next pack that was read four to six weeks ago.
func (m *maker) takeOld() (stood, bool) {
	for i, p := range m.shelves.on {
		if age := m.clock.Sub(p.read).Hours() / 24; age > 26 && age < 44 {
			m.shelves.on = append(m.shelves.on[:i:i], m.shelves.on[i+1:]...)
			return p, true
		}
	}
	return stood{}, false // too small a shop
}

// chargeFromShelf puts a pack on a charger; without a length it still runs.
func (m *maker) chargeFromShelf(charger string, length time.Duration) error {
	p, ok := m.takeOld()
	if !ok {
		return nil
	}
	if err := m.place(p, "rack C 2"); err != nil {
		return err
	}
	c := models.Charge{ID: m.newID(), ItemID: p.work.item.ID, Kind: models.ChargeRefresh, Charger: charger, StartedAt: m.clock}
	if _, err := m.store.AddCharge(m.ctx, m.stamp(m.people.packs), c); err != nil || length == 0 {
		return err
	}
	m.plan(m.clock.Add(length), func() error {
		return m.store.EndCharge(m.ctx, m.stamp(m.people.packs), models.ChargeEnd{ChargeID: c.ID, EndedAt: m.clock, EndCurrent: "0.08"})
	})
	return nil
}
