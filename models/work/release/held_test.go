package release_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/release"
	"tracewright/models/work/worktest"
)

// heldWheel is a wheel whose holds and readings follow each other in time.
type heldWheel struct {
	*worktest.Shop
	gate  *release.Service
	wheel models.Item
}

func (w *heldWheel) hold() string {
	w.Helper()
	w.Now = w.Now.Add(time.Minute)
	hold, err := w.gate.RaiseHold(w.Context(), w.Operator, release.HoldRequest{Item: *w.wheel.Serial, Code: "W14", Reason: "step at the joint"})
	w.Must(err)
	return hold.ID
}

func (w *heldWheel) lift(hold string) {
	w.Helper()
	w.Now = w.Now.Add(time.Minute)
	_, err := w.gate.LiftHold(w.Context(), w.Owner, hold, "no_fault_found", "it is none")
	w.Must(err)
}

// read measures the wheel at the stage that its plan suggests.
func (w *heldWheel) read(passes bool) models.Inspection {
	w.Helper()
	w.Now = w.Now.Add(20 * time.Minute)
	plan, err := w.Capture.Plan(w.Context(), w.Operator, *w.wheel.Serial, "", "")
	w.Must(err)
	sub := w.Extremes()
	sub.Stage = plan.Stage
	if !passes {
		sub.Sets[0].Values = []string{"0.9", "-0.9"}
	}
	return w.MustRecord(sub).Inspection
}

func (w *heldWheel) is(state string) {
	w.Helper()
	item, err := w.Store.Item(w.Context(), w.wheel.ID)
	w.Must(err)
	if item.State != state {
		w.Errorf("it is %s, want %s", item.State, state)
	}
}

// What a hold interrupted is known from the hold: what was never judged is
// measured as it would be without, and certified once the hold is lifted.
func TestHeldBeforeItWasJudged(t *testing.T) {
	for _, c := range []struct {
		name string
		do   func(*heldWheel)
		want string // state in the end
	}{
		{"it passes under the hold", func(w *heldWheel) {
			hold := w.hold()
			if i := w.read(true); i.Stage != models.AfterRelief || i.Recheck || !i.FirstSet {
				w.Errorf("stage %s, recheck %v, first set %v", i.Stage, i.Recheck, i.FirstSet)
			}
			w.is(models.StateHeld)
			if i := w.read(true); i.Stage != models.Recheck || !i.Recheck {
				w.Errorf("after it passed: stage %s, recheck %v", i.Stage, i.Recheck)
			}
			w.lift(hold)
		}, models.StateConforming},
		{"it is trued under the hold", func(w *heldWheel) {
			hold := w.hold()
			w.read(false)
			if i := w.read(true); i.Stage != models.AfterRelief || i.Recheck || i.Round != 2 {
				w.Errorf("stage %s, recheck %v, round %d", i.Stage, i.Recheck, i.Round)
			}
			w.lift(hold)
		}, models.StateConforming},
		{"it fails under the hold", func(w *heldWheel) { hold := w.hold(); w.read(false); w.lift(hold) }, models.StateInProcess},
		{"it passes between two holds, the first lifted first", func(w *heldWheel) {
			first := w.hold()
			w.read(true)
			second := w.hold()
			w.lift(first)
			w.is(models.StateHeld)
			w.lift(second)
		}, models.StateConforming},
		{"it passes between two holds, the second lifted first", func(w *heldWheel) {
			first := w.hold()
			w.read(true)
			second := w.hold()
			w.lift(second)
			w.is(models.StateHeld)
			w.lift(first)
		}, models.StateConforming},
		{"it passes under two holds", func(w *heldWheel) {
			first, second := w.hold(), w.hold()
			w.read(true)
			w.lift(first)
			w.lift(second)
		}, models.StateConforming},
		{"it is read before relief alone", func(w *heldWheel) {
			hold := w.hold()
			w.Now = w.Now.Add(20 * time.Minute)
			sub := w.Extremes()
			sub.Stage = models.BeforeRelief
			w.MustRecord(sub)
			w.lift(hold)
		}, models.StateInProcess},
		{"it had passed", func(w *heldWheel) {
			w.read(true)
			hold := w.hold()
			if i := w.read(false); i.Stage != models.Recheck || !i.Recheck {
				w.Errorf("stage %s, recheck %v", i.Stage, i.Recheck)
			}
			w.lift(hold)
		}, models.StateConforming},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				drawn := 0
				w := &heldWheel{h, service(h, &drawn), h.Item[models.KindWheel]}
				c.do(w)
				w.is(c.want)
				newest, err := h.Store.InspectionsOf(t.Context(), w.wheel.ID)
				h.Must(err)
				_, err = w.gate.Issue(t.Context(), h.Owner, w.wheel.ID, "")
				if certified := c.want == models.StateConforming && newest[0].Verdict == models.VerdictPass; certified != (err == nil) {
					t.Errorf("issued: %v", err)
				}
			})
		})
	}
}

// What passed and is in process again is refused by what it lacks, not as if
// somebody had changed it meanwhile.
func TestInProcessAgainIsMeasuredOnceMore(t *testing.T) {
	h := worktest.New(t)
	drawn := 0
	w := &heldWheel{h, service(h, &drawn), h.Item[models.KindWheel]}
	w.read(true)
	stamp := models.NewStamp(h.Owner, h.Now)
	_, err := h.Store.AddShipment(t.Context(), stamp, 31, models.Shipment{Items: []string{w.wheel.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
	h.Must(err)
	_, err = h.Store.AddClaim(t.Context(), stamp, 31, models.Claim{Kind: models.KindWheel}, models.ClaimWords{Words: "it ticks"}, []models.ClaimEvent{{What: models.ClaimLinked, ItemID: &w.wheel.ID},
		{What: models.ClaimCameIn, CameOn: "2031-05-12"}, {What: models.ClaimAnswered, Decision: models.ClaimAccept, Reason: "a spoke broke"}})
	h.Must(err)
	w.is(models.StateInProcess)
	_, err = w.gate.Issue(t.Context(), h.Owner, w.wheel.ID, "")
	if got := refusals(err); !slices.Equal(got, []string{"not_read_since"}) {
		t.Errorf("refused with %v", got)
	}
}
