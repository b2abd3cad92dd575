package demo

import (
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/release"
)

// leaveOpen is how the last day ends: wheels and packs not yet measured, drafts
// begun, two inspections under serials nobody knows, holds, a roll of labels.
func (m *maker) leaveOpen() error {
	m.clock = m.days[len(m.days)-1].Add(16 * time.Hour)
	if err := m.leaveItems(); err != nil {
		return err
	}
	if err := m.leaveHolds(); err != nil {
		return err
	}
	year := m.clock.Year() % 100
	if _, err := m.store.AddRoll(m.ctx, m.stamp(m.people.inspector), models.SerialRoll{Letter: "W", Year: year, First: 1, Last: 60}); err != nil {
		return err
	}
	for i, counter := range []int{30211, 30388} {
		serial, _, err := ident.Next('W', year-2, counter)
		if err != nil {
			return err
		}
		item := models.Item{Serial: &serial}
		p := m.wheels[i]
		r := m.newRim(p, m.inUse("rim "+p.size, m.clock), 1)
		builder := m.people.builders[i]
		if _, err := m.inspect(item, models.AfterRelief, builder, stand1, m.wheelSets(p, r, m.reader(builder, stand1, m.clock), false, yes), models.Conditions{Tyre: "off"}, 5); err != nil {
			return err
		}
	}
	return nil
}

// leaveItems makes items that wait for their first reading, two of them with a
// draft begun.
func (m *maker) leaveItems() error {
	for i := range 8 {
		builder := m.people.builders[i%len(m.people.builders)]
		p := m.wheels[(i*3+1)%len(m.wheels)]
		item, err := m.newWheel(p, builder, m.inUse("rim "+p.size, m.clock), m.inUse("spokes "+p.form.Wheel.SpokeType, m.clock))
		if err != nil {
			return err
		}
		if i >= 2 {
			continue
		}
		r := m.newRim(p, m.inUse("rim "+p.size, m.clock), 1)
		sets := m.wheelSets(p, r, m.reader(builder, stand1, m.clock), false, yes)
		sub := models.Submission{ID: models.NewID(), Serial: *item.Serial, Stage: models.AfterRelief, Place: stand1, StartedAt: m.clock, FinishedAt: m.clock, Conditions: models.Conditions{Tyre: "off"}, Sets: sets[:i+1]}
		if _, err := m.capture.SaveDraft(m.ctx, actor(builder), sub, 0); err != nil {
			return err
		}
	}
	for i := range 3 {
		p := m.packs[i]
		if _, err := m.newPack(p, m.inUse("blocks "+p.form.Pack.BlockModel, m.clock)); err != nil {
			return err
		}
	}
	return nil
}

// leaveHolds raises two holds on finished work, and voids one certificate.
func (m *maker) leaveHolds() error {
	recent, err := m.store.RecentInspections(m.ctx, 60)
	if err != nil {
		return err
	}
	raised, voided := 0, false
	for _, x := range recent {
		c, err := m.store.CertificateInForce(m.ctx, x.ItemID)
		if err != nil || x.Kind != models.KindWheel {
			continue
		}
		switch {
		case !voided:
			voided = true
			if err := m.release.Void(m.ctx, actor(m.people.inspector), c.ID, "printed for the wrong order"); err != nil {
				return err
			}
		case raised < 2:
			raised++
			hold := release.HoldRequest{Item: x.Serial, Code: []string{"W14", "W20"}[raised-1], Reason: []string{"a step at the rim joint, to be felt with the thumb", "jacket nicked near the axle"}[raised-1]}
			if _, err := m.release.RaiseHold(m.ctx, actor(m.people.inspector), hold); err != nil {
				return err
			}
		default:
			return nil
		}
	}
	return fmt.Errorf("only %d wheels to put on hold", raised)
}
