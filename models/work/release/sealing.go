package release

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// Sealing is what release asks of the sealed log of changes.
type Sealing interface {
	// Seal gives the newest checkpoint that covers every entry so far. It waits
	// at most three seconds for one; after that the newest there is comes back,
	// with Waiting set.
	Seal(ctx context.Context) (models.SealedLog, error)
	// SignsBy names the key that signs now, by what the log knows of keys at this
	// moment. Without a key at hand it is [models.ErrNoKey].
	SignsBy(ctx context.Context) (string, error)
	// Sign signs the canonical content of a certificate by the key that SignsBy named.
	// It is asked inside the transaction that stores the certificate, and therefore
	// must not turn to the database.
	Sign(ctx context.Context, canonical []byte) (models.Signature, error)
}

// SealBy lets certificates be sealed and signed from now on; before, none can
// be issued.
func (s *Service) SealBy(sealing Sealing) { s.sealing = sealing }

// seal puts the state of the log and the key that will sign into a content, which
// must hold the key's name before it can be signed; and a number must not be
// taken while there is no key.
func (s *Service) seal(ctx context.Context, content *models.CertificateContent) error {
	if s.sealing == nil {
		return unsigned(models.ErrNoKey)
	}
	sealed, err := s.sealing.Seal(ctx)
	if err != nil {
		return fmt.Errorf("seal the log of changes: %w", err)
	}
	key, err := s.sealing.SignsBy(ctx)
	if err != nil {
		return unsigned(err)
	}
	content.Version, content.Log, content.Key = models.ContentSigned, &sealed, key
	return nil
}

// sign puts the signature beside a content that names its key.
func (s *Service) sign(ctx context.Context, c *models.Certificate) error {
	signature, err := s.sealing.Sign(ctx, []byte(c.Content))
	if err != nil {
		return unsigned(err)
	}
	if c.KeyID == nil || signature.KeyID != *c.KeyID {
		return fmt.Errorf("the signing key changed meanwhile: %w", models.ErrStale)
	}
	c.Signature = &signature.Value
	return nil
}

// unsigned makes a missing key a refusal: everything else is a fault.
func unsigned(err error) error {
	if errors.Is(err, models.ErrNoKey) {
		return errors.Join(err, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("no_signing_key")}})
	}
	return fmt.Errorf("sign a certificate: %w", err)
}
