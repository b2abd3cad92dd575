package models

import (
	"context"
	"strconv"
	"time"
)

// UsualLockMinutes is how long a stand waits for a hand where the shop says
// nothing, and after which an office session ends.
const UsualLockMinutes = 30

// Session is one signed-in browser; Data belongs to the session library, the
// rest is what a list of sessions shows. It is state and no record.
type Session struct {
	TokenHash string `gorm:"primaryKey"`
	Data      []byte
	Expires   time.Time
	PersonID  *string // nil until every secret is given
	DeviceID  *string // nil in the office
	Agent     string  // what the browser calls itself
	Address   string  // where it last came from
	BeganAt   time.Time
	SeenAt    time.Time
}

// SessionFacts are what is to be listed of a session. Fresh says that it begins
// now: one that is kept anew and is no longer there was ended meanwhile.
type SessionFacts struct {
	Session
	Fresh bool
}

type sessionFactsKey struct{}

// WithSessionFacts puts them into a context: the session library hands its store
// a token, data and a context, and nothing else.
func WithSessionFacts(ctx context.Context, f SessionFacts) context.Context {
	return context.WithValue(ctx, sessionFactsKey{}, f)
}

// SessionFactsOf are those in a context.
func SessionFactsOf(ctx context.Context) (SessionFacts, bool) {
	f, ok := ctx.Value(sessionFactsKey{}).(SessionFacts)
	return f, ok
}

// Presence is somebody who listens to a stream: by a session, or as a program
// with a device's key.
type Presence struct{ TokenHash, PersonID, DeviceID string }

// SecondSecret is what an authenticator computes codes from (RFC 6238). It lies
// in plain text, for it is computed with; backups are encrypted. State, and no
// record: that it was set or taken away is an entry of its person.
type SecondSecret struct {
	PersonID    string `gorm:"primaryKey"`
	Secret      string // base32
	LastStep    int64  // newest time step whose code was used: no earlier one counts again
	BegunAt     time.Time
	ConfirmedAt *time.Time // nil until a first code showed that it arrived
}

// RecoveryCode lets somebody in once in place of a code.
type RecoveryCode struct {
	PersonID string `gorm:"primaryKey"`
	CodeHash string `gorm:"primaryKey"`
	UsedAt   *time.Time
}

// SecretTries counts tries at a secret that failed, for a person or at a device.
type SecretTries struct {
	About     string `gorm:"primaryKey"`
	Failures  int
	LastAt    time.Time
	WaitUntil time.Time
}

// TableName names the table, which gorm would call otherwise.
func (SecretTries) TableName() string { return "secret_tries" }

// DeviceUse is the turn of an enrolled browser: a secret beside its key that
// changes with every name that is tapped there, so that a copy falls behind.
type DeviceUse struct {
	DeviceID   string `gorm:"primaryKey"`
	TurnHash   string
	BeforeHash string // the one it took the place of: the answer that brought the new one may be lost
	TurnedAt   time.Time
}

// DeviceSighting is a browser or program, and an address, that a device's key
// was used from.
type DeviceSighting struct {
	DeviceID string `gorm:"primaryKey"`
	Agent    string `gorm:"primaryKey"`
	Address  string `gorm:"primaryKey"`
	FirstAt  time.Time
	SeenAt   time.Time
}

// Kinds of doubt about a device's key.
const (
	DoubtTurn    = "turn"    // a turn that is long over was shown: the key is in two browsers
	DoubtProgram = "program" // a program used the key of a browser
	DoubtTwo     = "two"     // it was used from two machines by turns
)

// DeviceDoubt says that a device's key seems to be in two places.
type DeviceDoubt struct {
	ID        string `gorm:"primaryKey"`
	DeviceID  string
	Kind      string
	Agent     string
	Address   string
	FirstAt   time.Time
	SeenAt    time.Time
	Times     int
	SettledAt *time.Time // somebody said that it was theirs
	SettledBy *string
}

// DueCustomer is a customer whom the shop keeps no longer than it must, by key:
// a list of them shows no name.
type DueCustomer struct {
	ID        string
	EnteredAt time.Time
	LastAt    time.Time // of the last order, shipment or claim; the day of entry where there was none
	Orders    int
	Shipments int
	Claims    int
}

// OpenDealings is what is open with a customer, by what people call it.
type OpenDealings struct {
	Orders  []string // references of those of which something is neither shipped nor ended
	Claims  []string // numbers
	Recalls []string // numbers of those that have not ended and found what went to the customer
}

// LockAfter is how long a stand waits for a hand, as the shop says.
func LockAfter(settings map[string]string) time.Duration {
	if n, err := strconv.Atoi(settings[SettingLockMinutes]); err == nil && n >= FewestLockMinutes && n <= MostLockMinutes {
		return time.Duration(n) * time.Minute
	}
	return UsualLockMinutes * time.Minute
}

// What a shop may say about it.
const (
	FewestLockMinutes = 2
	MostLockMinutes   = 240
)
