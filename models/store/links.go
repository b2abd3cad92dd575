package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// firstOwner is the purpose of a link that makes the shop's first owner.
const firstOwner = "first_owner"

// AddLink keeps a one-time link by the hash of its token.
func (s *Store) AddLink(ctx context.Context, l models.OneTimeLink) error {
	l.Expires = models.Moment(l.Expires)
	return fault(add(s.write.WithContext(ctx), &l), "keep a one-time link")
}

// Link finds a one-time link, used or not.
func (s *Store) Link(ctx context.Context, tokenHash string) (models.OneTimeLink, error) {
	return first[models.OneTimeLink](ctx, s, "find a one-time link", "token_hash = ?", tokenHash)
}

// UseLink marks a link as used and adds the person (a first owner) or writes the
// person's secrets (a password set), in one transaction. models.ErrNotFound when
// it is used or run out, or when it would make a second first owner.
func (s *Store) UseLink(ctx context.Context, stamp models.Stamp, tokenHash string, p models.Person) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		// Links for a first owner wait for each other, so that the second sees
		// the owner whom the first has made.
		var waiting []models.OneTimeLink
		if err := s.locked(tx).Where("purpose = ? AND used_at IS NULL", firstOwner).Order("token_hash").Find(&waiting).Error; err != nil {
			return err
		}
		// The person before the link, as everybody who changes both takes them.
		if err := s.lockedNamed(tx).Where("id = ?", p.ID).Find(&[]models.Person{}).Error; err != nil {
			return err
		}
		link, err := s.takeLink(tx, tokenHash, models.Moment(stamp.At))
		if err != nil {
			return err
		}
		if link.Purpose != firstOwner {
			return setSecrets(tx, stamp, p.ID, p.PasswordHash, p.PINHash, passwordSet) // Older links of the same person end with this one.
		}
		var owners int64
		if err := tx.Model(&models.Person{}).Where("role = ? AND active", models.Owner).Count(&owners).Error; err != nil {
			return err
		}
		if owners > 0 {
			return fmt.Errorf("there is an owner already: %w", models.ErrNotFound)
		}
		p.CreatedAt = settled(p.CreatedAt, stamp)
		if err := add(tx, &p); err != nil {
			return err
		}
		return enter(tx, stamp, p, firstOwner)
	})
	return fault(err, "use a one-time link")
}

// takeLink marks an unused link; of two at the same moment one finds it used.
func (s *Store) takeLink(tx *gorm.DB, tokenHash string, now time.Time) (models.OneTimeLink, error) {
	done := tx.Model(&models.OneTimeLink{}).Where("token_hash = ? AND used_at IS NULL AND expires > ?", tokenHash, now).Update("used_at", now)
	if err := changedOne(done, "an unused link"); err != nil {
		return models.OneTimeLink{}, err
	}
	var link models.OneTimeLink
	return link, tx.Where("token_hash = ?", tokenHash).Take(&link).Error
}
