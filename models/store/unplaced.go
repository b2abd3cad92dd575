package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

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
		// Insert first, look afterwards: the same one may be on its way twice.
		done := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&u)
		if done.Error != nil {
			return done.Error
		}
		if done.RowsAffected == 0 {
			return sameUnplaced(tx, u)
		}
		if err := tx.Model(&models.Draft{}).Where("id = ? AND closed_at IS NULL", u.ID).Update("closed_at", u.ReceivedAt).Error; err != nil {
			return err
		}
		return enter(tx, stamp, u, "")
	})
	return fault(err, "keep unplaced inspection %s", u.ID)
}

// sameUnplaced refuses content that differs from what is kept under its id.
func sameUnplaced(tx *gorm.DB, u models.Unplaced) error {
	var stored models.Unplaced
	if err := tx.Where("id = ?", u.ID).Take(&stored).Error; err != nil {
		return err
	}
	if stored.SentHash != u.SentHash {
		return fmt.Errorf("another inspection has this id: %w", models.ErrConflict)
	}
	return nil
}

// SettleUnplaced says what became of one; a second settlement is
// models.ErrConflict.
func (s *Store) SettleUnplaced(ctx context.Context, stamp models.Stamp, x models.UnplacedSettlement) error {
	x.SettledAt, x.SettledBy = settled(x.SettledAt, stamp), orActor(x.SettledBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &x), "settle unplaced inspection %s", x.UnplacedID)
}
