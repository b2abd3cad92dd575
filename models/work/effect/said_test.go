package effect_test

import (
	"context"
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
