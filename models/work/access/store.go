package access

import (
	"context"
	"time"

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
	// HasOwner says whether an active owner exists.
	HasOwner(ctx context.Context) (bool, error)
	// AddPerson returns [models.ErrConflict] when the login is taken.
	AddPerson(ctx context.Context, stamp models.Stamp, person models.Person) error
	// ChangePerson lets change decide about a person as they stand now, beside every
	// owner as of now, and writes name, login, role and Active; whoever loses the login
	// loses the password with it. Two at the same moment come one after the other; an
	// error of change is given back and leaves all as it was. A login that is taken is
	// [models.ErrConflict].
	ChangePerson(ctx context.Context, stamp models.Stamp, id string, change func(p *models.Person, owners []models.Person) error) (models.Person, error)
	// SetSecrets writes the hashes that are not empty and nothing else; note tells the
	// trail which. A password is [models.ErrStale] where the login was taken away.
	SetSecrets(ctx context.Context, stamp models.Stamp, id, passwordHash, pinHash, note string) error
	// RehashPassword writes the same password by another hash, unless it is another
	// password by now.
	RehashPassword(ctx context.Context, stamp models.Stamp, id, before, after string) error

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
	// writes the person's secrets (a password set), in one transaction.
	// [models.ErrNotFound] when the link is used already, so that two at the
	// same moment cannot both succeed; for a first owner also when there is an
	// owner by now.
	UseLink(ctx context.Context, stamp models.Stamp, tokenHash string, person models.Person) error

	Settings(ctx context.Context) (map[string]string, error)

	// CountTries reads counters of tries in the order of their names, lets judge
	// change them and writes them, as one step; an error of judge is given back
	// and leaves them as they were.
	CountTries(ctx context.Context, about []string, judge func([]models.SecretTries) error) error
	ForgetTries(ctx context.Context, about []string) error
	// ForgetTriesBeginning forgets every counter whose name begins so.
	ForgetTriesBeginning(ctx context.Context, beginning string) error
	ForgetTriesBefore(ctx context.Context, at time.Time) error

	SecondSecret(ctx context.Context, personID string) (models.SecondSecret, error)
	SecondSecrets(ctx context.Context) ([]models.SecondSecret, error)
	// BeginSecondSecret keeps one that waits for its first code;
	// [models.ErrConflict] where the person has one in force.
	BeginSecondSecret(ctx context.Context, x models.SecondSecret) error
	ConfirmSecondSecret(ctx context.Context, stamp models.Stamp, x models.SecondSecret, step int64, codes []string) error
	// UseStep is [models.ErrConflict] for a step that was used, or an earlier one.
	UseStep(ctx context.Context, personID string, step int64) error
	DropSecondSecret(ctx context.Context, stamp models.Stamp, personID, note string) error
	RecoveryCodes(ctx context.Context, personID string) ([]models.RecoveryCode, error)
	SetRecoveryCodes(ctx context.Context, stamp models.Stamp, personID string, codes []string) error
	// UseRecoveryCode is [models.ErrConflict] for one that was used.
	UseRecoveryCode(ctx context.Context, stamp models.Stamp, personID, hash string) error

	// SessionsSince lists who is signed in; of everybody where the key is empty.
	SessionsSince(ctx context.Context, personID string, since time.Time, limit int) ([]models.Session, error)
	EndSession(ctx context.Context, personID, tokenHash string) error
	EndSessionsOf(ctx context.Context, personID, except string, officeOnly bool) error
	// StillIn says of each whether they may go on listening.
	StillIn(ctx context.Context, list []models.Presence, since time.Time) ([]bool, error)

	DeviceUse(ctx context.Context, deviceID string) (models.DeviceUse, error)
	// TurnDevice lets next change a device's turn, as one step.
	TurnDevice(ctx context.Context, deviceID string, next func(*models.DeviceUse) bool) error
	// SeeDevice writes a sighting down and gives those before it since a moment.
	SeeDevice(ctx context.Context, seen models.DeviceSighting, since time.Time) ([]models.DeviceSighting, error)
	LastSightings(ctx context.Context) (map[string]models.DeviceSighting, error)
	AddDoubt(ctx context.Context, d models.DeviceDoubt) error
	OpenDoubts(ctx context.Context, limit int) ([]models.DeviceDoubt, error)
	SettleDoubts(ctx context.Context, stamp models.Stamp, deviceID string) error
}
