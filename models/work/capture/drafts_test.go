package capture_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
)

func TestDraftsAreVersionedAndTakenOver(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		sub := h.Extremes()
		sub.Sets = sub.Sets[:1]
		first, err := h.Capture.SaveDraft(t.Context(), h.Operator, sub, 0)
		h.Must(err)
		// An answer that was lost is asked for again: the same content stands as it does.
		if again, err := h.Capture.SaveDraft(t.Context(), h.Operator, sub, 0); err != nil || again.Version != first.Version {
			t.Errorf("the same once more: version %d, %v, want %d", again.Version, err, first.Version)
		}
		if _, err := h.Capture.SaveDraft(t.Context(), h.Owner, sub, 0); !errors.Is(err, models.ErrStale) {
			t.Errorf("the same by somebody else gave %v, want stale", err)
		}
		other := sub
		other.Place = "elsewhere"
		if _, err := h.Capture.SaveDraft(t.Context(), h.Operator, other, 0); !errors.Is(err, models.ErrStale) {
			t.Errorf("an old version gave %v, want stale", err)
		}
		taken, err := h.Capture.TakeOver(t.Context(), h.Owner, first.ID)
		h.Must(err)
		if taken.PersonID != h.Owner.PersonID || taken.Version != first.Version+1 {
			t.Errorf("taken over by %s at version %d", taken.PersonID, taken.Version)
		}
		whole := h.Extremes()
		whole.ID = sub.ID
		h.MustRecord(whole)
		open, err := h.Capture.Drafts(t.Context())
		h.Must(err)
		if len(open) != 0 {
			t.Error("the draft is still open after its inspection was recorded")
		}
		if _, err := h.Capture.SaveDraft(t.Context(), h.Operator, sub, taken.Version); !errors.Is(err, models.ErrConflict) {
			t.Errorf("saving a submitted draft gave %v, want a conflict", err)
		}
	})
}

// A label's product is asked for once: the draft that began with it knows it.
func TestADraftOfAFreshLabelIsFoundAgain(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		year := h.Now.Year() % 100
		roll, err := h.Store.AddRoll(t.Context(), models.NewStamp(h.Owner, h.Now), models.SerialRoll{ID: models.NewID(), Letter: "W", Year: year, Last: 20})
		h.Must(err)
		label, _, err := ident.Next('W', roll.Year, roll.First-1)
		h.Must(err)
		plan, err := h.Capture.Plan(t.Context(), h.Operator, label, "", "")
		h.Must(err)
		if len(plan.Products) == 0 || plan.OpenDraft != nil {
			t.Fatalf("got %+v, want the products to choose from", plan)
		}
		sub := h.Extremes()
		sub.Serial, sub.Product, sub.Sets = label, *h.Item[models.KindWheel].ProductID, sub.Sets[:1]
		_, err = h.Capture.SaveDraft(t.Context(), h.Operator, sub, 0)
		h.Must(err)
		plan, err = h.Capture.Plan(t.Context(), h.Operator, label, "", "")
		h.Must(err)
		if plan.OpenDraft == nil || plan.OpenDraft.ID != sub.ID || plan.Product == nil || plan.Product.ID != sub.Product {
			t.Errorf("draft %+v, product %+v; want the draft that was begun", plan.OpenDraft, plan.Product)
		}
	})
}
