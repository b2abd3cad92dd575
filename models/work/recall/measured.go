package recall

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// measured adds to what was measured whatever the parts among it are built into now,
// through all levels: a block that was measured as it came in goes out in its pack.
// What holds one and was read anew since it was put in is reached possibly; what was
// measured itself is, surely.
func (s *Service) measured(ctx context.Context, ids []string) (reached []string, possibly map[string]bool, err error) {
	items, err := s.store.ItemsByID(ctx, ids)
	if err != nil {
		return nil, nil, fmt.Errorf("what was measured: %w", err)
	}
	var parts []string
	surely := map[string]bool{}
	for _, i := range items {
		if surely[i.ID] = true; i.IsPart() {
			parts = append(parts, i.ID)
		}
	}
	if len(parts) == 0 {
		return ids, nil, nil
	}
	traced, err := s.store.OutputsOfParts(ctx, parts)
	if err != nil {
		return nil, nil, fmt.Errorf("where measured parts went: %w", err)
	}
	holds := map[string][]models.PartView{} // by part
	for _, f := range traced.Fitted {
		if f.PartID != nil && f.InNow() {
			holds[*f.PartID] = append(holds[*f.PartID], f)
		}
	}
	put := map[string]time.Time{} // when the last of the parts was put into what holds it
	for len(parts) > 0 {
		var next []string
		for _, part := range parts {
			for _, f := range holds[part] {
				if _, known := put[f.ItemID]; !known {
					next = append(next, f.ItemID)
				}
				if put[f.ItemID].Before(f.FittedAt) {
					put[f.ItemID] = f.FittedAt
				}
			}
		}
		parts = next
	}
	holders := make([]string, 0, len(put))
	for id := range put {
		holders = append(holders, id)
	}
	slices.Sort(holders)
	sets, err := s.store.StandingSets(ctx, holders)
	if err != nil {
		return nil, nil, fmt.Errorf("what was read since measured parts were put in: %w", err)
	}
	possibly = map[string]bool{}
	for _, set := range sets {
		if !surely[set.ItemID] && !set.MeasuredAt.Before(put[set.ItemID]) {
			possibly[set.ItemID] = true
		}
	}
	reached = append(slices.Clone(ids), holders...)
	slices.Sort(reached)
	return slices.Compact(reached), possibly, nil
}
