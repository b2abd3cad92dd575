package store

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// Certificate finds one by id.
func (s *Store) Certificate(ctx context.Context, id string) (models.Certificate, error) {
	return first[models.Certificate](ctx, s, "find certificate "+id, "id = ?", id)
}

// CertificateByNumber finds one by number and revision.
func (s *Store) CertificateByNumber(ctx context.Context, number string, revision int) (models.Certificate, error) {
	return first[models.Certificate](ctx, s, "find certificate "+number, "number = ? AND revision = ?", number, revision)
}

// CertificateNumbered finds the newest revision of a number.
func (s *Store) CertificateNumbered(ctx context.Context, number string) (models.Certificate, error) {
	return first[models.Certificate](ctx, s, "find certificate "+number, "number = ? AND revision = (SELECT max(revision) FROM certificates WHERE number = ?)", number, number)
}

// CertificateByToken finds one by the hash of its token.
func (s *Store) CertificateByToken(ctx context.Context, tokenHash string) (models.Certificate, error) {
	return first[models.Certificate](ctx, s, "find a certificate by its token", "token_hash = ?", tokenHash)
}

// PublicCertificates lists those that have a token, in the order of its hash,
// so many after the one that is named.
func (s *Store) PublicCertificates(ctx context.Context, after string, limit int) ([]models.Certificate, error) {
	var certificates []models.Certificate
	err := s.read.WithContext(ctx).Where("token_hash > ?", after).Order("token_hash").Limit(limit).Find(&certificates).Error
	return certificates, fault(err, "list public certificates")
}

// CertificatesOf lists every revision of every certificate of an item with its
// present state, newest first.
func (s *Store) CertificatesOf(ctx context.Context, itemID string) ([]models.CertificateView, error) {
	certificates, err := list[models.Certificate](ctx, s, "list certificates", "issued_at DESC, revision DESC", "item_id = ?", itemID)
	if err != nil || len(certificates) == 0 {
		return nil, err
	}
	ids, views := make([]string, len(certificates)), make([]models.CertificateView, len(certificates))
	for i, c := range certificates {
		ids[i], views[i] = c.ID, models.CertificateView{Certificate: c, State: models.Issued}
	}
	changes, err := list[models.CertificateChange](ctx, s, "list changes of certificates", "certificate_id", "certificate_id IN ?", ids)
	for i := range changes {
		for k := range views {
			if views[k].ID == changes[i].CertificateID {
				views[k].State, views[k].Change = changes[i].State, &changes[i]
			}
		}
	}
	return views, err
}

const inForce = "NOT EXISTS (SELECT 1 FROM certificate_changes WHERE certificate_changes.certificate_id = certificates.id)"

// CertificateInForce gives the item's, or models.ErrNotFound.
func (s *Store) CertificateInForce(ctx context.Context, itemID string) (models.Certificate, error) {
	return first[models.Certificate](ctx, s, "find the certificate in force", "item_id = ? AND "+inForce, itemID)
}

// AddCertificate numbers a certificate and stores what make answers with, in
// one transaction with the item locked. A certificate in force gives its
// number, the next revision, and becomes superseded; otherwise the next number
// of the year is taken, without gaps. The item becomes released; one that left
// the shop stays shipped. One in any other state is models.ErrStale, and so is one
// that rests on something else than what make answers with was decided on, and a
// key that was retired since it was chosen to sign.
func (s *Store) AddCertificate(ctx context.Context, stamp models.Stamp, year2 int, itemID string,
	make func(number string, revision int, replaces *models.Certificate) (models.Certificate, error)) (models.Certificate, error) {
	var issued models.Certificate
	err := s.changing(ctx, func(tx *gorm.DB) error {
		item, err := s.lockItem(tx, itemID)
		if err != nil {
			return err
		}
		replaces, err := inForceOf(tx, itemID)
		if err != nil {
			return err
		}
		how := flow.Release
		if flow.Allows(item.State, flow.Revise) {
			how = flow.Revise
		}
		if err := move(tx, item, how); err != nil {
			return err
		}
		number, revision := "", 1
		if replaces != nil {
			number, revision = replaces.Number, replaces.Revision+1
		} else if number, err = counted(tx, "certificate_counters", "C", year2); err != nil {
			return err
		}
		if issued, err = make(number, revision, replaces); err != nil {
			return err
		}
		if err := s.sameGrounds(tx, item, issued.Grounds); err != nil {
			return err
		}
		if err := s.keySigns(tx, issued.KeyID); err != nil {
			return err
		}
		issued.IssuedAt = models.Moment(issued.IssuedAt)
		return addCertificate(tx, stamp, &issued, replaces)
	})
	return issued, fault(err, "issue a certificate")
}

