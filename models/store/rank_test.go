package store

import (
	"testing"
	"time"

	"tracewright/models"
)

// An inspection is moved from one item to another. What is left on the first
// decides whether it is still conforming; the ranks of both follow the moment
// of measuring, then the id.
func TestRanksAfterAnInspectionMoved(t *testing.T) {
	at := func(minute int) time.Time { return time.Date(2031, 3, 4, 5, minute, 0, 0, time.UTC) }
	for _, c := range []struct {
		name  string
		left  string // verdict of what stays on the first item
		state string
	}{
		{"a pass is left", models.VerdictPass, models.StateConforming},
		{"a provisional pass is left", models.VerdictProvisional, models.StateConforming},
		{"a fail is left", models.VerdictFail, models.StateInProcess},
		{"an incomplete one is left", models.VerdictIncomplete, models.StateInProcess},
	} {
		t.Run(c.name, func(t *testing.T) {
			moved := "i1"
			w := &inspectionWrite{NewInspection: models.NewInspection{
				Inspection: models.Inspection{ID: "i9", ItemID: "right", Stage: models.AfterRelief, MeasuredAt: at(1), Verdict: models.VerdictPass, Supersedes: &moved},
				StateAfter: models.StateConforming,
			}}
			w.items = []*touchedItem{
				{id: "right", state: models.StateInProcess, standing: []standing{
					{id: "i3", stage: models.BeforeRelief, measuredAt: at(0), ranks: ranks{round: 1}},
					{id: "i4", stage: models.AfterRelief, measuredAt: at(5), ranks: ranks{round: 1, firstSet: true}},
				}},
				{id: "wrong", state: models.StateConforming, standing: []standing{
					{id: moved, stage: models.AfterRelief, measuredAt: at(1), ranks: ranks{round: 1, firstSet: true}, passes: true},
					{id: "i2", stage: models.AfterRelief, measuredAt: at(2), ranks: ranks{round: 2}, passes: passing(c.left)},
				}},
			}
			changed := map[string]standing{}
			for _, s := range w.rank() {
				changed[s.id] = s
			}
			if w.items[1].stateAfter != c.state {
				t.Errorf("the item it was taken from is %s, want %s", w.items[1].stateAfter, c.state)
			}
			if w.Inspection.Round != 1 || !w.Inspection.FirstSet {
				t.Errorf("measured first, it is round %d, first set %v", w.Inspection.Round, w.Inspection.FirstSet)
			}
			if s := changed["i4"]; s.round != 2 || s.firstSet || !s.firstSetTaken() {
				t.Errorf("the later one is %+v, want round 2 with its mark taken away", s)
			}
			if s := changed["i2"]; s.round != 1 || !s.firstSet {
				t.Errorf("what stays is %+v, want round 1 and the first set", s)
			}
			if len(changed) != 2 {
				t.Errorf("%d others changed, want 2: a round of another stage stays", len(changed))
			}
		})
	}
}
