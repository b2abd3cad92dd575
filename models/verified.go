package models

import "tracewright/models/trail"

// RecordKind says how records of a kind are kept beside the trail.
type RecordKind struct {
	Name string
	// InPlace: a change is written over the row, so that only the newest entry of
	// a subject tells of the row there is. All other rows stay as they were
	// entered, each with an entry of its own.
	InPlace bool
	// Erasable: an entry noted NoteErased says that the row is gone for good.
	Erasable bool
}

// Notes of entries that verification goes by.
const (
	// NoteErased: the entry removes a record which may be personal.
	NoteErased = "erased"
	// NoteAdopted: the record was there without an entry when the log began.
	NoteAdopted = "adopted"
)

// StoredRecord is a record as the database holds it.
type StoredRecord struct {
	Recorded
	// Intact: what the record covers by a hash alone, and holds, has that hash.
	Intact bool
}

// KeptPaper is a kept drawing of a certificate, beside the hash of the content
// that the certificate has.
type KeptPaper struct {
	CertificateID string
	State         string
	FileHash      string
	ContentHash   string
}

// FileUse is a kept file by what keeps it: the paper of a certificate or review, or a paper
// or photo that hangs on a record.
type FileUse struct {
	Kind     string // of the record
	Subject  string // the record's id
	Name     string // of the file as it was given; empty for a paper of our own
	FileHash string
}

// Backed is a record that covers what it holds by a hash alone.
type Backed interface {
	Recorded
	// Intact says whether what it holds has that hash.
	Intact() bool
}

// Intact implements Backed.
func (c Certificate) Intact() bool { return hashed(c.Content, c.ContentHash) }

// Intact implements Backed.
func (m Match) Intact() bool { return hashed(m.Content, m.ContentHash) }

// Intact implements Backed.
func (l TurnList) Intact() bool { return hashed(l.Content, l.ContentHash) }

// Intact implements Backed.
func (r TurnRound) Intact() bool { return hashed(r.Content, r.ContentHash) }

// Intact implements Backed.
func (t GaugeTrace) Intact() bool { return hashed(t.Content, t.ContentHash) }

// Intact implements Backed.
func (t CapacityTest) Intact() bool { return hashed(t.Log, t.LogHash) }

func hashed(content, hash string) bool { return trail.Digest([]byte(content)) == hash }

// Intact implements Backed.
func (r Review) Intact() bool { return hashed(r.Content, r.ContentHash) }
