package shelf

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// startable refuses a charge that began before the item was made or came in, or
// inside another one of it; started zero is now.
func (s *Service) startable(ctx context.Context, item models.Item, started time.Time) error {
	if started.IsZero() {
		started = s.now()
	}
	invalid := &models.InvalidError{}
	if err := s.inLife(ctx, item, "started_at", started, invalid); err != nil {
		return err
	}
	charges, err := s.store.ChargesOf(ctx, item.ID)
	if err != nil {
		return err
	}
	started = models.Moment(started)
	for _, c := range charges {
		if c.End != nil && !started.Before(c.StartedAt) && started.Before(c.End.EndedAt) {
			invalid.Add("started_at", "charge_inside", "date", s.minute(ctx, c.StartedAt), "until", s.minute(ctx, c.End.EndedAt))
		}
	}
	return invalid.OrNil()
}

// endable refuses an end after the start of a later charge of the same item.
func (s *Service) endable(ctx context.Context, charge models.Charge, ended time.Time, invalid *models.InvalidError) error {
	charges, err := s.store.ChargesOf(ctx, charge.ItemID)
	if err != nil {
		return err
	}
	for _, c := range charges {
		if c.ID != charge.ID && c.StartedAt.After(charge.StartedAt) && c.StartedAt.Before(models.Moment(ended)) {
			invalid.Add("ended_at", "charge_overlaps", "date", s.minute(ctx, c.StartedAt))
		}
	}
	return nil
}

// inLife refuses a moment before the item was made or came in; zero is now.
func (s *Service) inLife(ctx context.Context, item models.Item, field string, at time.Time, invalid *models.InvalidError) error {
	if at.IsZero() {
		return nil
	}
	life, err := s.store.ItemLife(ctx, item.ID)
	if err != nil {
		return fmt.Errorf("age of %s: %w", item.Name(), err)
	}
	if day, earlier := life.EarlierThan(at, s.now(), s.zone(ctx)); earlier {
		invalid.Add(field, "before_item", "date", day)
	}
	return nil
}

// minute is a moment as it is said of a charge.
func (s *Service) minute(ctx context.Context, t time.Time) string {
	return t.In(s.zone(ctx)).Format("2006-01-02 15:04")
}
