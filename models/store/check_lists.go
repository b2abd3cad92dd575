package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddCheckList adds the next revision of a check list; models.ErrConflict when
// another came first.
func (s *Store) AddCheckList(ctx context.Context, stamp models.Stamp, l models.CheckList) error {
	l.ID, l.MadeAt, l.MadeBy = orNewID(l.ID), settled(l.MadeAt, stamp), orActor(l.MadeBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var revision int
		if err := tx.Model(&models.CheckList{}).Where("symptom = ?", l.Symptom).Select("coalesce(max(revision), 0)").Scan(&revision).Error; err != nil {
			return err
		}
		if l.Revision != revision+1 {
			return fmt.Errorf("revision %d does not follow %d: %w", l.Revision, revision, models.ErrConflict)
		}
		if err := add(tx, &l); err != nil {
			return err
		}
		return enter(tx, stamp, l, "")
	})
	return fault(err, "add revision %d of the check list %s", l.Revision, l.Symptom)
}

// CheckLists lists every revision of the check lists that the shop changed, the
// oldest of each first.
func (s *Store) CheckLists(ctx context.Context) ([]models.CheckList, error) {
	return list[models.CheckList](ctx, s, "list check lists", "symptom, revision", everything)
}
