package access

import (
	"context"

	"tracewright/models"
)

// Store is what this package keeps and reads. Every method returns
// [models.ErrNotFound] for a single record that is not there. Each change
// leaves its trail entry in the same transaction.
type Store interface {
	Person(ctx context.Context, id string) (models.Person, error)
	// PersonByLogin finds a person, active or not, by their login.
	PersonByLogin(ctx context.Context, login string) (models.Person, error)
	// People lists everybody by name, those who left too.
	People(ctx context.Context) ([]models.Person, error)
	// AddPerson returns [models.ErrConflict] when the login is taken.
	AddPerson(ctx context.Context, stamp models.Stamp, person models.Person) error
	// UpdatePerson writes every field; note tells the trail what the record
	// alone does not say, such as a new password. A login that is taken is
	// [models.ErrConflict].
	UpdatePerson(ctx context.Context, stamp models.Stamp, person models.Person, note string) error

	Devices(ctx context.Context) ([]models.Device, error)
	Device(ctx context.Context, id string) (models.Device, error)
	// Caller finds a device by the hash of its key, revoked or not, or
	// models.ErrNotFound; and a person, one without a name when there is none.
	Caller(ctx context.Context, keyHash, personID string) (models.Device, models.Person, error)
	// DeviceByKeyHash finds a device, revoked or not.
	DeviceByKeyHash(ctx context.Context, hash string) (models.Device, error)
	AddDevice(ctx context.Context, stamp models.Stamp, device models.Device) error
	// RevokeDevice ends a device; a second time changes nothing.
	RevokeDevice(ctx context.Context, stamp models.Stamp, id string) error

	AddLink(ctx context.Context, link models.OneTimeLink) error
	Link(ctx context.Context, tokenHash string) (models.OneTimeLink, error)
	// UseLink marks a link as used and adds the person (a first owner) or
	// writes the person anew (a password set), in one transaction.
	// [models.ErrNotFound] when the link is used already, so that two at the
	// same moment cannot both succeed; for a first owner also when there is an
	// owner by now.
	UseLink(ctx context.Context, stamp models.Stamp, tokenHash string, person models.Person) error
}
