package capture_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
)

func TestUnknownSerialWaitsUntilItIsPlaced(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		unknown, _, err := ident.Next('W', 29, 4000)
		h.Must(err)
		sub := h.Extremes()
		sub.Serial = unknown
		out := h.MustRecord(sub)
		if out.Placed || out.Unplaced == nil || out.Unplaced.Cause.Code != "unknown_serial" {
			t.Fatalf("got %+v, want it kept as unplaced", out)
		}
		if again := h.MustRecord(sub); again.Placed {
			t.Error("the repeat was placed")
		}
		other := sub
		other.Place = "elsewhere"
		if _, err := h.Record(other); !errors.Is(err, models.ErrConflict) {
			t.Errorf("the same id with other content gave %v, want a conflict", err)
		}
		h.Now = h.Now.Add(time.Hour)
		placed, err := h.Capture.Place(t.Context(), h.Owner, sub.ID, h.Serial[models.KindWheel], "label was misread")
		h.Must(err)
		if placed.Inspection.PersonID != h.Operator.PersonID || placed.Inspection.Verdict != models.VerdictPass {
			t.Errorf("placed for %s with %s, want the operator's with a pass", placed.Inspection.PersonID, placed.Inspection.Verdict)
		}
		if waiting, _ := h.Capture.Unplaced(t.Context()); len(waiting) != 0 {
			t.Errorf("%d still wait", len(waiting))
		}
		// The tablet sends once more: the answer is the inspection now.
		if again := h.MustRecord(sub); !again.Placed || again.Created {
			t.Errorf("after placing, the repeat gave placed %v, created %v", again.Placed, again.Created)
		}
	})
}

// A point that is ticked has no place and no gauge: what was kept with either, before
// that was refused, can be placed.
func TestATickThatWasKeptWithAPlaceAndAGauge(t *testing.T) {
	h := worktest.New(t)
	unknown, _, err := ident.Next('W', 29, 4000)
	h.Must(err)
	sub := h.Extremes()
	sub.Serial = unknown
	tick := &sub.Sets[len(sub.Sets)-1]
	tick.Index, tick.Instrument = []models.Position{models.Spoke(3)}, "Q-99"
	h.MustRecord(sub)
	if _, err := h.Capture.Place(t.Context(), h.Owner, sub.ID, h.Serial[models.KindWheel], "label was misread"); err != nil {
		t.Error(err)
	}
}

// The reason is kept without the space around it.
func TestTheReasonOfASettlementIsTrimmed(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		for _, settle := range []func(id string) error{
			func(id string) error {
				settled, err := h.Capture.Dismiss(t.Context(), h.Owner, id, " \tsent twice\n")
				if settled.Reason != "sent twice" {
					t.Errorf("the settlement says %q", settled.Reason)
				}
				return err
			},
			func(id string) error {
				_, err := h.Capture.Place(t.Context(), h.Owner, id, h.Serial[models.KindWheel], "  sent twice ")
				return err
			},
		} {
			sub := h.Extremes()
			sub.Serial, _, _ = ident.Next('W', 29, 4000)
			h.MustRecord(sub)
			h.Must(settle(sub.ID))
		}
	})
}
