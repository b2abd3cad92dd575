package store_test

import (
	"errors"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A tablet that lost its answers sends the same unplaceable work many times at
// once: it is kept once, with one trail entry, and nobody is refused. Other
// content under the same id is.
func TestTheSameUnplacedAtTheSameMoment(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp := t.Context(), models.NewStamp(h.Operator, moment)
		for range 10 {
			u := models.Unplaced{ID: models.NewID(), Content: h.Extremes(), SentHash: "s", Cause: models.NewRemark("unknown_serial", "serial", "x"), PersonID: h.Operator.PersonID, ReceivedAt: moment}
			var wait sync.WaitGroup
			for range 6 {
				wait.Go(func() {
					if err := h.Store.AddUnplaced(ctx, stamp, u); err != nil {
						t.Errorf("the same again: %v", err)
					}
				})
			}
			wait.Wait()
			if entries := must(h.Store.TrailOf(ctx, []string{u.ID}, 9)); len(entries) != 1 {
				t.Errorf("%d trail entries, want one", len(entries))
			}
			u.SentHash = "other"
			if err := h.Store.AddUnplaced(ctx, stamp, u); !errors.Is(err, models.ErrConflict) {
				t.Errorf("other content under the same id: %v, want a conflict", err)
			}
		}
	})
}
