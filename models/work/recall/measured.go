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
	for i := range items {
		if surely[items[i].ID] = true; models.IsPart(items[i].Kind) {
			parts = append(parts, items[i].ID)
		}
	}
	if len(parts) == 0 {
		return ids, nil, nil
	}
	traced, err := s.store.OutputsOfParts(ctx, parts)
	if err != nil {
		return nil, nil, fmt.Errorf("where measured parts went: %w", err)
	}
	holders, _ := presentOutputs(traced, "") // From whatever was measured.
	put := map[string]time.Time{}            // when the last part was put into each
	for i := range traced.Fitted {
		if f := &traced.Fitted[i]; f.OutAt == nil && put[f.ItemID].Before(f.FittedAt) {
			put[f.ItemID] = f.FittedAt
		}
	}
	sets, err := s.store.StandingSets(ctx, holders)
	if err != nil {
		return nil, nil, fmt.Errorf("what was read since measured parts were put in: %w", err)
	}
	possibly = map[string]bool{}
	for i := range sets {
		if of := sets[i].ItemID; !surely[of] && !sets[i].MeasuredAt.Before(put[of]) {
			possibly[of] = true
		}
	}
	ids = append(slices.Clone(ids), holders...)
	slices.Sort(ids)
	return slices.Compact(ids), possibly, nil
}
