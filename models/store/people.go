package store

import (
	"context"

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

// UpdatePerson writes every field; note tells the trail what the record alone
// does not say, such as a new password.
func (s *Store) UpdatePerson(ctx context.Context, stamp models.Stamp, p models.Person, note string) error {
	err := s.changing(ctx, func(tx *gorm.DB) error { return updatePerson(tx, stamp, &p, note) })
	return fault(err, "change person %s", p.Name)
}

func updatePerson(tx *gorm.DB, stamp models.Stamp, p *models.Person, note string) error {
	done := tx.Model(&models.Person{}).Where("id = ?", p.ID).Select("Name", "Login", "Role", "PasswordHash", "PINHash", "Active").Updates(p)
	if err := changedOne(done, "person"); err != nil {
		return err
	}
	if note == passwordSet || !p.Active || p.Login == nil {
		// What was sent out to set a password by is over, whoever holds it.
		done := tx.Model(&models.OneTimeLink{}).Where("person_id = ? AND used_at IS NULL", p.ID).Update("used_at", models.Moment(stamp.At))
		if done.Error != nil {
			return done.Error
		}
	}
	return enterStored[models.Person](tx, stamp, p.ID, note)
}

// passwordSet is the note of an entry that a person has another password.
const passwordSet = "password_set"
