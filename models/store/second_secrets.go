package store

import (
	"context"
	"fmt"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/clause"

	"tracewright/models"
)

// SecondSecret finds a person's, confirmed or not.
func (s *Store) SecondSecret(ctx context.Context, personID string) (models.SecondSecret, error) {
	return first[models.SecondSecret](ctx, s, "find a second factor", "person_id = ?", personID)
}

// SecondSecrets lists those that are confirmed.
func (s *Store) SecondSecrets(ctx context.Context) ([]models.SecondSecret, error) {
	return list[models.SecondSecret](ctx, s, "list second factors", "person_id", "confirmed_at IS NOT NULL")
}

// BeginSecondSecret keeps one that is not confirmed yet, in place of another such;
// models.ErrConflict where one is confirmed.
func (s *Store) BeginSecondSecret(ctx context.Context, x models.SecondSecret) error {
	x.BegunAt = models.Moment(x.BegunAt)
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		if err := tx.Where("person_id = ? AND confirmed_at IS NULL", x.PersonID).Delete(&models.SecondSecret{}).Error; err != nil {
			return err
		}
		return add(tx, &x)
	})
	return fault(err, "begin a second factor")
}

// ConfirmSecondSecret puts one in force with the step whose code showed that it
// arrived, and gives the person these recovery codes in place of all before.
func (s *Store) ConfirmSecondSecret(ctx context.Context, stamp models.Stamp, x models.SecondSecret, step int64, codes []string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		done := tx.Model(&models.SecondSecret{}).Where("person_id = ? AND secret = ? AND confirmed_at IS NULL", x.PersonID, x.Secret).
			Updates(map[string]any{"confirmed_at": models.Moment(stamp.At), "last_step": step})
		if err := changedOne(done, "second factor"); err != nil {
			return err
		}
		if err := newRecoveryCodes(tx, x.PersonID, codes); err != nil {
			return err
		}
		return enterStored[models.Person](tx, stamp, x.PersonID, "second_secret_set")
	})
	return fault(err, "confirm a second factor")
}

// UseStep marks the code of a time step as used; models.ErrConflict when it, or a
// later one, was used before. Of two at the same moment one is refused.
func (s *Store) UseStep(ctx context.Context, personID string, step int64) error {
	done := s.write.WithContext(ctx).Model(&models.SecondSecret{}).Where("person_id = ? AND confirmed_at IS NOT NULL AND last_step < ?", personID, step).Update("last_step", step)
	if done.Error == nil && done.RowsAffected == 0 {
		return fmt.Errorf("a code was used before: %w", models.ErrConflict)
	}
	return fault(done.Error, "use a code")
}

// DropSecondSecret takes a person's away with its recovery codes; note tells the
// trail who did.
func (s *Store) DropSecondSecret(ctx context.Context, stamp models.Stamp, personID, note string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := changedOne(tx.Where("person_id = ?", personID).Delete(&models.SecondSecret{}), "second factor"); err != nil {
			return err
		}
		if err := newRecoveryCodes(tx, personID, nil); err != nil {
			return err
		}
		return enterStored[models.Person](tx, stamp, personID, note)
	})
	if err == nil {
		err = s.forget(ctx)
	}
	return fault(err, "take a second factor away")
}

// RecoveryCodes lists a person's, used ones too.
func (s *Store) RecoveryCodes(ctx context.Context, personID string) ([]models.RecoveryCode, error) {
	return list[models.RecoveryCode](ctx, s, "list recovery codes", "code_hash", "person_id = ?", personID)
}

// SetRecoveryCodes gives a person other codes in place of all before.
func (s *Store) SetRecoveryCodes(ctx context.Context, stamp models.Stamp, personID string, codes []string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := newRecoveryCodes(tx, personID, codes); err != nil {
			return err
		}
		return enterStored[models.Person](tx, stamp, personID, "recovery_codes_set")
	})
	return fault(err, "set recovery codes")
}

// UseRecoveryCode marks one as used; models.ErrConflict when it was.
func (s *Store) UseRecoveryCode(ctx context.Context, stamp models.Stamp, personID, hash string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		done := tx.Model(&models.RecoveryCode{}).Where("person_id = ? AND code_hash = ? AND used_at IS NULL", personID, hash).Update("used_at", models.Moment(stamp.At))
		if done.Error == nil && done.RowsAffected == 0 {
			return fmt.Errorf("a recovery code was used before: %w", models.ErrConflict)
		}
		if done.Error != nil {
			return done.Error
		}
		return enterStored[models.Person](tx, stamp, personID, "recovery_code_used")
	})
	return fault(err, "use a recovery code")
}

func newRecoveryCodes(tx *gorm.DB, personID string, codes []string) error {
	if err := tx.Where("person_id = ?", personID).Delete(&models.RecoveryCode{}).Error; err != nil {
		return err
	}
	for _, hash := range codes {
		if err := add(tx, &models.RecoveryCode{PersonID: personID, CodeHash: hash}); err != nil {
			return err
		}
	}
	return nil
}

// CountTries reads counters of tries in the order of their names, lets judge
// change them and writes them back, as one step: two at the same moment count as
// two. An error of judge leaves them as they were.
func (s *Store) CountTries(ctx context.Context, about []string, judge func([]models.SecretTries) error) error {
	err := s.write.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		for _, name := range about { // A row that is not there cannot be locked.
			if err := tx.Clauses(clause.OnConflict{DoNothing: true}).Create(&models.SecretTries{About: name}).Error; err != nil {
				return err
			}
		}
		var tries []models.SecretTries
		if err := s.locked(tx).Where("about IN ?", about).Order("about").Find(&tries).Error; err != nil {
			return err
		}
		if err := judge(tries); err != nil {
			return err
		}
		for _, x := range tries {
			x.LastAt, x.WaitUntil = models.Moment(x.LastAt), models.Moment(x.WaitUntil)
			if err := tx.Model(&models.SecretTries{}).Where("about = ?", x.About).Updates(map[string]any{"failures": x.Failures, "last_at": x.LastAt, "wait_until": x.WaitUntil}).Error; err != nil {
				return err
			}
		}
		return nil
	})
	return fault(err, "count a try")
}

// ForgetTries begins counters anew.
func (s *Store) ForgetTries(ctx context.Context, about []string) error {
	return fault(s.write.WithContext(ctx).Where("about IN ?", about).Delete(&models.SecretTries{}).Error, "forget tries")
}

// ForgetTriesBeginning begins anew whatever counter's name begins so.
func (s *Store) ForgetTriesBeginning(ctx context.Context, beginning string) error {
	return fault(s.write.WithContext(ctx).Where(`about LIKE ? ESCAPE '\'`, likeSigns.Replace(beginning)+"%").Delete(&models.SecretTries{}).Error, "forget tries")
}

// ForgetTriesBefore clears counters that nobody added to since a moment.
func (s *Store) ForgetTriesBefore(ctx context.Context, at time.Time) error {
	return fault(s.write.WithContext(ctx).Where("last_at < ?", models.Moment(at)).Delete(&models.SecretTries{}).Error, "forget old tries")
}
