package store_test

import (
	"errors"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Stands that send at the same moment share a transaction; what one of them may
// not write neither stops the others nor is blamed on them.
func TestOneBadInspectionAmongMany(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		view := must(h.Store.InspectionView(t.Context(), h.MustRecord(h.Extremes()).Inspection.ID))
		stamp := models.NewStamp(h.Operator, h.Now)
		const wheels = 24
		var wait sync.WaitGroup
		answers, items := make([]error, wheels), make([]models.Item, wheels)
		for i := range wheels {
			items[i] = h.AnotherWheel()
		}
		for i := range wheels {
			n := models.NewInspection{Inspection: view.Inspection, Sets: view.Sets, Results: view.Results,
				StateBefore: models.StateInProcess, StateAfter: models.StateConforming}
			n.Inspection.ID, n.Inspection.ItemID, n.Inspection.SentHash = models.NewID(), items[i].ID, "h"
			switch i % 4 {
			case 1: // The lot it names is not there.
				n.Parts = []models.FittedPart{{ID: models.NewID(), Role: "rim", LotID: pointer(models.NewID()), Quantity: 1}}
			case 3: // It was judged on a state that is not so.
				n.StateBefore = models.StateReleased
			}
			wait.Go(func() { _, _, answers[i] = h.Store.AddInspection(t.Context(), stamp, n) })
		}
		wait.Wait()
		for i, err := range answers {
			want, stored, state := error(nil), 1, models.StateConforming
			switch i % 4 {
			case 1:
				want, stored, state = models.ErrNotFound, 0, models.StateInProcess
			case 3:
				want, stored, state = models.ErrStale, 0, models.StateInProcess
			}
			if !errors.Is(err, want) || (want == nil && err != nil) {
				t.Errorf("wheel %d: %v, want %v", i, err, want)
			}
			if n := len(must(h.Store.InspectionsOf(t.Context(), items[i].ID))); n != stored {
				t.Errorf("wheel %d: %d inspections, want %d", i, n, stored)
			}
			if got := must(h.Store.Item(t.Context(), items[i].ID)).State; got != state {
				t.Errorf("wheel %d is %s, want %s", i, got, state)
			}
		}
	})
}
