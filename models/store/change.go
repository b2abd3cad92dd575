package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// changing runs a change in one transaction on the writing connection.
func (s *Store) changing(ctx context.Context, f func(tx *gorm.DB) error) error {
	err := s.write.WithContext(ctx).Transaction(f)
	if err == nil {
		s.tellEntered()
	}
	return err
}

// add inserts one record as it stands; gorm's own handling of associations
// stays out of it.
func add(tx *gorm.DB, record any) error {
	return tx.Omit(clause.Associations).Create(record).Error
}

// enter writes the trail entry of a change into its transaction.
func enter(tx *gorm.DB, stamp models.Stamp, r models.Recorded, note string) error {
	stamp.At = models.Moment(stamp.At)
	e, err := models.Entry(stamp, r, note)
	if err != nil {
		return err
	}
	return add(tx, &e)
}

// enterStored writes the trail entry of a record that was written over, as its row
// now stands: a caller may not know what a change leaves alone.
func enterStored[T models.Recorded](tx *gorm.DB, stamp models.Stamp, id, note string) error {
	var stored T
	if err := tx.Where("id = ?", id).Take(&stored).Error; err != nil {
		return err
	}
	return enter(tx, stamp, stored, note)
}

// addRecorded inserts a record with its trail entry, in a transaction of their
// own.
func addRecorded[T models.Recorded](ctx context.Context, s *Store, stamp models.Stamp, record *T) error {
	return s.changing(ctx, func(tx *gorm.DB) error {
		if err := add(tx, record); err != nil {
			return err
		}
		return enter(tx, stamp, *record, "")
	})
}

// everything is a condition that all rows meet.
const everything = "1 = 1"

// locked makes a query of a transaction hold the rows it reads until the end.
// SQLite has one writer and no such clause.
func (s *Store) locked(tx *gorm.DB) *gorm.DB {
	if s.dialect == Postgres {
		return tx.Clauses(clause.Locking{Strength: "UPDATE"})
	}
	return tx
}

// lockedNamed is locked for rows that other records name: whoever writes such a
// record does not wait.
func (s *Store) lockedNamed(tx *gorm.DB) *gorm.DB {
	if s.dialect == Postgres {
		return tx.Clauses(clause.Locking{Strength: "NO KEY UPDATE"})
	}
	return tx
}

// changedOne refuses a change that found no row to change.
func changedOne(done *gorm.DB, what string) error {
	if done.Error != nil {
		return done.Error
	}
	if done.RowsAffected == 0 {
		return fmt.Errorf("%s: %w", what, models.ErrNotFound)
	}
	return nil
}
