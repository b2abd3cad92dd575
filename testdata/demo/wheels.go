package demo

import (
	"strconv"
	"time"

	"tracewright/models"
)

// wheelWork is one wheel on its way through the shop.
type wheelWork struct {
	product
	item        models.Item
	builder     models.Person
	number      int // of the builder
	rim         *rim
	rims        *lot
	spokes      *lot
	every       bool // every hole is read, or the extremes and a sample
	ticks       []string
	round       int
	certificate models.Certificate // in force; its key is empty when there is none
	held        bool
}

// buildWheel is one wheel, laced, trued and seated, that now comes to be read.
func (m *maker) buildWheel() error {
	p, number := m.ordered(m.wheels), m.random.IntN(len(m.people.builders))
	builder := m.people.builders[number]
	w, err := m.newWheel(p, builder, m.skill(builder.Name, m.clock))
	if err != nil {
		return err
	}
	m.summary.Wheels++
	w.number, w.every, w.ticks = number, m.random.chance(0.34), m.ticks()
	if !m.random.chance(0.10) {
		m.read(w)
		return nil
	}
	started := m.clock
	m.plan(started.Add(m.random.minutes(3, 7)), func() error {
		by := m.reader(builder, m.standOf(number, m.clock))
		sets := m.wheelSets(p, m.uneven(w.rim), by, m.random.chance(0.5), yes)
		if _, err := m.record(inspection{w.item, models.BeforeRelief, builder, by.place, started, sets, tyreOff}); err != nil {
			return err
		}
		m.plan(m.atWork(m.clock.Add(m.random.minutes(8, 16))), func() error { m.read(w); return nil })
		return nil
	})
	return nil
}

var tyreOff = models.Conditions{Tyre: "off"}

// newWheel adds the item with its motor and the lots built in.
func (m *maker) newWheel(p product, builder models.Person, skill float64) (*wheelWork, error) {
	rims, spokes, nipples := m.inUse(p.rimKey(), m.clock), m.inUse(p.spokeKey(), m.clock), m.inUse("nipples", m.clock)
	motors, motor, err := m.take(p.motorKey(), 1)
	if err != nil {
		return nil, err
	}
	holes := p.form.Wheel.Holes
	parts := []models.FittedPart{
		{Role: "motor", PartID: &motor[0].ID, Quantity: 1},
		{Role: "motor", LotID: &motors.ID, Quantity: 1},
		{Role: "rim", LotID: &rims.ID, Quantity: 1},
		{Role: "spokes_a", LotID: &spokes.ID, Quantity: holes / 2},
		{Role: "spokes_b", LotID: &spokes.ID, Quantity: holes / 2},
		{Role: "nipples", LotID: &nipples.ID, Quantity: holes},
	}
	item, err := m.addItem(models.KindWheel, p, builder, parts)
	return &wheelWork{product: p, item: item, builder: builder, rim: m.newRim(p, rims, skill), rims: rims, spokes: spokes}, err
}

// addItem makes an item under the next serial.
func (m *maker) addItem(kind string, p product, by models.Person, parts []models.FittedPart) (models.Item, error) {
	for i := range parts {
		parts[i].ID = m.newID()
	}
	letter := map[string]string{models.KindWheel: "W", models.KindPack: "P"}[kind]
	return m.store.AddItemWithSerial(m.ctx, m.stamp(by), models.Item{ID: m.newID(), Kind: kind, FamilyID: &p.FamilyID, ProductID: &p.ID, Origin: "made"}, letter, m.clock.Year()%100, parts)
}

// read plans the next round at the stand: readings after relief, then either
// release or truing and another round.
func (m *maker) read(w *wheelWork) {
	started := m.clock
	takes := m.random.minutes(2.2, 5)
	if w.every {
		takes = m.random.minutes(8, 13)
	}
	m.plan(started.Add(takes), func() error {
		w.round++
		by := m.reader(w.builder, m.standOf(w.number, m.clock))
		out, err := m.record(inspection{w.item, models.AfterRelief, w.builder, by.place, started, m.wheelSets(w.product, w.rim, by, w.every, w.ticks), tyreOff})
		if err != nil {
			return err
		}
		if out.Inspection.Verdict == models.VerdictPass {
			return m.passed(w)
		}
		m.plan(m.atWork(m.clock.Add(m.random.minutes(9, 26))), func() error {
			m.trued(w.rim, w.spec, w.round)
			w.tighten()
			w.ticks = yes
			m.read(w)
			return nil
		})
		return nil
	})
}

