package web

import (
	"slices"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// nonconformitiesOnItem adds what does not conform about an item, and puts what is
// to be done about it among the acts: it is one tap away.
func (s *site) nonconformitiesOnItem(p *ItemPage, v trace.ItemView) {
	list := slices.Clone(v.Nonconformities)
	slices.Reverse(list) // The newest first.
	p.Nonconformities = s.nonconformityRows(list, map[string]models.Item{v.Item.ID: v.Item})
	open := v.OpenNonconformity()
	gone := slices.Contains([]string{models.StateShipped, models.StateRecalled, models.StateScrapped, models.StateReturned}, v.Item.State)
	switch {
	case open != nil:
		s.nonconformityAct(p, v, *open)
	case !gone && p.Actor.May(models.ActRaiseHold):
		p.Acts = append(p.Acts, Act{Text: "Nonconforming", Path: p.Path + "/nonconforming", Bars: true})
	}
}

// nonconformityAct takes the place of deciding on the hold: the holds that a
// nonconformity stands on end with it.
func (s *site) nonconformityAct(p *ItemPage, v trace.ItemView, n models.NonconformityView) {
	act := Act{Text: "Open " + n.Number, Path: nonconformityPath(n.Number), Bars: true, First: true}
	p.Acts = slices.DeleteFunc(p.Acts, func(a Act) bool { return a.Bars && a.First })
	for i := range p.Acts {
		p.Acts[i].First = false
	}
	p.Acts = append(p.Acts, act)
	bound := n.AllHolds()
	for i, h := range v.Holds {
		if slices.Contains(bound, h.Hold.ID) && !h.Hold.OfAnother() && h.Lift == nil {
			p.Holds[i].Act = &Act{Text: n.Number, Path: act.Path}
		}
	}
	if v.Item.State != models.StateHeld {
		p.Answer = words.Sentence(english.State(v.Item.State)) + ": " + s.fault(n.Code, n.OpenedAt)
	}
	if p.Band != nil && p.Band.Tone == "hold" {
		p.Band.Act = &Act{Text: n.Number, Path: act.Path}
	}
}
