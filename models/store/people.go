package store

import (
	"context"
	"fmt"
	"slices"

	"gorm.io/gorm"

	"tracewright/models"
)

// People lists everybody by name, those who left too.
func (s *Store) People(ctx context.Context) ([]models.Person, error) {
	return list[models.Person](ctx, s, "list people", "name, id", everything)
}

// Person finds one by id.
func (s *Store) Person(ctx context.Context, id string) (models.Person, error) {
	return first[models.Person](ctx, s, "find person "+id, "id = ?", id)
}

// PersonByLogin finds a person, active or not, by login.
func (s *Store) PersonByLogin(ctx context.Context, login string) (models.Person, error) {
	return first[models.Person](ctx, s, "find a person by login", "login = ?", login)
}

// HasOwner says whether an active owner exists.
func (s *Store) HasOwner(ctx context.Context) (bool, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.Person{}).Where("role = ? AND active", models.Owner).Count(&n).Error
	return n > 0, fault(err, "look for an owner")
}

// AddPerson adds a person; models.ErrConflict when the login is taken.
func (s *Store) AddPerson(ctx context.Context, stamp models.Stamp, p models.Person) error {
	p.CreatedAt = settled(p.CreatedAt, stamp)
	return fault(addRecorded(ctx, s, stamp, &p), "add person %s", p.Name)
}

// ChangePerson lets change decide about a person as they stand now, beside every
// owner as of now, and writes what it leaves of name, login, role and whether they
// work here; whoever loses the login loses the password with it. Of two such changes
// at the same moment the second sees the first. An error of change leaves all as it was.
func (s *Store) ChangePerson(ctx context.Context, stamp models.Stamp, id string, change func(p *models.Person, owners []models.Person) error) (models.Person, error) {
	var p models.Person
	err := s.changing(ctx, func(tx *gorm.DB) error {
		// In the order of their keys, so that two never wait for each other.
		var found []models.Person
		if err := s.lockedNamed(tx).Where("id = ? OR role = ?", id, models.Owner).Order("id").Find(&found).Error; err != nil {
			return err
		}
		at := slices.IndexFunc(found, func(x models.Person) bool { return x.ID == id })
		if at < 0 {
			return fmt.Errorf("person: %w", models.ErrNotFound)
		}
		p = found[at]
		owners := slices.DeleteFunc(slices.Clone(found), func(x models.Person) bool { return x.Role != models.Owner })
		if err := change(&p, owners); err != nil {
			return err
		}
		fields := []string{"Name", "Login", "Role", "Active"}
		if p.Login == nil {
			p.PasswordHash = ""
			fields = append(fields, "PasswordHash")
		}
		if err := changedOne(tx.Model(&models.Person{}).Where("id = ?", id).Select(fields).Updates(&p), "person"); err != nil {
			return err
		}
		if !p.Active || p.Login == nil {
			if err := endLinks(tx, stamp, id); err != nil {
				return err
			}
		}
		return enterStored[models.Person](tx, stamp, id, "")
	})
	return p, fault(err, "change person %s", id)
}

// SetSecrets writes a person's password, PIN or both by their hashes, an empty one as
// it was, and nothing else: hashing takes long enough for somebody to change the person
// meanwhile. note tells the trail which it is. A password without a login is
// models.ErrStale: the login was taken away meanwhile.
func (s *Store) SetSecrets(ctx context.Context, stamp models.Stamp, id, passwordHash, pinHash, note string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error { return setSecrets(tx, stamp, id, passwordHash, pinHash, note) })
	return fault(err, "set a secret of %s", id)
}

func setSecrets(tx *gorm.DB, stamp models.Stamp, id, passwordHash, pinHash, note string) error {
	query, fields := tx.Model(&models.Person{}).Where("id = ?", id), map[string]any{}
	if passwordHash != "" {
		query, fields["password_hash"] = query.Where("login IS NOT NULL"), passwordHash
	}
	if pinHash != "" {
		fields["pin_hash"] = pinHash
	}
	done := query.Updates(fields)
	if done.Error == nil && done.RowsAffected == 0 {
		return fmt.Errorf("no login any more: %w", models.ErrStale)
	}
	if done.Error != nil {
		return done.Error
	}
	if passwordHash != "" {
		if err := endLinks(tx, stamp, id); err != nil {
			return err
		}
	}
	return enterStored[models.Person](tx, stamp, id, note)
}

// RehashPassword writes the same password by another hash; where it is another
// password by now, that one stays.
func (s *Store) RehashPassword(ctx context.Context, stamp models.Stamp, id, before, after string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		done := tx.Model(&models.Person{}).Where("id = ? AND password_hash = ?", id, before).Update("password_hash", after)
		if done.Error != nil || done.RowsAffected == 0 {
			return done.Error
		}
		return enterStored[models.Person](tx, stamp, id, "password_rehashed")
	})
	return fault(err, "hash the password of %s anew", id)
}

// endLinks ends what was sent out to set a password by, whoever holds it.
func endLinks(tx *gorm.DB, stamp models.Stamp, id string) error {
	return tx.Model(&models.OneTimeLink{}).Where("person_id = ? AND used_at IS NULL", id).Update("used_at", models.Moment(stamp.At)).Error
}

// passwordSet is the note of an entry that a person has another password.
const passwordSet = "password_set"
