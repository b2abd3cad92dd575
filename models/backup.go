package models

import (
	"io"
	"time"
)

// BackupRun is a try to make a backup, good or not. It is no record of the
// shop's work: it says when the last good one was made, for whoever waits for it.
type BackupRun struct {
	ID      string `gorm:"primaryKey"`
	Kind    string // daily, before, asked
	BegunAt time.Time
	EndedAt time.Time
	File    string // name or path; empty where none was made
	Size    int64
	SHA256  string `gorm:"column:sha256"`
	Sealed  bool   // encrypted to the recovery key
	Trouble string // a code; empty: it is good
}

// What a backup is made for.
const (
	BackupDaily  = "daily"
	BackupBefore = "before" // an upgrade changes the schema
	BackupAsked  = "asked"
)

// Snapshot is a database as it was at one moment, to be copied while others go
// on writing.
type Snapshot struct {
	Facts DatabaseFacts
	At    time.Time // what was acknowledged before is in it
	Name  string    // sqlite, pgdump: what the copy is
	Size  int64     // negative: not known before
	Open  func() (io.ReadCloser, error)
	Close func() error
}

// DatabaseFacts are what a backup says about the database in it.
type DatabaseFacts struct {
	Dialect string
	Schema  int64  // last migration
	Log     string // id of the log of changes; empty before it has begun
	Changes int64  // entries sealed in it
}

// DatabaseCounts are what somebody knows a database by.
type DatabaseCounts struct {
	Items, Inspections, Certificates, People int64
	Newest                                   *time.Time // last change written down; nil where there is none
}

// Restoration says that the database was put back from a backup: what was
// changed between BackupAt and RestoredAt is not in it.
type Restoration struct {
	ID            string `gorm:"primaryKey"`
	BackupAt      time.Time
	BackupSHA256  string `gorm:"column:backup_sha256"` // of the file
	BackupProgram string // version that made it
	BackupSchema  int64
	Changes       int64 // entries that were sealed in it
	Forward       int   // by how much every counter of numbers was moved on
	RestoredAt    time.Time
	RestoredBy    string
}

// RestoredLabel is the last serial that was printed before the database was
// lost, as somebody read it off the label: its counter goes on behind it.
type RestoredLabel struct {
	ID            string `gorm:"primaryKey"`
	RestorationID string
	Serial        string
	GivenBy       string
	GivenAt       time.Time
}

// RestorationForward is by how much counters are moved on: more than a workshop
// numbers between two backups.
const RestorationForward = 1000
