package demo

import (
	"fmt"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/release"
)

// buildWheel is one wheel from lacing to its certificate, beginning at a moment.
func (m *maker) buildWheel(at time.Time, builder models.Person, place string) error {
	p := m.ordered(m.wheels)
	w := p.form.Wheel
	m.clock = at
	rims, spokes := m.inUse("rim "+p.size, at), m.inUse("spokes "+w.SpokeType, at)
	item, err := m.newWheel(p, builder, rims, spokes)
	if err != nil {
		return err
	}
	r := m.newRim(p, rims, m.skill(builder.Name, at))
	by := m.reader(builder, place, at)
	every := m.random.chance(0.34)
	ticks := m.ticks()
	if m.random.chance(0.10) {
		early := *r
		early.evenness *= 1.3
		early.spread(m)
		if _, err := m.inspect(item, models.BeforeRelief, builder, place, m.wheelSets(p, &early, by, m.random.chance(0.5), yes), models.Conditions{Tyre: "off"}, 6); err != nil {
			return err
		}
		m.clock = m.clock.Add(14 * time.Minute)
	}
	for round := 1; round <= 5; round++ {
		out, err := m.inspect(item, models.AfterRelief, builder, place, m.wheelSets(p, r, by, every, ticks), models.Conditions{Tyre: "off"}, m.random.between(3, 8))
		if err != nil {
			return err
		}
		if out.Inspection.Verdict == models.VerdictPass {
			return m.finishWheel(item, builder, p, r, spokes)
		}
		m.clock = m.clock.Add(time.Duration(m.random.between(9, 26)) * time.Minute)
		r.trued(m)
		ticks = yes
	}
	return nil // given up for the day: it stays in process
}

var yes = []string{"yes", "yes", "yes", "yes", "yes", "yes"}

// ticks is the answered list: mostly yes, a washer seat that does not apply, a
// no now and then.
func (m *maker) ticks() []string {
	list := append([]string{}, yes...)
	if m.random.chance(0.12) {
		list[5] = "na"
	}
	if m.random.chance(0.02) {
		list[m.random.IntN(5)] = "no"
	}
	return list
}

func (m *maker) reader(person models.Person, place string, at time.Time) reader {
	by := reader{place: place, dial: "L-21", gauge: m.tensionGauge(place, at), comma: person.Name == "Ilse Corvin", kgf: person.Name == "Bram Odell", wear: m.wear(place, at)}
	if place == stand2 {
		by.dial = "L-22"
	}
	by.high = m.gaugeFactor(by.gauge, at)
	if !m.stories.Told {
		by.comma, by.kgf = false, false
	}
	return by
}

// newWheel adds the item with its motor and the lots built in.
func (m *maker) newWheel(p product, builder models.Person, rims, spokes *lot) (models.Item, error) {
	m.motorSerial++
	maker, model, _ := strings.Cut(p.motor, " ")
	number := fmt.Sprintf("%s-%05d", model, 20400+m.motorSerial*3)
	stamp := m.stamp(builder)
	motor, err := m.store.AddItem(m.ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: maker, Model: model + ", " + p.power, MakerNumber: &number, Origin: "demo"}, nil)
	if err != nil {
		return models.Item{}, err
	}
	holes := p.form.Wheel.Holes
	nipples := m.inUse("nipples", m.clock)
	return m.store.AddItemWithSerial(m.ctx, stamp, models.Item{ID: models.NewID(), Kind: models.KindWheel, FamilyID: &p.FamilyID, ProductID: &p.ID, Origin: "demo"}, "W", m.clock.Year()%100,
		[]models.FittedPart{
			{Role: "motor", PartID: &motor.ID, Quantity: 1},
			{Role: "rim", LotID: &rims.ID, Quantity: 1},
			{Role: "spokes_a", LotID: &spokes.ID, Quantity: holes / 2},
			{Role: "spokes_b", LotID: &spokes.ID, Quantity: holes / 2},
			{Role: "nipples", LotID: &nipples.ID, Quantity: holes},
		})
}

// inspect records one inspection through the product's own service. It ends at
// the clock, which it moves on.
func (m *maker) inspect(item models.Item, stage string, person models.Person, place string, sets []models.SentSet, conditions models.Conditions, minutes float64) (capture.Outcome, error) {
	started := m.clock
	m.clock = m.clock.Add(time.Duration(minutes * float64(time.Minute))).Truncate(time.Second)
	sub := models.Submission{ID: models.NewID(), Serial: *item.Serial, Stage: stage, Place: place, StartedAt: started, FinishedAt: m.clock, Conditions: conditions, Sets: sets}
	m.summary.Inspections++
	who := actor(person)
	who.Place = place
	out, err := m.capture.Record(m.ctx, who, sub, m.clock)
	if err != nil {
		return out, fmt.Errorf("inspect %s: %w", *item.Serial, err)
	}
	return out, nil
}

// finishWheel releases most wheels, some by the builder, and plans what comes
// later: a recheck of some, and of the bad spoke lot some that come back.
func (m *maker) finishWheel(item models.Item, builder models.Person, p product, r *rim, spokes *lot) error {
	m.clock = m.clock.Add(time.Duration(m.random.between(4, 40)) * time.Minute)
	if m.random.chance(0.95) {
		by := m.people.inspector
		if m.random.chance(0.4) {
			by = builder
		}
		if err := m.issue(item, by, ""); err != nil {
			return err
		}
	}
	bad := m.stories.Told && spokes.told
	if m.random.chance(0.05) || bad && m.random.chance(0.25) {
		m.planRecheck(item, p, r, bad)
	}
	if bad && m.random.chance(0.06) {
		m.laterWork = append(m.laterWork, later{m.clock.AddDate(0, 0, 60+m.random.IntN(70)), func() error {
			_, err := m.release.RaiseHold(m.ctx, actor(m.people.desk), release.HoldRequest{Item: *item.Serial, Code: "W08", Reason: "came back with a broken spoke, side A"})
			return err
		}})
	}
	return nil
}

func (m *maker) issue(item models.Item, by models.Person, reason string) error {
	if _, err := m.release.Issue(m.ctx, actor(by), item.ID, reason); err != nil {
		return fmt.Errorf("certificate of %s: %w", *item.Serial, err)
	}
	m.summary.Certificates++
	return nil
}

// planRecheck measures a wheel again after bedding in: some tension is lost, of
// the bad lot much.
func (m *maker) planRecheck(item models.Item, p product, r *rim, bad bool) {
	m.laterWork = append(m.laterWork, later{m.clock.AddDate(0, 0, 12+m.random.IntN(16)), func() error {
		loss := m.random.between(0.015, 0.045)
		if bad {
			loss = m.random.normal(m.stories.SpokeLoss, 0.02)
		}
		for j := range r.tension {
			r.tension[j] *= 1 - loss
		}
		by := m.reader(m.people.inspector, stand1, m.clock)
		out, err := m.inspect(item, models.Recheck, m.people.inspector, stand1, m.wheelSets(p, r, by, m.random.chance(0.6), yes), models.Conditions{Tyre: "off"}, 5)
		if err != nil || out.Item.State != models.StateReleased || !m.random.chance(0.3) {
			return err
		}
		m.clock = m.clock.Add(10 * time.Minute)
		return m.issue(item, m.people.inspector, "rechecked after bedding in")
	}})
}
