package demo

import (
	"fmt"
	"math/rand/v2"
	"time"

	"tracewright/models"
	"tracewright/models/work/studies"
)

// planStudies has two gauges asked how far they are to be believed: the dial of
// stand 1 by three builders on ten wheels, which is confirmed and stands in the
// budget; and the tension gauge of stand 1 by a hung weight every week, which goes
// on. Their chance is their own, so that nothing else of the shop moves.
func (m *maker) planStudies() error {
	chance := &random{rand.New(rand.NewPCG(m.options.Seed, 0x7374756479))}
	m.plan(on(m.days[len(m.days)*2/3], 11, 10), func() error { return m.studyDial(chance) })
	start := len(m.days) - 5*13
	if start >= 0 {
		m.plan(on(m.days[start], 7, 40), func() error { return m.studyWeight(chance, start) })
	}
	return nil
}

// studyDial: single readings scatter by 5 um, the third person reads 6 um high.
func (m *maker) studyDial(chance *random) error {
	const wheels, repeats = 10, 2
	items := make([]models.StudyItem, 0, wheels)
	for i := len(m.finished) - 1; i >= 0 && len(items) < wheels; i-- {
		if w := m.finished[i]; w.family.ID == m.wheels[0].family.ID {
			items = append(items, models.StudyItem{Name: *w.item.Serial})
		}
	}
	if len(items) < wheels {
		return nil // A shop of a few wheels has none to spare.
	}
	persons := m.people.builders[:3]
	v, err := m.studies.Plan(m.ctx, actor(m.people.inspector), studies.Plan{Design: models.StudyCrossed, Instrument: "L-21", FamilyID: m.wheels[0].family.ID, Result: "lateral_tir",
		Persons: []string{persons[0].ID, persons[1].ID, persons[2].ID}, Items: items, Repeats: repeats, Seed: 4_711, Note: "Wheels that wait for their shipment, read as extremes."})
	if err != nil {
		return err
	}
	runout := make([]float64, len(items))
	for i := range runout {
		runout[i] = chance.between(0.08, 0.27)
	}
	at := m.clock
	for i, turn := range v.Study.Turns {
		at = at.Add(chance.minutes(1.2, 2.4))
		read := chance.normal(runout[turn.Item]+[]float64{0, 0.001, 0.006}[turn.Person], 0.005)
		m.plan(at, func() error { return m.enter(v, i, persons[turn.Person], fmt.Sprintf("%.2f", read)) })
	}
	m.plan(m.atWork(at.Add(20*time.Minute)), func() error {
		_, err := m.studies.Confirm(m.ctx, actor(m.people.inspector), v.Study.Number, "")
		return err
	})
	return nil
}

// studyWeight begins a study that has thirteen of its twenty weeks behind it.
func (m *maker) studyWeight(chance *random, start int) error {
	v, err := m.studies.Plan(m.ctx, actor(m.people.inspector), studies.Plan{Design: models.StudyStability, Instrument: "T-31", FamilyID: m.wheels[0].family.ID, Result: "tension_mean_tight",
		Persons: []string{m.people.inspector.ID}, Items: []models.StudyItem{{Name: "Hung weight, 102 kg", Reference: "1000"}}, Repeats: 20, Seed: 815, Note: "Every Monday before the first wheel."})
	if err != nil {
		return err
	}
	for i, day := 0, start; day < len(m.days) && i < len(v.Study.Turns); i, day = i+1, day+5 {
		m.plan(on(m.days[day], 7, 50), func() error {
			return m.enter(v, i, m.people.inspector, fmt.Sprintf("%.0f", chance.normal(1004, 4)))
		})
	}
	return nil
}

func (m *maker) enter(v studies.View, turn int, by models.Person, typed string) error {
	return m.studies.Enter(m.ctx, actor(by), v.Study.Number, studies.Entry{ID: m.newID(), Turn: turn, Typed: typed})
}
