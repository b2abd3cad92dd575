package store

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// Draft finds one, open or closed.
func (s *Store) Draft(ctx context.Context, id string) (models.Draft, error) {
	return first[models.Draft](ctx, s, "find draft "+id, "id = ?", id)
}

// OpenDrafts lists those neither submitted nor set aside, last changed first.
func (s *Store) OpenDrafts(ctx context.Context) ([]models.Draft, error) {
	return list[models.Draft](ctx, s, "list drafts", "updated_at DESC, id", "closed_at IS NULL")
}

// SaveDraft writes a draft under d.Version when the stored version is the one
// expected (0: none yet). models.ErrStale when it is not; models.ErrConflict
// when it is closed, or already an inspection. Saved once more with the same content by
// the same person, as after an answer that was lost, it stands as it is.
func (s *Store) SaveDraft(ctx context.Context, d models.Draft, expected int) (models.Draft, error) {
	d.CreatedAt, d.UpdatedAt = models.Moment(d.CreatedAt), models.Moment(d.UpdatedAt)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var stored models.Draft
		err := s.locked(tx).Where("id = ?", d.ID).Take(&stored).Error
		switch {
		case errors.Is(err, gorm.ErrRecordNotFound):
			return addDraft(tx, &d, expected)
		case err != nil:
			return err
		case stored.ClosedAt != nil:
			return fmt.Errorf("it is closed: %w", models.ErrConflict)
		case stored.Version == d.Version && stored.PersonID == d.PersonID && sameContent(stored.Content, d.Content):
			d = stored
			return nil
		case stored.Version != expected:
			return fmt.Errorf("it is at version %d, not %d: %w", stored.Version, expected, models.ErrStale)
		}
		d.CreatedAt = stored.CreatedAt
		return tx.Model(&models.Draft{}).Where("id = ?", d.ID).Select("Version", "Serial", "Kind", "Stage", "PersonID", "DeviceID", "Content", "UpdatedAt").Updates(&d).Error
	})
	return d, fault(err, "save draft %s", d.ID)
}

// sameContent compares as both are written down.
func sameContent(a, b models.Submission) bool {
	one, errOne := json.Marshal(a)
	other, errOther := json.Marshal(b)
	return errOne == nil && errOther == nil && bytes.Equal(one, other)
}

func addDraft(tx *gorm.DB, d *models.Draft, expected int) error {
	if expected != 0 {
		return fmt.Errorf("no such draft: %w", models.ErrNotFound)
	}
	var submitted int64
	if err := tx.Model(&models.Inspection{}).Where("id = ?", d.ID).Count(&submitted).Error; err != nil {
		return err
	}
	if submitted > 0 {
		return fmt.Errorf("it is an inspection already: %w", models.ErrConflict)
	}
	return add(tx, d)
}

// CloseDraft sets a draft aside; a second time changes nothing.
func (s *Store) CloseDraft(ctx context.Context, id string, at time.Time) error {
	if _, err := s.Draft(ctx, id); err != nil {
		return err
	}
	err := s.write.WithContext(ctx).Model(&models.Draft{}).Where("id = ? AND closed_at IS NULL", id).Update("closed_at", models.Moment(at)).Error
	return fault(err, "close draft %s", id)
}
