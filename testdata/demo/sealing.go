package demo

import (
	"context"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"

	"tracewright/models"
)

// seals signs the certificates of the invented shop by a key that protects
// nothing: it is made of words that stand here, so that the same shop comes out
// every time. Nothing of its log is sealed yet.
type seals struct{ key ed25519.PrivateKey }

func newSeals() seals {
	seed := sha256.Sum256([]byte("a key of the invented shop, known to all"))
	return seals{ed25519.NewKeyFromSeed(seed[:])}
}

// Seal implements release.Sealing.
func (seals) Seal(context.Context) (models.SealedLog, error) {
	empty := sha256.Sum256(nil) // RFC 6962, 2.1: the root of no entry
	return models.SealedLog{LogID: "demo", Root: hex.EncodeToString(empty[:]), Waiting: true}, nil
}

// Sign implements release.Sealing.
func (s seals) Sign(_ context.Context, canonical []byte) (models.Signature, error) {
	public := sha256.Sum256(s.key.Public().(ed25519.PublicKey))
	signature := ed25519.Sign(s.key, append([]byte("qc-certificate-v1\n"), canonical...))
	return models.Signature{KeyID: hex.EncodeToString(public[:8]), Value: hex.EncodeToString(signature)}, nil
}
