package store_test

import (
	"errors"
	"sync"
	"sync/atomic"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/work/worktest"
)

// A fresh label is scanned at six stands at once: one item is made, and the
// inspection of each stand is on it.
func TestAFreshLabelAtManyStands(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		product := *h.Item[models.KindWheel].ProductID
		roll := must(h.Store.AddRoll(t.Context(), models.NewStamp(h.Owner, h.Now), models.SerialRoll{Letter: "W", Year: 31, First: 1, Last: 5, ProductID: &product}))
		last := roll.First - 1
		for range 3 {
			serial, counter, err := ident.Next('W', 31, last)
			h.Must(err)
			last = counter
			var wait sync.WaitGroup
			for range 6 {
				sub := h.Extremes()
				sub.Serial = serial
				wait.Go(func() {
					if _, err := h.Record(sub); err != nil {
						t.Error(err)
					}
				})
			}
			wait.Wait()
			item := must(h.Store.ItemBySerial(t.Context(), serial))
			if n := h.Count(item.ID); n != 6 || item.State != models.StateConforming {
				t.Errorf("%d inspections on the item, which is %s; want 6, conforming", n, item.State)
			}
		}
	})
}

// Two wheels were mistaken for each other, and both corrections arrive at once:
// each inspection ends on the wheel of the other, as its first set.
func TestCorrectionsThatCross(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		for range 3 {
			wheels := []models.Item{h.AnotherWheel(), h.AnotherWheel()}
			var moved [2]models.Submission
			for n, w := range wheels {
				sub := h.Extremes()
				sub.Serial = *w.Serial
				moved[n] = h.Extremes()
				moved[n].Serial, moved[n].Corrects, moved[n].Reason = *wheels[1-n].Serial, h.MustRecord(sub).Inspection.ID, "the other wheel"
			}
			var wait sync.WaitGroup
			for _, sub := range moved {
				wait.Go(func() {
					if _, err := h.Record(sub); err != nil {
						t.Error(err)
					}
				})
			}
			wait.Wait()
			for n, w := range wheels {
				standing := 0
				for _, i := range must(h.Store.InspectionsOf(t.Context(), w.ID)) {
					if i.SupersededBy != nil {
						continue
					}
					standing++
					if i.ID != moved[1-n].ID || i.Round != 1 || !i.FirstSet {
						t.Errorf("wheel %d has %s, round %d, first set %v", n, i.ID, i.Round, i.FirstSet)
					}
				}
				if got := state(h, t, w.ID); standing != 1 || got != models.StateConforming {
					t.Errorf("wheel %d has %d standing inspections and is %s", n, standing, got)
				}
			}
		}
	})
}

// Five people correct one inspection at once: one of them does, the others are
// told, and no wheel is left with two first sets.
func TestAnInspectionIsReplacedOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		wrong := h.MustRecord(h.Extremes()).Inspection
		var wait sync.WaitGroup
		var done, refused atomic.Int32
		for range 5 {
			sub := h.Extremes()
			sub.Corrects, sub.Reason = wrong.ID, "misread"
			wait.Go(func() {
				out, err := h.Record(sub)
				var invalid *models.InvalidError
				switch {
				case err == nil && out.Created:
					done.Add(1)
				case errors.Is(err, models.ErrConflict), errors.As(err, &invalid):
					refused.Add(1)
				default:
					t.Errorf("%+v, %v", out, err)
				}
			})
		}
		wait.Wait()
		if done.Load() != 1 || refused.Load() != 4 || h.Count(wrong.ItemID) != 2 {
			t.Errorf("replaced %d times, refused %d, %d inspections; want 1, 4, 2", done.Load(), refused.Load(), h.Count(wrong.ItemID))
		}
	})
}

// Eight people revise one product and its limits at once, each from what they
// saw: revision 2 is given once, and nobody's change is lost without a word.
func TestRevisionsFollowEachOther(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp, w := t.Context(), models.NewStamp(h.Owner, h.Now), h.Item[models.KindWheel]
		form, spec := must(h.Store.ProductForm(ctx, *w.ProductID)), must(h.Store.SpecificationInForce(ctx, *w.FamilyID, nil))
		form.Revision++
		spec.Revision++
		var wait sync.WaitGroup
		var forms, specs atomic.Int32
		count := func(n *atomic.Int32, err error) {
			if err == nil {
				n.Add(1)
			} else if !errors.Is(err, models.ErrConflict) {
				t.Error(err)
			}
		}
		for range 8 {
			own := spec
			own.ID = models.NewID()
			wait.Go(func() {
				count(&forms, h.Store.AddProductRevision(ctx, stamp, form))
				count(&specs, h.Store.AddSpecification(ctx, stamp, own))
			})
		}
		wait.Wait()
		if forms.Load() != 1 || specs.Load() != 1 {
			t.Errorf("revision 2 of the form was given %d times, of the limits %d times", forms.Load(), specs.Load())
		}
		if p := must(h.Store.Product(ctx, *w.ProductID)); p.Revision != 2 {
			t.Errorf("the product is at revision %d", p.Revision)
		}
	})
}
