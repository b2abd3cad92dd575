package store

import (
	"context"
	"time"

	"tracewright/models"
)

// beforeScanned is how long before its first scan an item of a printed roll may
// have been worked on: a form may stand open that long.
const beforeScanned = 90 * 24 * time.Hour

const (
	itemSince = `SELECT i.origin, i.created_at, i.built_on, l.received_at FROM items AS i LEFT JOIN block_receipts AS r ON r.item_id = i.id LEFT JOIN lots AS l ON l.id = r.lot_id WHERE i.id = ?`
	madeOn    = `SELECT max(made_on) FROM block_receipts WHERE item_id = ? OR item_id IN (SELECT part_id FROM fitted_parts WHERE item_id = ? AND part_id IS NOT NULL AND out_at IS NULL)`
)

// ItemLife says since when an item may have been measured or charged: since it
// was made here or taken in, or its lot was received if that was earlier;
// of one that was built before the log, since that day.
func (s *Store) ItemLife(ctx context.Context, itemID string) (models.ItemLife, error) {
	var life models.ItemLife
	found := false
	err := s.ask(ctx,
		question{itemSince, []any{itemID}, func(scan func(...any) error) error {
			var (
				origin, builtOn string
				received        *time.Time
			)
			if err := scan(&origin, &life.Since, &builtOn, &received); err != nil {
				return err
			}
			found = true
			if built, err := time.Parse(time.DateOnly, builtOn); err == nil {
				life.Since = built
			}
			if life.Since = life.Since.UTC(); origin == "roll" {
				life.Since = life.Since.Add(-beforeScanned)
			}
			if received != nil && received.Before(life.Since) {
				life.Since = received.UTC()
			}
			return nil
		}},
		question{madeOn, []any{itemID, itemID}, func(scan func(...any) error) error {
			var made *string
			err := scan(&made)
			if made != nil {
				life.MadeOn = *made
			}
			return err
		}})
	if err == nil && !found {
		err = models.ErrNotFound
	}
	return life, fault(err, "find since when item %s is here", itemID)
}
