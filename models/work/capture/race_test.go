package capture_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Of two packs that take one block at the same moment one gets it; a block that
// is set aside at the same moment is not in both states unheard.
func TestOneBlockIsFittedOnce(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		p := h.Item[models.KindPack]
		stamp := models.NewStamp(h.Owner, h.Now.Add(-72*time.Hour))
		for round := range 8 {
			number := fmt.Sprint("R", round)
			block := models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"}
			h.Must(h.Store.AddItems(t.Context(), stamp, []models.Item{block}))
			var subs []models.Submission
			for range 3 {
				item, err := h.Store.AddItemWithSerial(t.Context(), stamp, models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31, nil)
				h.Must(err)
				sub := h.Pack()
				sub.Serial, sub.Parts = *item.Serial, []models.SentPart{{Role: "block", Place: "1.1", Number: number, Quantity: 1}}
				subs = append(subs, sub)
			}
			errs := make([]error, len(subs))
			var wait sync.WaitGroup
			for i := range subs {
				wait.Go(func() { _, errs[i] = h.Record(subs[i]) })
			}
			wait.Wait()
			taken := 0
			for _, err := range errs {
				var invalid *models.InvalidError
				switch {
				case err == nil:
					taken++
				case !errors.As(err, &invalid) || invalid.Problems[0].Code != "block_elsewhere":
					t.Errorf("round %d: %v, want block_elsewhere", round, err)
				}
			}
			if places, err := h.Store.FittedInto(t.Context(), block.ID); err != nil || taken != 1 || len(places) != 1 {
				t.Errorf("round %d: %d packs have the block, recorded in %d, %v", round, taken, len(places), err)
			}
		}
	})
}
