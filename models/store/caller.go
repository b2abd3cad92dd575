package store

import (
	"context"

	"tracewright/models"
)

// Caller finds a device by the hash of its key, revoked or not, and a person by
// id in one go, for each request of a tablet: models.ErrNotFound when there is
// no such device, and a person without a name when there is none of that id.
func (s *Store) Caller(ctx context.Context, keyHash, personID string) (models.Device, models.Person, error) {
	var (
		d models.Device
		p models.Person
	)
	found := false
	err := s.ask(ctx,
		question{"SELECT id, name, place, key_hash, enrolled_by, enrolled_at, revoked_at, revoked_by FROM devices WHERE key_hash = ?", []any{keyHash},
			func(scan func(...any) error) error {
				found = true
				return scan(&d.ID, &d.Name, &d.Place, &d.KeyHash, &d.EnrolledBy, &d.EnrolledAt, &d.RevokedAt, &d.RevokedBy)
			}},
		question{"SELECT id, name, login, role, password_hash, pin_hash, active, created_at FROM people WHERE id = ?", []any{personID},
			func(scan func(...any) error) error {
				return scan(&p.ID, &p.Name, &p.Login, &p.Role, &p.PasswordHash, &p.PINHash, &p.Active, &p.CreatedAt)
			}})
	if err == nil && !found {
		err = models.ErrNotFound
	}
	return d, p, fault(err, "find a device by its key, and a person")
}
