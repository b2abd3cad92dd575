package models

import "time"

// TrailEntry says that a record was added: who, what kind, when, and the
// SHA-256 of the record's canonical encoding. It is written in the transaction
// of the change it tells of. Seq, Prev and Hash stay empty until the entry is
// sealed into the chain.
type TrailEntry struct {
	ID       string `gorm:"primaryKey"` // UUIDv7
	At       time.Time
	Actor    string
	Kind     string // of the record: inspection, hold, certificate ...
	Subject  string // the record's key
	Encoding int    // version of the canonical encoding
	Digest   string // SHA-256, lower-case hex
	Note     string // a code where the record alone does not say why
	Seq      *int64
	Prev     *string
	Hash     *string
	SealedAt *time.Time
}
