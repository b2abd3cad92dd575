package effect_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/effect"
	"tracewright/models/work/worktest"
)

// carried is a store that knows one corrective action, carried out at a moment.
type carried struct {
	effect.Store
	at time.Time
}

func (c carried) OpenCorrectiveActions(context.Context) ([]models.CorrectiveActionView, error) {
	return []models.CorrectiveActionView{{CorrectiveAction: models.CorrectiveAction{Number: "CA31-0001"}, Steps: []models.CorrectiveActionStep{{What: models.ActionCarried, MadeAt: c.at}}}}, nil
}

// Three readings since an action are too few to say that it changed nothing; twelve of
// the same say so, and twelve of twice as much that it changed. What was read after the
// time that is looked back on is no part of what is said of it.
func TestAnActionIsSaidToHaveChangedNothingOnlyWhereThatCanBeTold(t *testing.T) {
	for name, c := range map[string]struct {
		after []int
		want  string
	}{"doubled": {by(9, 40, 50), "effect_said_rose"}, "the same": {by(9, 20, 25), "effect_said_none"}} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				said := func(at time.Time) string {
					t.Helper()
					s := effect.New(carried{h.Store, at}, h.Clock, worktest.Zone)
					list, err := s.Said(t.Context(), at.AddDate(0, 0, -1), h.Now.Add(time.Minute))
					h.Must(err)
					if len(list) != 1 {
						t.Fatalf("said %+v", list)
					}
					return list[0].Code
				}
				wheels(h, "stand 1", by(12, 20, 25)...)
				at := wheels(h, "stand 1", c.after[:3]...)
				if got := said(at); got != "effect_said_few" {
					t.Errorf("after three days: %s", got)
				}
				then := h.Now
				wheels(h, "stand 1", c.after...)
				if got := said(at); got != c.want {
					t.Errorf("after twelve days: %s, want %s", got, c.want)
				}
				h.Now = then
				if got := said(at); got != "effect_said_few" {
					t.Errorf("looking back on the first three days: %s", got)
				}
			})
		})
	}
}

// Of two results that both vary, neither is more after the action than before it: as
// many as were compared are told, since one that stood out by chance among them alone
// is none.
func TestAsManyAsWereComparedAreSaid(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		both := func() {
			h.Now = h.Now.Add(24 * time.Hour)
			sub := h.Extremes()
			sub.Serial, sub.Place = *h.AnotherWheel().Serial, "stand 1"
			more := h.Now.Day() % 3
			sub.Sets[0].Values = []string{fmt.Sprintf("0.2%d", 2*more), "0.00"}
			sub.Sets[1].Values = []string{fmt.Sprintf("0.1%d", (more+1)%3), "0.00"}
			h.MustRecord(sub)
		}
		for range 12 {
			both()
		}
		at := h.Now.Add(time.Hour)
		for range 12 {
			both()
		}
		list, err := effect.New(carried{h.Store, at}, h.Clock, worktest.Zone).Said(t.Context(), at.AddDate(0, 0, -1), h.Now.Add(time.Minute))
		h.Must(err)
		if len(list) != 1 || list[0].Code != "effect_said_none_of" || list[0].Values["n"] != "2" {
			t.Errorf("said %+v, want that none of 2 stands out", list)
		}
	})
}
