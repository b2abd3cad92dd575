package models

import (
	"time"

	"tracewright/models/trail"
)

// TrailHead is where the chain of the log of changes ends.
type TrailHead struct {
	Log      string // the log's id
	Size     int64  // entries in the chain
	Hash     string // of the last
	Frontier []trail.Hash
	SealedAt time.Time // of the last
}

// Tree is the Merkle tree over the chain.
func (h TrailHead) Tree() (*trail.Tree, error) { return trail.ResumeTree(h.Size, h.Frontier) }

// SealedBatch says what one turn of sealing did.
type SealedBatch struct {
	Count int
	Size  int64 // of the chain, after it
	// Oldest is when the first of them was changed; zero where there was none.
	Oldest time.Time
	// ClockBack is how far the clock stands behind the last entry's seal, which
	// the new ones were given instead.
	ClockBack time.Duration
}

// ServerKey is a public key that seals are signed by. It is kept for ever.
type ServerKey struct {
	ID         string `gorm:"primaryKey"` // by trail.KeyID
	Public     string // hex
	Server     string // the name of the host it was made on
	VouchedBy  *string
	EntryID    string // its entry in the trail
	EnrolledAt time.Time
	RetiredAt  *time.Time
	// Sealed says that the chain holds its entry: before, nobody could follow
	// what it signs.
	Sealed bool `gorm:"->"`
}

// Signs says whether the key may sign now.
func (k ServerKey) Signs() bool { return k.Sealed && k.RetiredAt == nil }

// Checkpoint is a signed statement of what the log held.
type Checkpoint struct {
	Size  int64  `gorm:"primaryKey"`
	KeyID string `gorm:"primaryKey"`
	Log   string
	Head  string
	Root  string
	At    time.Time
	Sig   string
}

// Signed is the checkpoint as it is kept outside the database.
func (c Checkpoint) Signed() trail.SignedCheckpoint {
	return trail.SignedCheckpoint{Sig: c.Sig, Body: trail.Checkpoint{V: trail.CheckpointVersion, Log: c.Log, Size: c.Size, Head: c.Head, Root: c.Root, TS: trail.Timestamp(c.At), Key: c.KeyID}}
}

// CheckpointOf keeps a signed one.
func CheckpointOf(signed trail.SignedCheckpoint, at time.Time) Checkpoint {
	b := signed.Body
	return Checkpoint{Size: b.Size, KeyID: b.Key, Log: b.Log, Head: b.Head, Root: b.Root, At: Moment(at), Sig: signed.Sig}
}
