package models

import (
	"fmt"
	"time"

	"tracewright/models/trail"
)

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

// Chained returns the entry as the chain holds it, at its number and behind the
// entry of hash prev, stamped with the moment it was sealed. Its hash is still to
// be computed.
func (e TrailEntry) Chained(seq int64, prev, ts string) (trail.Entry, error) {
	data, err := trail.Canonical(trail.Change{ID: e.ID, At: TimeText(e.At), Encoding: e.Encoding, Digest: e.Digest, Note: e.Note})
	if err != nil {
		return trail.Entry{}, fmt.Errorf("chain entry %s: %w", e.ID, err)
	}
	return trail.Entry{V: trail.EntryVersion, Seq: seq, Prev: prev, TS: ts, Actor: e.Actor, Kind: e.Kind, Subject: e.Subject, Data: data}, nil
}
