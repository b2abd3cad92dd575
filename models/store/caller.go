package store

import (
	"context"
	"time"

	"tracewright/models"
)

const calling = `SELECT d.id, d.name, d.place, d.key_hash, d.enrolled_by, d.enrolled_at, d.revoked_at, d.revoked_by, d.program,
	p.id, p.name, p.login, p.role, p.password_hash, p.pin_hash, p.active, p.created_at
FROM devices AS d LEFT JOIN people AS p ON p.id = ? WHERE d.key_hash = ?`

// Caller finds a device by the hash of its key, revoked or not, and a person by
// id in one go, for each request of a tablet: models.ErrNotFound when there is
// no such device, and a person without a name when there is none of that id.
func (s *Store) Caller(ctx context.Context, keyHash, personID string) (models.Device, models.Person, error) {
	var (
		d models.Device
		p models.Person
	)
	found := false
	err := s.ask(ctx, question{calling, []any{personID, keyHash}, func(scan func(...any) error) error {
		found = true
		var (
			id, name, role, password, pin *string
			active                        *bool
			createdAt                     *time.Time
		)
		if err := scan(&d.ID, &d.Name, &d.Place, &d.KeyHash, &d.EnrolledBy, &d.EnrolledAt, &d.RevokedAt, &d.RevokedBy, &d.Program,
			&id, &name, &p.Login, &role, &password, &pin, &active, &createdAt); err != nil || id == nil {
			return err
		}
		p.ID, p.Name, p.Role, p.PasswordHash, p.PINHash, p.Active, p.CreatedAt = *id, *name, models.Role(*role), *password, *pin, *active, *createdAt
		return nil
	}})
	if err == nil && !found {
		err = models.ErrNotFound
	}
	return d, p, fault(err, "find a device by its key, and a person")
}
