package capture

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// inLife refuses a reading of a block from before it was made or came in, and a
// rest longer than the block, or the newest block of a pack, is old. Readings that
// waited for their block to be taken in are settled by a person and stand.
func (s *Service) inLife(ctx context.Context, a arrival, t target, parts []models.FittedPart, measured time.Time, invalid *models.InvalidError) error {
	if t.kind.Name != models.KindPack && t.kind.Name != models.KindBlock || t.newItem != nil || t.tried {
		return nil
	}
	of := []string{t.Item.ID}
	for _, p := range parts {
		if p.PartID != nil {
			of = append(of, *p.PartID)
		}
	}
	rest, err := measure.ParseReading(a.sub.Conditions.RestHours)
	for i, id := range of {
		life, lifeErr := s.store.ItemLife(ctx, id)
		if lifeErr != nil {
			return fmt.Errorf("age of %s: %w", t.Item.Name(), lifeErr)
		}
		if day, earlier := life.EarlierThan(measured, s.now(), s.zone(ctx)); earlier && i == 0 && t.kind.Name == models.KindBlock && !a.dated {
			invalid.Add("finished_at", "before_item", "date", day)
		}
		if err == nil && life.Outlived(rest.Float(), measured, s.zone(ctx)) {
			invalid.Add("conditions.rest_hours", "rest_outlives", "date", life.MadeOn)
			return nil
		}
	}
	return nil
}
