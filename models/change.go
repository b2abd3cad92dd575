package models

import "time"

// ChangeQuery asks for entries of the log of changes, newest first. Empty
// members ask for everything.
type ChangeQuery struct {
	Actor    string    // a person's id, or that of the program
	Kind     string    // of the record
	Subjects []string  // keys of the records
	From, To time.Time // of the change: From <= t < To
	Before   ChangeKey // entries behind this one, the last of the page before
	Limit    int
}

// ChangeKey is where an entry stands among all by the moment of its change. The
// zero key stands before the newest.
type ChangeKey struct {
	At time.Time
	ID string
}

// Zero says whether it is no entry's.
func (k ChangeKey) Zero() bool { return k.ID == "" }

// ChangePage is what was found.
type ChangePage struct {
	Entries []TrailEntry
	// Next is where the search goes on; zero when there is nothing behind.
	Next ChangeKey
	// Cut says that the search stopped at Next because it had looked at enough,
	// not because the page was full.
	Cut bool
}

// ChangeSubject tells what the record of an entry is about, as it stands today.
type ChangeSubject struct {
	Item     *Item  // the item it belongs to
	LotCode  string // the lot it belongs to
	Of, OfID string // kind and key of the record that Name is of: its own, or one it belongs to
	Name     string // a number, a code, a name
	Revision int    // beside a number, where there are several
	Code     string // why, or what came of it, as a code
	Reason   string // why, as somebody typed it
}
