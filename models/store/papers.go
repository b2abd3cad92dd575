package store

import (
	"context"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// Paper gives the drawing of a certificate in a state.
func (s *Store) Paper(ctx context.Context, certificateID, state string) (models.CertificatePaper, error) {
	return first[models.CertificatePaper](ctx, s, "find the paper of a certificate", "certificate_id = ? AND state = ?", certificateID, state)
}

// KeepPaper keeps a drawing with its file. Of two made at the same moment the
// first stays.
func (s *Store) KeepPaper(ctx context.Context, paper models.CertificatePaper, file models.File) error {
	file.CreatedAt, paper.DrawnAt = models.Moment(file.CreatedAt), models.Moment(paper.DrawnAt)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		once := tx.Clauses(clause.OnConflict{DoNothing: true})
		if err := once.Create(&file).Error; err != nil {
			return err
		}
		return tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&paper).Error
	})
	return fault(err, "keep the paper of certificate %s", paper.CertificateID)
}

// File finds a kept file by the hash of its bytes.
func (s *Store) File(ctx context.Context, hash string) (models.File, error) {
	return first[models.File](ctx, s, "find file "+hash, "hash = ?", hash)
}
