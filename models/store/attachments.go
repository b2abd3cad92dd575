package store

import (
	"context"
	"errors"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// AddAttachment hangs a file on a record; the file is kept once by its hash.
// models.ErrConflict when this record has it already; an InvalidError on "file" where it
// is a claim of a customer who is gone: it would be erased with nobody.
func (s *Store) AddAttachment(ctx context.Context, stamp models.Stamp, a models.Attachment, file models.File) error {
	a.AddedAt, a.AddedBy = settled(a.AddedAt, stamp), orActor(a.AddedBy, stamp)
	file.CreatedAt = settled(file.CreatedAt, stamp)
	return fault(s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.keepOfClaim(tx, a); err != nil {
			return err
		}
		if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&file).Error; err != nil {
			return err
		}
		if err := add(tx, &a); err != nil {
			return err
		}
		return enter(tx, stamp, a, "")
	}), "keep a paper of %s %s", a.SubjectKind, a.SubjectID)
}

// keepOfClaim holds the customer of the claim that a file is to hang on, as keepCustomer
// does; a claim names one for good. Other records have none.
func (s *Store) keepOfClaim(tx *gorm.DB, a models.Attachment) error {
	if a.SubjectKind != models.SubjectClaim {
		return nil
	}
	var c models.Claim
	if err := s.kept(tx).Where("id = ?", a.SubjectID).Take(&c).Error; err != nil {
		return err
	}
	err := s.keepCustomer(tx, c.Customer)
	var gone *models.InvalidError
	if errors.As(err, &gone) {
		return models.Invalid("file", "claim_customer_gone")
	}
	return err
}

// EraseAttachment removes a photo or paper with its salt, and its file where nothing
// else keeps it. The log keeps a hash that nothing can be recognised by.
func (s *Store) EraseAttachment(ctx context.Context, stamp models.Stamp, id string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error { return eraseAttachment(tx, stamp, id) })
	if err == nil {
		err = s.forget(ctx)
	}
	return fault(err, "erase attachment %.40q", id)
}

func eraseAttachment(tx *gorm.DB, stamp models.Stamp, id string) error {
	var a models.Attachment
	if err := tx.Where("id = ?", id).Take(&a).Error; err != nil {
		return err
	}
	if err := changedOne(tx.Where("id = ?", id).Delete(&models.Attachment{}), "attachment"); err != nil {
		return err
	}
	unkept := "hash = ? AND NOT EXISTS (" + fileUses + "file_hash = files.hash)"
	if err := tx.Where(unkept, a.FileHash).Delete(&models.File{}).Error; err != nil {
		return err
	}
	return enter(tx, stamp, a, models.NoteErased)
}

// attached is an attachment beside what its file is; the bytes stay where they
// are, and their length is read from the row's head.
const attached = `SELECT attachments.*, files.media_type, length(files.bytes) AS size FROM attachments JOIN files ON files.hash = attachments.file_hash WHERE `

// Attachments lists what hangs on records of a kind, oldest first.
func (s *Store) Attachments(ctx context.Context, subjectKind string, subjectIDs []string) ([]models.AttachmentView, error) {
	if len(subjectIDs) == 0 {
		return nil, nil
	}
	var views []models.AttachmentView
	err := s.read.WithContext(ctx).Raw(attached+"subject_kind = ? AND subject_id IN ? ORDER BY added_at, id", subjectKind, subjectIDs).Scan(&views).Error
	return views, fault(err, "list the papers of a %s", subjectKind)
}

// Attachment finds one by id.
func (s *Store) Attachment(ctx context.Context, id string) (models.AttachmentView, error) {
	var views []models.AttachmentView
	err := s.read.WithContext(ctx).Raw(attached+"attachments.id = ?", id).Scan(&views).Error
	if err == nil && len(views) == 0 {
		err = models.ErrNotFound
	}
	if err != nil {
		return models.AttachmentView{}, fault(err, "find attachment %.40q", id)
	}
	return views[0], nil
}
