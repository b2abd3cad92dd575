package store

import (
	"context"
	"errors"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

const unsettled = "NOT EXISTS (SELECT 1 FROM unplaced_settlements WHERE unplaced_settlements.unplaced_id = unplaced.id)"

// Unplaced finds one that still waits; models.ErrNotFound once it is settled.
func (s *Store) Unplaced(ctx context.Context, id string) (models.Unplaced, error) {
	return first[models.Unplaced](ctx, s, "find unplaced inspection "+id, "id = ? AND "+unsettled, id)
}

// OpenUnplaced lists what waits for a person, oldest first.
func (s *Store) OpenUnplaced(ctx context.Context) ([]models.Unplaced, error) {
	return list[models.Unplaced](ctx, s, "list unplaced inspections", "received_at, id", unsettled)
}

// AddUnplaced keeps an inspection that could not be placed and closes its
// draft. The same id with the same hash changes nothing, with another one it
// is models.ErrConflict.
func (s *Store) AddUnplaced(ctx context.Context, stamp models.Stamp, u models.Unplaced) error {
	u.ReceivedAt = settled(u.ReceivedAt, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var stored models.Unplaced
		err := s.locked(tx).Where("id = ?", u.ID).Take(&stored).Error
		switch {
		case err == nil && stored.SentHash == u.SentHash:
			return nil
		case err == nil:
			return fmt.Errorf("another inspection has this id: %w", models.ErrConflict)
		case !errors.Is(err, gorm.ErrRecordNotFound):
			return err
		}
		if err := add(tx, &u); err != nil {
			return err
		}
		if err := tx.Model(&models.Draft{}).Where("id = ? AND closed_at IS NULL", u.ID).Update("closed_at", u.ReceivedAt).Error; err != nil {
			return err
		}
		return enter(tx, stamp, u, "")
	})
	return fault(err, "keep unplaced inspection %s", u.ID)
}

// SettleUnplaced says what became of one; a second settlement is
// models.ErrConflict.
func (s *Store) SettleUnplaced(ctx context.Context, stamp models.Stamp, x models.UnplacedSettlement) error {
	x.SettledAt, x.SettledBy = settled(x.SettledAt, stamp), orActor(x.SettledBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &x), "settle unplaced inspection %s", x.UnplacedID)
}
