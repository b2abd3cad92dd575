package sealing

import (
	"context"
	"crypto/ed25519"
	"time"

	"tracewright/models"
	"tracewright/models/trail"
)

// Store is what this package needs of the database.
type Store interface {
	// Entered tells that this program committed a change.
	Entered() <-chan struct{}
	// Unsealed says whether an entry waits, whoever made it; UnsealedCount how many.
	Unsealed(ctx context.Context) (bool, error)
	UnsealedCount(ctx context.Context) (int, error)
	// BeginLog makes entry 0; models.ErrConflict when the log has begun.
	BeginLog(ctx context.Context, stamp models.Stamp, log string, key models.ServerKey) error
	// TrailHead is models.ErrNotFound before the log has begun.
	TrailHead(ctx context.Context) (models.TrailHead, error)
	// Seal numbers and chains at most that many waiting entries.
	Seal(ctx context.Context, now time.Time, most int) (models.SealedBatch, error)
	ServerKeys(ctx context.Context) ([]models.ServerKey, error)
	// EnrolKey is models.ErrConflict for a key that is there; RetireKey
	// models.ErrNotFound for one that does not sign.
	EnrolKey(ctx context.Context, stamp models.Stamp, key models.ServerKey, says trail.Enrolment) error
	RetireKey(ctx context.Context, stamp models.Stamp, id string) error
	// AddCheckpoint keeps what sign makes of the chain, which stands still
	// meanwhile.
	AddCheckpoint(ctx context.Context, sign func(models.TrailHead, []models.ServerKey) (models.Checkpoint, error)) (models.Checkpoint, error)
	// NewestCheckpoint is models.ErrNotFound when there is none.
	NewestCheckpoint(ctx context.Context) (models.Checkpoint, error)
	// CheckpointsBy lists those of a key that cover more than a size, in order.
	CheckpointsBy(ctx context.Context, keyID string, above int64, limit int) ([]models.Checkpoint, error)
	// Checkpoints lists them newest first, below a size where it is not zero.
	Checkpoints(ctx context.Context, below int64, limit int) ([]models.Checkpoint, error)
	// CheckpointsAbove lists those that cover more than a size, in order; of one
	// size all or none.
	CheckpointsAbove(ctx context.Context, size int64, limit int) ([]models.Checkpoint, error)

	// Changes lists entries by the moment of their change, newest first.
	Changes(ctx context.Context, q models.ChangeQuery) (models.ChangePage, error)
	// ChangeSubjects tells what the records of entries are about, by the entry's id.
	ChangeSubjects(ctx context.Context, entries []models.TrailEntry) (map[string]models.ChangeSubject, error)
	ChangeKinds() []string
	// SealedEntries lists the chain from a number on, in its order, at most limit.
	SealedEntries(ctx context.Context, from int64, limit int) ([]models.TrailEntry, error)
	// FirstSealed is the number of the first entry sealed at that time or later, or
	// of the next where there is none yet.
	FirstSealed(ctx context.Context, from time.Time) (int64, error)
}

// Keys are this server's private keys, kept where the database is not.
type Keys interface {
	// All gives every key there is; none is an empty list.
	All() ([]ed25519.PrivateKey, error)
	// Log is the id of the log that the keys were made for, empty where that is
	// not written yet.
	Log() (string, error)
	// For writes down which log the keys are for.
	For(log string) error
	// Make makes one more key and keeps it.
	Make() (ed25519.PrivateKey, error)
	// Place says where they are, for people.
	Place() string
}

// Copies are checkpoints and public keys kept outside the database.
type Copies interface {
	// Newest is the newest copy of a log's checkpoints by a key; none is a zero
	// one.
	Newest(log, keyID string) (trail.SignedCheckpoint, error)
	// Keep adds checkpoints of one key, in order, and every public key that is
	// not there yet.
	Keep(log string, checkpoints []trail.SignedCheckpoint, keys []models.ServerKey) error
	// Place says where they are, for people.
	Place() string
}
