package trail

import (
	"crypto/ed25519"
	"encoding/hex"
	"errors"
	"fmt"
)

// What stands before the canonical form in each thing that is signed, so that a
// signature of one kind is never one of another.
const (
	checkpointPrefix  = "qc-checkpoint-v1\n"
	certificatePrefix = "qc-certificate-v1\n"
	keyPrefix         = "qc-key-v1\n"
)

var (
	// ErrUnknownKey: signed by a key that whoever verifies does not trust.
	ErrUnknownKey = errors.New("unknown key")
	// ErrBadSignature: the signature is not of this content by this key.
	ErrBadSignature = errors.New("bad signature")
)

// Keys are trusted public keys by their id.
type Keys map[string]ed25519.PublicKey

// KeyID names a public key by the first 16 hex digits of its SHA-256: the same
// name on every server, which nobody can give to a key of his own.
func KeyID(public ed25519.PublicKey) string { return Digest(public)[:16] }

// ParsePublicKey reads a public key as 64 digits of hex (RFC 8032, 5.1.5).
func ParsePublicKey(text string) (ed25519.PublicKey, error) {
	raw, err := hex.DecodeString(text)
	if err != nil || len(raw) != ed25519.PublicKeySize {
		return nil, fmt.Errorf("public key of %d characters, not %d of hex: %w", len(text), hex.EncodedLen(ed25519.PublicKeySize), ErrSyntax)
	}
	return raw, nil
}

// verify checks an Ed25519 signature (RFC 8032, 5.1.7) of prefix || canonical by
// the key of that id. A signature whose S is not below the group's order is
// refused, so that there is one signature only.
func (k Keys) verify(id, prefix string, canonical, signature []byte) error {
	public, known := k[id]
	if !known || len(public) != ed25519.PublicKeySize {
		return fmt.Errorf("key %q: %w", id, ErrUnknownKey)
	}
	if !ed25519.Verify(public, append([]byte(prefix), canonical...), signature) {
		return fmt.Errorf("key %s: %w", id, ErrBadSignature)
	}
	return nil
}

// Kinds of entries that are about the log itself.
const (
	KindGenesis     = "genesis"
	KindKeyEnrolled = "key_enrolled"
	KindKeyRetired  = "key_retired"
)

// Genesis is the data of entry 0: the log's name and its first public key in hex.
type Genesis struct {
	Log string `json:"log"`
	Key string `json:"key"`
}

// Enrolment is the data of an entry by which a key joins: its public key in hex,
// the id of the key that vouches for it, and that key's signature,
//
//	Ed25519( "qc-key-v1\n" || canonical form of {"v":1,"log":..,"key":..} )
type Enrolment struct {
	Key string `json:"key"`
	By  string `json:"by"`
	Sig string `json:"sig"`
}

// Retirement is the data of an entry by which a key leaves: what it signed
// before stays good, a checkpoint that covers this entry does not.
type Retirement struct {
	Key string `json:"key"` // its id
}

func enrolmentBody(log string, public ed25519.PublicKey) ([]byte, error) {
	return Canonical(struct {
		V   int    `json:"v"`
		Log string `json:"log"`
		Key string `json:"key"`
	}{1, log, hex.EncodeToString(public)})
}

// Enrol vouches for a public key by an older one.
func Enrol(older ed25519.PrivateKey, log string, public ed25519.PublicKey) (Enrolment, error) {
	body, err := enrolmentBody(log, public)
	if err != nil {
		return Enrolment{}, fmt.Errorf("enrol key: %w", err)
	}
	sig := ed25519.Sign(older, append([]byte(keyPrefix), body...))
	return Enrolment{hex.EncodeToString(public), KeyID(older.Public().(ed25519.PublicKey)), hex.EncodeToString(sig)}, nil
}

// Verify returns the public key that a trusted key vouches for.
func (e Enrolment) Verify(trusted Keys, log string) (ed25519.PublicKey, error) {
	public, err := ParsePublicKey(e.Key)
	if err != nil {
		return nil, fmt.Errorf("enrolment: %w", err)
	}
	body, err := enrolmentBody(log, public)
	if err != nil {
		return nil, fmt.Errorf("enrolment: %w", err)
	}
	sig, err := hex.DecodeString(e.Sig)
	if err != nil {
		return nil, fmt.Errorf("enrolment: %w", ErrBadSignature)
	}
	if err := trusted.verify(e.By, keyPrefix, body, sig); err != nil {
		return nil, fmt.Errorf("enrolment: %w", err)
	}
	return public, nil
}
