package models

import (
	"cmp"
	"time"
)

// HeldItem is an open hold with the item or the lot that it is on, as a list of them
// wants it; the fields of the other are empty.
type HeldItem struct {
	Hold
	Kind, Serial, State string
	Maker               string // maker and number of what has no serial of the shop
	Lot                 string // code
}

// Name is what people call the item: its serial, or maker and number; empty for a lot.
func (h HeldItem) Name() string {
	if h.Serial != "" || h.ItemID == nil {
		return h.Serial
	}
	return cmp.Or(h.Maker, *h.ItemID)
}

// Away says whether the item left the shop.
func (h HeldItem) Away() bool { return h.State == StateShipped || h.State == StateRecalled }

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
