package models

import "time"

// DatabaseLook is what a database says of itself, for whoever looks after it.
type DatabaseLook struct {
	Dialect string
	Version string    // of SQLite or PostgreSQL
	Schema  int64     // last migration
	Size    int64     // bytes
	Newest  time.Time // of the newest change; zero before the first
	Now     time.Time // by the database's own clock

	Journal string // SQLite: how changes reach the file

	// PostgreSQL.
	Major       int
	Encoding    string
	Unsafe      []string // settings by which what was acknowledged can be lost
	Connections int      // for everybody but its administrators
	Wants       int      // of them this program may take
	BrokenPages int64    // that failed their sum
}
