package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddLabelPrints adds what was printed in one go.
func (s *Store) AddLabelPrints(ctx context.Context, stamp models.Stamp, prints []models.LabelPrint) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		for i := range prints {
			p := &prints[i]
			p.ID, p.PrintedAt, p.PrintedBy = orNewID(p.ID), settled(p.PrintedAt, stamp), orActor(p.PrintedBy, stamp)
			if err := add(tx, p); err != nil {
				return err
			}
			if err := enter(tx, stamp, *p, ""); err != nil {
				return err
			}
		}
		return nil
	})
	return fault(err, "add %d prints", len(prints))
}

// LabelPrintsOf lists the prints of some items, lots, rolls or certificates,
// oldest first.
func (s *Store) LabelPrintsOf(ctx context.Context, subjects []string) ([]models.LabelPrint, error) {
	if len(subjects) == 0 {
		return nil, nil
	}
	return list[models.LabelPrint](ctx, s, "list prints", "printed_at, id", "subject_id IN ?", subjects)
}

// LastOnSheet gives the newest print on sheets of a size, or
// models.ErrNotFound.
func (s *Store) LastOnSheet(ctx context.Context, size string) (models.LabelPrint, error) {
	return newest[models.LabelPrint](ctx, s, "find the last print on "+size, "id DESC", "size = ? AND place > 0", size)
}

// ItemsBySerial gives those that exist of the normalised serials asked for.
func (s *Store) ItemsBySerial(ctx context.Context, serials []string) ([]models.Item, error) {
	return inChunks[models.Item](ctx, s, "find items by serial", "serial", "serial IN ?", serials)
}

// ItemsMade lists the items with a serial that were made from one moment until
// before another, oldest first.
func (s *Store) ItemsMade(ctx context.Context, from, until time.Time, limit int) ([]models.Item, error) {
	var items []models.Item
	err := s.read.WithContext(ctx).Where("serial IS NOT NULL AND created_at >= ? AND created_at < ?", models.Moment(from), models.Moment(until)).
		Order("created_at, id").Limit(limit).Find(&items).Error
	return items, fault(err, "list items made since %s", from)
}
