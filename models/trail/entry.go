package trail

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"time"
)

// EntryVersion is the version of the form below, written in every entry.
const EntryVersion = 1

// Entry is one line of the log, as it is stored and hashed:
//
//	{"v":1,"seq":n,"prev":hex64,"ts":"2026-03-02T08:12:00.000Z","actor":"...",
//	 "kind":"...","subject":"...","data":{...},"hash":hex64}
//
// Data names what was changed by the kind of record, the version of its
// encoding and the SHA-256 of its canonical form, so that a column added later
// does not break an entry made before.
type Entry struct {
	V       int             `json:"v"`
	Seq     int64           `json:"seq"`
	Prev    string          `json:"prev"`
	TS      string          `json:"ts"`
	Actor   string          `json:"actor"`
	Kind    string          `json:"kind"`
	Subject string          `json:"subject"`
	Data    json.RawMessage `json:"data"`
	Hash    string          `json:"hash,omitempty"`
}

// EntryHash returns SHA-256( 0x00 || canonical form of the entry without its
// member "hash" ) in lower-case hex. The leading zero byte makes it the leaf
// hash of RFC 6962, 2.1, so that the chain and a Merkle tree over it share
// their leaves.
func EntryHash(e Entry) (string, error) {
	e.Hash = ""
	canonical, err := Canonical(e)
	if err != nil {
		return "", fmt.Errorf("hash entry %d: %w", e.Seq, err)
	}
	return Digest(append([]byte{0x00}, canonical...)), nil
}

// Digest returns the SHA-256 of the bytes (FIPS 180-4) in lower-case hex.
func Digest(raw []byte) string {
	sum := sha256.Sum256(raw)
	return hex.EncodeToString(sum[:])
}

// Timestamp writes a moment as entries carry it: UTC, cut to milliseconds, all
// three digits of them.
func Timestamp(t time.Time) string {
	return t.UTC().Truncate(time.Millisecond).Format("2006-01-02T15:04:05.000Z")
}
