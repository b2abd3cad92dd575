package release

import (
	"context"

	"tracewright/models"
)

// Sealing is what release asks of the sealed log of changes.
type Sealing interface {
	// Seal gives the newest checkpoint that covers every entry so far. It waits
	// at most three seconds for one; after that the newest there is comes back,
	// with Waiting set.
	Seal(ctx context.Context) (models.SealedLog, error)
	// Sign signs the canonical content of a certificate. It is asked inside the
	// transaction that stores it, and therefore must not turn to the database.
	Sign(ctx context.Context, canonical []byte) (models.Signature, error)
}