// keySigns refuses a key that is retired. The row stays locked, so that it is not
// retired before the certificate is stored either.
func (s *Store) keySigns(tx *gorm.DB, id *string) error {
	if id == nil {
		return nil
	}
	query := tx
	if s.dialect == Postgres {
		query = query.Clauses(clause.Locking{Strength: "SHARE"})
	}
	var key models.ServerKey
	err := query.Select("id", "retired_at").Where("id = ?", *id).Limit(1).Find(&key).Error
	if err == nil && key.RetiredAt != nil {
		return fmt.Errorf("the key %s was retired meanwhile: %w", *id, models.ErrStale)
	}
	return err
}

func addCertificate(tx *gorm.DB, stamp models.Stamp, c *models.Certificate, replaces *models.Certificate) error {
	if err := add(tx, c); err != nil {
		return err
	}
	if err := enter(tx, stamp, *c, ""); err != nil || replaces == nil {
		return err
	}
	change := models.CertificateChange{CertificateID: replaces.ID, State: models.Superseded, Reason: c.Reason, ChangedBy: c.IssuedBy, ChangedAt: c.IssuedAt}
	if err := add(tx, &change); err != nil {
		return err
	}
	return enter(tx, stamp, change, "")
}

func inForceOf(tx *gorm.DB, itemID string) (*models.Certificate, error) {
	var c models.Certificate
	err := tx.Where("item_id = ? AND "+inForce, itemID).Take(&c).Error
	if errors.Is(err, gorm.ErrRecordNotFound) {
		return nil, nil
	}
	return &c, err
}

// VoidCertificate ends a certificate without a successor; the item is
// conforming again, or conceded where its certificate names a concession. One that is not in force any more is models.ErrConflict.
func (s *Store) VoidCertificate(ctx context.Context, stamp models.Stamp, change models.CertificateChange) error {
	change.ChangedAt, change.ChangedBy = settled(change.ChangedAt, stamp), orActor(change.ChangedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var c models.Certificate
		if err := tx.Where("id = ?", change.CertificateID).Take(&c).Error; err != nil {
			return err
		}
		item, err := s.lockItem(tx, c.ItemID)
		if err != nil {
			return err
		}
		if err := add(tx, &change); err != nil {
			return err
		}
		if err := enter(tx, stamp, change, ""); err != nil {
			return err
		}
		how, err := voidOf(c)
		if err != nil || !flow.Allows(item.State, how) {
			return err
		}
		return move(tx, item, how)
	})
	return fault(err, "void certificate %s", change.CertificateID)
}

// endCertificate voids the certificate in force of an item that is gone, where it has
// one.
func endCertificate(tx *gorm.DB, stamp models.Stamp, itemID, reason string) error {
	c, err := inForceOf(tx, itemID)
	if err != nil || c == nil {
		return err
	}
	change := models.CertificateChange{CertificateID: c.ID, State: models.Void, Reason: reason, ChangedBy: stamp.By.String(), ChangedAt: models.Moment(stamp.At)}
	if err := add(tx, &change); err != nil {
		return err
	}
	return enter(tx, stamp, change, "")
}

// voidOf is what voiding a certificate does to its item: one that was released
// under a concession is conceded again.
func voidOf(c models.Certificate) (flow.Event, error) {
	var content models.CertificateContent
	if err := json.Unmarshal([]byte(c.Content), &content); err != nil {
		return "", fmt.Errorf("content of certificate %s: %w", c.Number, err)
	}
	if content.Concession != nil {
		return flow.VoidConceded, nil
	}
	return flow.VoidCertificate, nil
}
