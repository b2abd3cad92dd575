package models

import (
	"encoding/json"
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
	Kind     string  // of the record: inspection, hold, certificate ...
	Subject  string  // the record's key
	Encoding int     // version of the canonical encoding
	Digest   string  // SHA-256, lower-case hex
	Note     string  // a code where the record alone does not say why
	Data     *string // of an entry about the log itself: what it says, in canonical form
	Seq      *int64
	Prev     *string
	Hash     *string
	SealedAt *time.Time
}

// Chained is the entry as it stands in the chain under a number: that of a
// sealed one is its own. What it says of its record is the moment of the
// change, the version of the encoding, the digest, and the note where there is
// one; an entry about the log itself says its Data.
func (e TrailEntry) Chained(seq int64, prev string, at time.Time) (trail.Entry, error) {
	chained := trail.Entry{V: trail.EntryVersion, Seq: seq, Prev: prev, TS: trail.Timestamp(at), Actor: e.Actor, Kind: e.Kind, Subject: e.Subject}
	if e.Data != nil {
		chained.Data = json.RawMessage(*e.Data)
		return chained, nil
	}
	says := fields{"at": TimeText(e.At), "encoding": e.Encoding, "digest": e.Digest}
	put(says, "note", e.Note)
	data, err := trail.Canonical(says)
	if err != nil {
		return trail.Entry{}, fmt.Errorf("encode trail entry %s: %w", e.ID, err)
	}
	chained.Data = data
	return chained, nil
}

// Sealed is a sealed entry as it stands in the chain, with its hash as stored.
func (e TrailEntry) Sealed() (trail.Entry, error) {
	if e.Seq == nil || e.Prev == nil || e.Hash == nil || e.SealedAt == nil {
		return trail.Entry{}, fmt.Errorf("trail entry %s is not sealed: %w", e.ID, ErrNotFound)
	}
	chained, err := e.Chained(*e.Seq, *e.Prev, *e.SealedAt)
	chained.Hash = *e.Hash
	return chained, err
}

// AboutLog makes an entry about the log itself: its first key, a key that joins
// or leaves. What it says is in the entry, not in a record beside it.
func AboutLog(s Stamp, kind, subject string, says any) (TrailEntry, error) {
	canonical, err := trail.Canonical(says)
	if err != nil {
		return TrailEntry{}, fmt.Errorf("encode %s %s for the trail: %w", kind, subject, err)
	}
	data := string(canonical)
	return TrailEntry{ID: NewID(), At: Moment(s.At), Actor: s.By.String(), Kind: kind, Subject: subject, Encoding: 1, Digest: trail.Digest(canonical), Data: &data}, nil
}