// tighten brings spokes that are too slack up to what their specification asks
// for, and a little more.
func (w *wheelWork) tighten() {
	limit, _, _ := w.spec.Limit(tightMean)
	least, err := strconv.ParseFloat(limit.Low, 64)
	if tight := max(w.rim.sideMean[0], w.rim.sideMean[1]); err == nil && tight < least+15 {
		w.rim.lose(1 - (least+15)/tight)
	}
}

// passed releases most wheels, some by the builder; a few are held first, and a
// few wait some days.
func (m *maker) passed(w *wheelWork) error {
	if m.random.chance(0.05) {
		m.plan(m.daysOn(2+m.out.random.IntN(7)), func() error { return m.releaseWheel(w, m.people.inspector) })
		return nil
	}
	by := m.people.inspector
	if m.random.chance(0.4) {
		by = w.builder
	}
	let := func() error { return m.releaseWheel(w, by) }
	if m.random.chance(0.012) {
		return m.inDoubt(w.item, w.builder, wheelDoubts, let)
	}
	m.plan(m.atWork(m.clock.Add(m.random.minutes(4, 40))), let)
	return nil
}

// releaseWheel issues the certificate and plans what comes later: a recheck of
// some, and of the bad spoke lot some that come back.
func (m *maker) releaseWheel(w *wheelWork, by models.Person) (err error) {
	if w.certificate, err = m.issue(w.item, by, ""); err != nil {
		return err
	}
	m.finished = append(m.finished, w)
	if m.random.chance(0.06) || w.spokes.told && m.random.chance(0.25) {
		m.plan(m.daysOn(12+m.random.IntN(16)), func() error { return m.recheck(w) })
	} else {
		m.goesOut(w.item, w.ID)
	}
	if w.spokes.told && m.random.chance(0.09) {
		came := returned[m.random.IntN(len(returned))]
		m.plan(m.daysOn(60+m.random.IntN(60)), func() error {
			w.held = true
			return m.raise(w.item, m.people.desk, "W08", came)
		})
	}
	return nil
}

// returned is what the desk writes when a wheel comes back.
var returned = []string{
	"came back: one spoke broken at the elbow, side A", "came back: two spokes broken at the elbow, side B",
	"came back: one spoke broken at the elbow, side B, the next ones slack", "came back: a spoke broken in the thread, side A",
}

// recheck measures a wheel again after bedding in: some tension is lost, of the
// bad lot much. Some that pass get a new certificate.
func (m *maker) recheck(w *wheelWork) error {
	started := m.clock.Add(-m.random.minutes(4, 9))
	w.rim.lose(m.spokeLoss(w.spokes))
	by := m.reader(m.people.inspector, stand1)
	out, err := m.record(inspection{w.item, models.Recheck, m.people.inspector, stand1, started, m.wheelSets(w.product, w.rim, by, m.random.chance(0.6), yes), tyreOff})
	if err != nil {
		return err
	}
	if out.Item.State != models.StateReleased {
		w.held = true
		if !w.spokes.told {
			m.plan(m.daysOn(1+m.random.IntN(4)), func() error { return m.setRight(w) })
		}
		return nil
	}
	m.goesOut(w.item, w.ID)
	if !m.random.chance(0.3) {
		return nil
	}
	m.plan(m.atWork(m.clock.Add(10*time.Minute)), func() (err error) {
		if !w.held {
			w.certificate, err = m.issue(w.item, m.people.inspector, "rechecked after bedding in")
		}
		return err
	})
	return nil
}

// setRight tightens and trues a wheel whose recheck failed. When it passes, the hold is
// lifted and a new certificate replaces the old one.
func (m *maker) setRight(w *wheelWork) error {
	w.rim.lose(-0.025)
	m.trued(w.rim, w.spec, 1)
	started := m.clock.Add(-m.random.minutes(8, 13))
	by := m.reader(m.people.inspector, stand1)
	out, err := m.record(inspection{w.item, models.Recheck, m.people.inspector, stand1, started, m.wheelSets(w.product, w.rim, by, true, yes), tyreOff})
	if err != nil {
		return err
	}
	if out.Inspection.Verdict != models.VerdictPass {
		m.plan(m.daysOn(1), func() error { return m.setRight(w) })
		return nil
	}
	if err := m.liftAll(w.item, "corrected", "trued and measured again"); err != nil {
		return err
	}
	w.held = false
	m.goesOut(w.item, w.ID)
	w.certificate, err = m.issue(w.item, m.people.inspector, "trued again after bedding in")
	return err
}
