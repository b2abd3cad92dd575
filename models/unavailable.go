package models

import (
	"context"
	"errors"
	"time"
)

// Codes of what keeps the records out of reach.
const (
	DatabaseAway    = "database_away"    // nobody answers, or the connection broke
	DatabaseBusy    = "database_busy"    // it answers, and too much is asked of it
	DiskFull        = "disk_full"        // what is there can be read, nothing be added
	DiskReadOnly    = "disk_read_only"   // likewise
	DiskFailing     = "disk_failing"     // the disk refuses what it is asked: it fails, or was made read-only
	DatabaseDamaged = "database_damaged" // its own pages contradict one another
)

// UnavailableError says that the records are out of reach for now, and by a code
// why. Whoever asks may ask again, with the same key: where the answer alone was
// lost, what was asked for is there already.
type UnavailableError struct {
	Code  string
	Cause error
}

// Error implements error.
func (e *UnavailableError) Error() string { return e.Code + ": " + e.Cause.Error() }

// Unwrap gives the cause.
func (e *UnavailableError) Unwrap() error { return e.Cause }

// Readable says whether what is there can be read meanwhile: of a disk that refuses,
// which may have been made read-only, at least that is to be tried.
func (e *UnavailableError) Readable() bool {
	return e.Code == DiskFull || e.Code == DiskReadOnly || e.Code == DiskFailing
}

// Wait is how long a program should wait before it asks again: a person has to
// make room on a disk, a database starts within seconds.
func (e *UnavailableError) Wait() time.Duration {
	switch e.Code {
	case DiskFull, DiskReadOnly, DiskFailing, DatabaseDamaged:
		return 30 * time.Second
	}
	return 3 * time.Second
}

// OnlyReadable says whether an error means that something could not be added,
// while what is there can be read: whoever adds only what helps later goes on.
func OnlyReadable(err error) bool {
	var away *UnavailableError
	return errors.As(err, &away) && away.Readable() && !errors.Is(err, context.Canceled)
}
