package monitor

import (
	"context"
	"fmt"

	"tracewright/models"
)

// PageOfHolds is how many open holds anybody reads on one page.
const PageOfHolds = 200

// HoldsPage is a part of the open holds, oldest first.
type HoldsPage struct {
	Holds []models.HeldItem
	Open  int    // how many there are in all
	Next  string // id behind which the next page begins; empty on the last
}

// Holds lists every hold that nobody has lifted, oldest first.
func (s *Service) Holds(ctx context.Context) ([]models.HeldItem, error) {
	holds, err := s.store.AllOpenHolds(ctx)
	if err != nil {
		return nil, fmt.Errorf("open holds: %w", err)
	}
	return holds, nil
}

// HoldsAfter is the page of open holds behind one of them, or the first.
func (s *Service) HoldsAfter(ctx context.Context, after string) (HoldsPage, error) {
	var page HoldsPage
	var err error
	if page.Open, err = s.store.CountOpenHolds(ctx); err != nil {
		return page, fmt.Errorf("count open holds: %w", err)
	}
	// One more than are shown says whether there is a next page.
	if page.Holds, err = s.store.OpenHoldsAfter(ctx, after, PageOfHolds+1); err != nil {
		return page, fmt.Errorf("open holds: %w", err)
	}
	if len(page.Holds) > PageOfHolds {
		page.Holds = page.Holds[:PageOfHolds]
		page.Next = page.Holds[PageOfHolds-1].ID
	}
	return page, nil
}

// OpenHold is one that nobody has lifted; models.ErrNotFound where it was, or there
// is none of this id.
func (s *Service) OpenHold(ctx context.Context, id string) (models.HeldItem, error) {
	return s.store.OpenHold(ctx, id)
}

// HeldLots are the keys of the lots with an open hold.
func (s *Service) HeldLots(ctx context.Context) (map[string]bool, error) {
	ids, err := s.store.HeldLots(ctx)
	if err != nil {
		return nil, fmt.Errorf("lots on hold: %w", err)
	}
	held := map[string]bool{}
	for _, id := range ids {
		held[id] = true
	}
	return held, nil
}
