package demo

import (
	"tracewright/models"
	"tracewright/models/work/labels"
)

// leaveLabels prints what the last day's end needed: the labels of the last
// wheels on a sheet that is not used up, one of them once more and its hub
// marked, a certificate twice, the bins of two lots, and the head of the wheels'
// roll.
func (m *maker) leaveLabels() error {
	inspector, operator := actor(m.people.inspector), actor(m.people.builders[0])
	var serials []string
	var last *wheelWork
	for i := len(m.finished) - 1; i >= 0 && len(serials) < 9; i-- {
		if w := m.finished[i]; !w.held {
			serials, last = append(serials, *w.item.Serial), w
		}
	}
	print := func(by models.Actor, b labels.Batch, err error) error {
		if err == nil {
			_, err = m.labels.Count(m.ctx, by, b)
		}
		return err
	}
	again := []string{*last.item.Serial}
	b, err := m.labels.Items(m.ctx, serials, labels.Ask{Size: "sheet_3x8"})
	if err := print(operator, b, err); err != nil {
		return err
	}
	b, err = m.labels.Items(m.ctx, again, labels.Ask{Size: "62x29"})
	if err := print(inspector, b, err); err != nil {
		return err
	}
	b, err = m.labels.Items(m.ctx, again, labels.Ask{Size: "25x15", Hub: true})
	if err := print(operator, b, err); err != nil {
		return err
	}
	for range 2 {
		if _, err := m.labels.CountCertificate(m.ctx, inspector, last.certificate); err != nil {
			return err
		}
	}
	lots, err := m.store.Lots(m.ctx)
	if err != nil {
		return err
	}
	for _, l := range lots[:2] {
		b, err = m.labels.Lot(m.ctx, l.Code, labels.Ask{Size: "50x25"})
		if err := print(operator, b, err); err != nil {
			return err
		}
	}
	rolls, err := m.store.Rolls(m.ctx)
	if err != nil {
		return err
	}
	for _, r := range rolls {
		if r.Letter != "W" {
			continue
		}
		state, err := m.labels.RollState(m.ctx, r.ID)
		if err != nil {
			return err
		}
		b, err = m.labels.Roll(m.ctx, r.ID, "", state.Serials[19], labels.Ask{Size: "25x15"})
		if err := print(inspector, b, err); err != nil {
			return err
		}
	}
	return nil
}
