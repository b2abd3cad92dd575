package worktest

import (
	"context"
	"crypto/ed25519"
	"encoding/hex"

	"tracewright/models"
)

// Signer stands for the sealed log: a key of its own, and a log that is as it
// is said to be. Without a key it has none at hand.
type Signer struct {
	Key ed25519.PrivateKey
	Log models.SealedLog
}

// NewSigner has the key of RFC 8032, section 7.1, test 1, which is known to all.
func NewSigner() *Signer {
	seed, err := hex.DecodeString("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
	if err != nil {
		panic(err) // It is written above.
	}
	return &Signer{Key: ed25519.NewKeyFromSeed(seed), Log: models.SealedLog{LogID: "test", Size: 6, Root: "bc6a1396cdc75b03b1384ab675d6cacc8ab50ec53f82eb1976ec736fe684078f"}}
}

// Seal implements release.Sealing.
func (s *Signer) Seal(context.Context) (models.SealedLog, error) { return s.Log, nil }

// SignsBy implements release.Sealing.
func (s *Signer) SignsBy(context.Context) (string, error) {
	if s.Key == nil {
		return "", models.ErrNoKey
	}
	return "test-key", nil
}

// Sign implements release.Sealing: Ed25519 over what domain separates and the
// content.
func (s *Signer) Sign(_ context.Context, canonical []byte) (models.Signature, error) {
	if s.Key == nil {
		return models.Signature{}, models.ErrNoKey
	}
	signature := ed25519.Sign(s.Key, append([]byte("qc-certificate-v1\n"), canonical...))
	return models.Signature{KeyID: "test-key", Value: hex.EncodeToString(signature)}, nil
}
