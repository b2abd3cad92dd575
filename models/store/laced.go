package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// AddLaced adds a wheel with its parts under the next serial of the year, in
// one transaction with the motor that comes in with it. models.ErrConflict says
// that the entry or the motor's number is known meanwhile, models.ErrStale that
// the motor is in another wheel.
func (s *Store) AddLaced(ctx context.Context, stamp models.Stamp, year int, l models.Laced) (models.Item, error) {
	item := l.Item
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if l.Motor != nil {
			motor := *l.Motor
			if err := addItem(tx, stamp, &motor, nil); err != nil {
				return err
			}
		}
		var motors []string
		for _, p := range l.Parts {
			if p.PartID != nil {
				motors = append(motors, *p.PartID)
			}
		}
		slices.Sort(motors)
		for _, id := range motors {
			if _, err := s.lockItem(tx, id); err != nil {
				return err
			}
			if err := free(tx, id); err != nil {
				return err
			}
		}
		serial, err := s.nextSerial(tx, string(rune(ident.Wheel)), year)
		if err != nil {
			return err
		}
		tail := ident.Tail(serial)
		item.Serial, item.SerialTail = &serial, &tail
		return addItem(tx, stamp, &item, l.Parts)
	})
	return item, fault(err, "lace a wheel")
}

// free refuses a part that is in an item now, or gone for good.
func free(tx *gorm.DB, partID string) error {
	var n int64
	err := tx.Raw("SELECT (SELECT count(*) FROM fitted_parts WHERE part_id = @part AND out_at IS NULL) + (SELECT count(*) FROM items WHERE id = @part AND state IN ('scrapped', 'returned_to_supplier'))",
		sql.Named("part", partID)).Scan(&n).Error
	if err == nil && n > 0 {
		err = fmt.Errorf("part %s is not free: %w", partID, models.ErrStale)
	}
	return err
}

// LacedSince lists the wheels of a product that somebody made since a moment,
// newest first.
func (s *Store) LacedSince(ctx context.Context, productID, person string, since time.Time) ([]models.Item, error) {
	return list[models.Item](ctx, s, "list wheels laced", "created_at DESC, serial DESC", "product_id = ? AND created_by = ? AND created_at >= ?", productID, person, models.Moment(since))
}
