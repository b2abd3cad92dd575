package trace

import (
	"context"

	"tracewright/models"
)

// tracedBack follows an item back. What lies in a kit, or went in it, stands in
// the kit as parts do.
func (s *Service) tracedBack(ctx context.Context, item models.Item) (models.Traced, error) {
	traced, err := s.store.SourcesOf(ctx, item.ID)
	if err != nil || item.Kind != models.KindKit {
		return traced, err
	}
	packings, err := s.store.KitPackings(ctx, item.ID)
	if err != nil {
		return traced, err
	}
	newest := map[string]int{}
	for i, p := range packings {
		if p.ItemID != nil {
			newest[*p.ItemID] = i
		}
	}
	known := map[string]bool{} // A part in two places is in the traces of both.
	for i, p := range packings {
		if p.ItemID == nil || newest[*p.ItemID] != i || !p.Added {
			continue
		}
		inside, err := s.store.SourcesOf(ctx, *p.ItemID)
		if err != nil {
			return traced, err
		}
		packed := byID(inside.Items)[*p.ItemID]
		traced.Items = append(traced.Items, inside.Items...)
		traced.Fitted = append(traced.Fitted, models.PartView{Number: packed.Name(),
			FittedPart: models.FittedPart{ID: p.ID, ItemID: item.ID, Role: packed.Kind, PartID: &packed.ID, Quantity: p.Quantity, FittedAt: p.PackedAt, FittedBy: p.PackedBy}})
		for _, f := range inside.Fitted {
			if !known[f.ID] {
				known[f.ID] = true
				traced.Fitted = append(traced.Fitted, f)
			}
		}
	}
	return traced, nil
}
