package demo

import (
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/release"
)

// inspection is one session to be recorded; it ends at the shop's clock.
type inspection struct {
	item       models.Item
	stage      string
	person     models.Person
	place      string
	started    time.Time
	sets       []models.SentSet
	conditions models.Conditions
}

// record sends an inspection through the product's own service. The readings
// are spread evenly over its time.
func (m *maker) record(i inspection) (capture.Outcome, error) {
	spread(i.sets, m.clock.Sub(i.started))
	sub := models.Submission{ID: m.newID(), Serial: *i.item.Serial, Stage: i.stage, Place: i.place, StartedAt: i.started, FinishedAt: m.clock, Conditions: i.conditions, Sets: i.sets}
	who := actor(i.person)
	who.Place = i.place
	m.summary.Inspections++
	out, err := m.capture.Record(m.ctx, who, sub, m.clock)
	if err != nil {
		return out, fmt.Errorf("inspect %s: %w", *i.item.Serial, err)
	}
	return out, nil
}

// spread lays the moments of readings evenly over a time.
func spread(sets []models.SentSet, over time.Duration) {
	readings := 1
	for _, set := range sets {
		readings += len(set.Values)
	}
	step, at := over.Milliseconds()/int64(readings), int64(0)
	for k := range sets {
		sets[k].Moments = make([]int64, len(sets[k].Values))
		for j := range sets[k].Moments {
			at += step
			sets[k].Moments[j] = at
		}
	}
}

// issue releases an item and gives its certificate.
func (m *maker) issue(item models.Item, by models.Person, reason string) (models.Certificate, error) {
	c, err := m.release.Issue(m.ctx, actor(by), item.ID, reason)
	if err != nil {
		return c, fmt.Errorf("certificate of %s: %w", *item.Serial, err)
	}
	m.summary.Certificates++
	return c, nil
}

func (m *maker) raise(item models.Item, by models.Person, code, reason string) error {
	if _, err := m.release.RaiseHold(m.ctx, actor(by), release.HoldRequest{Item: *item.Serial, Code: code, Reason: reason}); err != nil {
		return fmt.Errorf("hold %s: %w", *item.Serial, err)
	}
	return nil
}

// liftAll ends every hold that is open on an item.
func (m *maker) liftAll(item models.Item, code, reason string) error {
	holds, err := m.store.OpenHolds(m.ctx, item.ID)
	if err != nil {
		return fmt.Errorf("holds on %s: %w", *item.Serial, err)
	}
	for _, h := range holds {
		if _, err := m.release.LiftHold(m.ctx, actor(m.people.inspector), h.ID, code, reason); err != nil {
			return fmt.Errorf("lift the hold on %s: %w", *item.Serial, err)
		}
	}
	return nil
}

// doubt is something that somebody saw beside the readings, and what came of
// looking again.
type doubt struct{ code, reason, lift, found string }

var wheelDoubts = []doubt{
	{"W14", "a step at the rim joint, to be felt with the thumb", "corrected", "joint dressed with a fine file"},
	{"W20", "jacket nicked near the axle", "no_fault_found", "a smear of rubber, wiped off"},
	{"W14", "the joint clicks when the rim is pressed", "no_fault_found", "grit in the joint, blown out"},
}

var packDoubts = []doubt{
	{"P06", "a busbar nut turns by hand", "corrected", "all nuts of the pack set to torque again"},
	{"P07", "a wire lies bare at the edge of the case", "corrected", "sleeved and laid anew"},
}

// inDoubt holds an item that has passed, and plans that the inspector looks at
// it and what then follows.
func (m *maker) inDoubt(item models.Item, by models.Person, list []doubt, then func() error) error {
	d := list[m.random.IntN(len(list))]
	if err := m.raise(item, by, d.code, d.reason); err != nil {
		return err
	}
	m.plan(m.daysOn(1+m.random.IntN(5)), func() error {
		if err := m.liftAll(item, d.lift, d.found); err != nil {
			return err
		}
		m.plan(m.atWork(m.clock.Add(m.random.minutes(2, 20))), then)
		return nil
	})
	return nil
}
