package demo

import (
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
	"tracewright/models/work/capture"
)

// leaveOpen is how the last day ends: holds and a void certificate, wheels that
// have failed and wait for truing, wheels and packs not yet measured, drafts
// begun, a reading with an overdue dial, two inspections under serials nobody
// knows, a wheel ready to be released, rolls of labels printed ahead, and lots that wait
// for somebody.
func (m *maker) leaveOpen() error {
	for _, step := range []func() error{m.leaveHolds, m.leaveFailing, m.leaveUnmeasured, m.leaveOverdue, m.leaveUnknown, m.leaveReady, m.leaveOrders, m.leaveRolls, m.leaveGoods, m.leaveLabels, m.leaveClaims} {
		m.clock = m.clock.Add(4 * time.Minute)
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// leaveHolds voids the last wheel's certificate and holds two others.
func (m *maker) leaveHolds() error {
	var last []*wheelWork
	for i := len(m.finished) - 1; i >= 0 && len(last) < 3; i-- {
		if !m.finished[i].held {
			last = append(last, m.finished[i])
		}
	}
	if len(last) < 3 {
		return fmt.Errorf("only %d wheels are released", len(last))
	}
	if err := m.release.Void(m.ctx, actor(m.people.inspector), last[0].certificate.ID, "printed for the wrong order"); err != nil {
		return err
	}
	for i, w := range last[1:] {
		if err := m.raise(w.item, m.people.inspector, wheelDoubts[i].code, wheelDoubts[i].reason); err != nil {
			return err
		}
	}
	return nil
}

// begun is a wheel of the last hour.
func (m *maker) begun(builder, p int) (*wheelWork, error) {
	person := m.people.builders[builder%len(m.people.builders)]
	w, err := m.newWheel(m.wheels[p%len(m.wheels)], person, m.skill(person.Name, m.clock))
	if err != nil {
		return nil, err
	}
	w.number = builder
	return w, nil
}

// reads is what its builder reads of it.
func (m *maker) reads(w *wheelWork) []models.SentSet {
	return m.wheelSets(w.product, w.rim, m.reader(w.builder, m.standOf(w.number, m.clock)), w.every, yes)
}

// send records readings after relief that took some minutes.
func (m *maker) send(w *wheelWork, sets []models.SentSet) (capture.Outcome, error) {
	started := m.clock
	m.clock = m.clock.Add(m.random.minutes(3, 6))
	return m.record(inspection{w.item, models.AfterRelief, w.builder, m.standOf(w.number, m.clock), started, sets, tyreOff})
}

// leaveFailing makes four wheels that failed as any may, and are to be trued
// tomorrow: three read at every hole, so that they have a turn list, one of
// them of the product that has none yet.
func (m *maker) leaveFailing() error {
	without := slices.IndexFunc(m.wheels, func(p product) bool { return p.Name == withoutTurnList })
	for i, p := range []int{4, 6, 8, without} {
		w, err := m.begun(i, p)
		if err != nil {
			return err
		}
		w.every = i != 1
		for range 500 {
			if over := w.rim.swing(lateral, 1) - limitOf(w.spec, kinds.LateralRunOut); over > 0.02 && over < 0.12 {
				break
			}
			w.rim = m.newRim(w.product, w.rims, 1)
		}
		if _, err := m.send(w, m.reads(w)); err != nil {
			return err
		}
	}
	return nil
}

// leaveUnmeasured makes items that wait for their first reading, two of them
// with a draft begun.
func (m *maker) leaveUnmeasured() error {
	for i := range 8 {
		w, err := m.begun(i, 3*i+1)
		if err != nil {
			return err
		}
		if i >= 2 {
			continue
		}
		started, sets := m.clock.Add(-time.Minute), m.reads(w)[:i+1]
		spread(sets, time.Minute)
		sub := models.Submission{ID: m.newID(), Serial: *w.item.Serial, Stage: models.AfterRelief, Place: m.standOf(i, m.clock), StartedAt: started, FinishedAt: m.clock,
			Conditions: tyreOff, Sets: sets}
		if _, err := m.capture.SaveDraft(m.ctx, actor(w.builder), sub, 0); err != nil {
			return err
		}
	}
	for _, p := range m.packs {
		if _, err := m.newPack(p); err != nil {
			return err
		}
	}
	return nil
}

// leaveOverdue measures one wheel with the spare dial, which is overdue: kept,
// flagged, and not released yet.
func (m *maker) leaveOverdue() error {
	w, err := m.begun(3, 1)
	if err != nil {
		return err
	}
	sets := m.reads(w)
	for i := range sets {
		if sets[i].Instrument == "L-21" || sets[i].Instrument == "L-22" {
			sets[i].Instrument = overdueDial
		}
	}
	_, err = m.send(w, sets)
	return err
}

// leaveReady makes a wheel that has passed, read at every hole, and waits for
// its certificate.
func (m *maker) leaveReady() error {
	w, err := m.begun(1, 5)
	if err != nil {
		return err
	}
	w.every = true
	for round := 1; ; round++ {
		out, err := m.send(w, m.reads(w))
		if err != nil || out.Inspection.Verdict == models.VerdictPass || round > 6 {
			return err
		}
		m.clock = m.clock.Add(m.random.minutes(4, 8))
		m.trued(w.rim, w.spec, round)
	}
}

// leaveUnknown sends two inspections under serials that were never given out.
func (m *maker) leaveUnknown() error {
	for i, counter := range []int{30211, 30388} {
		serial, _, err := ident.Next(ident.Wheel, (m.clock.Year()+98)%100, counter)
		if err != nil {
			return err
		}
		p, builder := m.wheels[i], m.people.builders[i]
		sets := m.wheelSets(p, m.newRim(p, m.inUse(p.rimKey(), m.clock), 1), m.reader(builder, stand1), false, yes)
		started := m.clock
		m.clock = m.clock.Add(m.random.minutes(3, 6))
		if _, err := m.record(inspection{models.Item{Serial: &serial}, models.AfterRelief, builder, stand1, started, sets, tyreOff}); err != nil {
			return err
		}
	}
	return nil
}

// leaveRolls prints labels ahead: wheels of any product, and one pack's.
func (m *maker) leaveRolls() error {
	stamp, year := m.stamp(m.people.inspector), m.clock.Year()%100
	for _, r := range []models.SerialRoll{
		{ID: m.newID(), Letter: "P", Year: year, First: 1, Last: 40, ProductID: &m.packs[0].ID},
		{ID: m.newID(), Letter: "W", Year: year, First: 1, Last: 60},
	} {
		if _, err := m.store.AddRoll(m.ctx, stamp, r); err != nil {
			return err
		}
	}
	return nil
}
