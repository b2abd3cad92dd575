package recall

import (
	"context"
	"fmt"

	"tracewright/models"
)

// CameBack says which of some items are back by the newest response to their recall and
// still on record as with their owner: no claim names one that is not closed or took it
// in since, and it was not shipped again.
func (s *Service) CameBack(ctx context.Context, items []models.Item, last func(item string) *models.RecallResponse) (map[string]bool, error) {
	back, ids := map[string]bool{}, []string(nil)
	for _, i := range items {
		r := last(i.ID)
		if r != nil && (r.Response == models.RecallReturned || r.Response == models.RecallPutRight) && models.Whereabouts(i.State) == models.RecallShipped {
			back[i.ID], ids = true, append(ids, i.ID)
		}
	}
	if len(ids) == 0 {
		return back, nil
	}
	shipments, err := s.store.LastShipments(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("shipments of what came back: %w", err)
	}
	for id, sh := range shipments {
		back[id] = back[id] && !sh.ShippedAt.After(last(id).RespondedAt)
	}
	claims, err := s.store.ClaimsOf(ctx, ids...)
	if err != nil {
		return nil, fmt.Errorf("claims on what came back: %w", err)
	}
	for _, c := range claims {
		if c.ItemID != nil && (c.State != models.ClaimClosed || c.Last(models.ClaimCameIn) != nil && !c.Events[len(c.Events)-1].MadeAt.Before(last(*c.ItemID).RespondedAt)) {
			back[*c.ItemID] = false
		}
	}
	return back, nil
}
