package models

import "time"

// HeldItem is an open hold with the item that it is on, as a list of what waits
// wants it; the item is empty where a lot is on hold.
type HeldItem struct {
	Hold
	Kind, Serial, State string
	Lot                 string // code
}

// Uncertified is an item that passed and waits for its certificate.
type Uncertified struct {
	ItemID, Serial, Kind string
	MadeAt               time.Time
}

// Backup is what is known of copies of the database.
type Backup struct {
	Kept     bool      // the program keeps them
	Trouble  []Remark  // what is wrong with them, the worst first
	Clear    *Remark   // they lie in the clear beside the database, which may be wanted
	LastGood time.Time // zero: none yet
	Dialect  string    // of the database: sqlite, postgres
}
