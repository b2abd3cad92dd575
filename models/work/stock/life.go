package stock

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

const (
	// farClock is how far the sender's clock may be off, and farPast how long ago
	// a list may have been read: the bounds of a single inspection, which is then
	// kept for a person to settle. A list is sent again once the clock is right.
	farClock = 24 * time.Hour
	farPast  = 90 * 24 * time.Hour
)

// checkLife refuses readings dated before their blocks were made or came in, and
// a rest longer than they are old; and a clock that cannot be right.
func (s *Service) checkLife(ctx context.Context, in *intake) error {
	if in.MeasuredAt.IsZero() {
		return nil // Said elsewhere, where anything was read.
	}
	now, offset := s.now(), time.Duration(0)
	if !in.SentAt.IsZero() {
		offset = in.SentAt.Sub(now)
	}
	measured := in.MeasuredAt.Add(-offset)
	if offset.Abs() > farClock || now.Sub(measured) > farPast {
		in.invalid.Add("measured_at", "clock_far_off", "date", in.MeasuredAt.In(s.zone(ctx)).Format(time.DateOnly))
		return nil
	}
	rest, restErr := measure.ParseReading(in.Conditions.RestHours)
	for i, r := range in.Rows {
		if !r.read() {
			continue
		}
		life := models.ItemLife{MadeOn: in.made[i]}
		switch item := in.items[i]; {
		case item != nil:
			var err error
			if life, err = s.store.ItemLife(ctx, item.ID); err != nil {
				return fmt.Errorf("age of block %s: %w", item.Name(), err)
			}
		case in.lot != nil:
			life.Since = in.lot.ReceivedAt
		}
		if day, earlier := life.EarlierThan(measured, now, s.zone(ctx)); earlier {
			in.invalid.Add("measured_at", "before_item", "date", day)
			return nil // Of the whole list, once.
		}
		if restErr == nil && life.Outlived(rest.Float(), measured, s.zone(ctx)) {
			in.invalid.Add("rest_hours", "rest_outlives", "date", life.MadeOn)
			return nil
		}
	}
	return nil
}
