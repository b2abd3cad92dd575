package trail

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
)

// CheckpointVersion is the version of the form below.
const CheckpointVersion = 1

// Checkpoint says what a log held at a moment:
//
//	{"v":1,"log":"...","size":n,"head":hash of entry n-1,"root":Merkle tree hash
//	 over the hashes of entries 0 to n-1,"ts":"2026-03-02T08:15:00.000Z","key":id}
//
// Kept outside the log it is a witness: a log that was shortened or written anew
// no longer leads to it.
type Checkpoint struct {
	V    int    `json:"v"`
	Log  string `json:"log"`
	Size int64  `json:"size"`
	Head string `json:"head"`
	Root string `json:"root"`
	TS   string `json:"ts"`
	Key  string `json:"key"`
}

// SignedCheckpoint is a checkpoint with its signature in lower-case hex,
//
//	Ed25519( "qc-checkpoint-v1\n" || canonical form of the body )
type SignedCheckpoint struct {
	Body Checkpoint `json:"body"`
	Sig  string     `json:"sig"`
}

// Sign signs a checkpoint. Its Key is set to the id of the key that signs.
func (c Checkpoint) Sign(key ed25519.PrivateKey) (SignedCheckpoint, error) {
	c.Key = KeyID(key.Public().(ed25519.PublicKey))
	canonical, err := Canonical(c)
	if err != nil {
		return SignedCheckpoint{}, fmt.Errorf("sign checkpoint of %d: %w", c.Size, err)
	}
	sig := ed25519.Sign(key, append([]byte(checkpointPrefix), canonical...))
	return SignedCheckpoint{c, hex.EncodeToString(sig)}, nil
}

// Verify checks the signature; what the checkpoint says is held against a log by
// a [Verifier]. The errors are [ErrUnknownKey] and [ErrBadSignature].
func (s SignedCheckpoint) Verify(trusted Keys) error {
	canonical, err := Canonical(s.Body)
	if err != nil {
		return fmt.Errorf("checkpoint of %d: %w", s.Body.Size, err)
	}
	// A signature has one text; in any other it is a bad one, once the key is known.
	sig, err := hex.DecodeString(s.Sig)
	if err != nil || hex.EncodeToString(sig) != s.Sig {
		sig = nil
	}
	if err := trusted.verify(s.Body.Key, checkpointPrefix, canonical, sig); err != nil {
		return fmt.Errorf("checkpoint of %d: %w", s.Body.Size, err)
	}
	return nil
}
