package models

import (
	"fmt"
	"time"

	"github.com/google/uuid"

	"tracewright/models/trail"
)

// Stamp says who changes something and when; every change of a record carries
// one, and its trail entry is made from it.
type Stamp struct {
	By Actor
	At time.Time
}

// NewStamp cuts the moment to what both databases keep.
//
//go:noinline
func NewStamp(by Actor, at time.Time) Stamp { return Stamp{By: by, At: Moment(at)} }

// Moment is a time as it is stored: UTC, whole milliseconds.
func Moment(t time.Time) time.Time { return t.UTC().Truncate(time.Millisecond) }

// NewID makes an identifier that sorts by the moment it was made (UUIDv7, RFC 9562).
func NewID() string { return uuid.Must(uuid.NewV7()).String() }

// NewRandomID makes an identifier that says nothing, not even when it was made
// (UUIDv4): for what must not be told apart by it.
func NewRandomID() string { return uuid.NewString() }

// IsID says whether a text is such an identifier as a tablet makes it.
func IsID(text string) bool { return isVersion(text, 7) }

// IsRandomID says whether a text is such an identifier as NewRandomID makes it.
func IsRandomID(text string) bool { return isVersion(text, 4) }

func isVersion(text string, version uuid.Version) bool {
	id, err := uuid.Parse(text)
	return err == nil && id.String() == text && id.Version() == version
}

// Recorded is a record that leaves a trail entry. Its canonical encoding is
// written by hand, has a version, and is kept for ever: a later column makes a
// new version and never changes an old one.
type Recorded interface {
	// TrailName gives the record's kind, its key, and the version of the
	// encoding that Canonical uses.
	TrailName() (kind, subject string, encoding int)
	// Canonical is the encoding: small values only, measured ones as text.
	Canonical() map[string]any
}

// Digest is the SHA-256 of a record's canonical encoding (RFC 8785).
func Digest(r Recorded) (string, error) {
	digest, err := trail.DigestOf(r.Canonical())
	if err != nil {
		kind, subject, _ := r.TrailName()
		return "", fmt.Errorf("encode %s %s for the trail: %w", kind, subject, err)
	}
	return digest, nil
}

// Entry makes the trail entry of a change; note is a code where the record
// alone does not say why.
func Entry(s Stamp, r Recorded, note string) (TrailEntry, error) {
	digest, err := Digest(r)
	if err != nil {
		return TrailEntry{}, err
	}
	kind, subject, encoding := r.TrailName()
	return TrailEntry{ID: NewID(), At: s.At, Actor: s.By.String(), Kind: kind, Subject: subject, Encoding: encoding, Digest: digest, Note: note}, nil
}
