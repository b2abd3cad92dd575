package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// Defects are the codes as the shop says them.
func (s *Store) Defects(ctx context.Context) (models.Defects, error) {
	revisions, err := list[models.DefectRevision](ctx, s, "list defects", "code, revision", everything)
	return models.NewDefects(revisions), err
}

// AddDefectRevision adds the next revision of a code; models.ErrConflict when
// another came first.
func (s *Store) AddDefectRevision(ctx context.Context, stamp models.Stamp, r models.DefectRevision) error {
	r.ID, r.MadeAt, r.MadeBy = orNewID(r.ID), settled(r.MadeAt, stamp), orActor(r.MadeBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var last int
		if err := tx.Model(&models.DefectRevision{}).Where("code = ?", r.Code).Select("coalesce(max(revision), 0)").Scan(&last).Error; err != nil {
			return err
		}
		if r.Revision != last+1 {
			return fmt.Errorf("revision %d does not follow %d: %w", r.Revision, last, models.ErrConflict)
		}
		if err := add(tx, &r); err != nil {
			return err
		}
		return enter(tx, stamp, r, "")
	})
	return fault(err, "add revision %d of defect %s", r.Revision, r.Code)
}
