package models

import "time"

// ShippedDay is how many items of a family first left the shop on a day; those
// that held pieces of a lot then, where LotID is set. It is derived, see
// migrations 0040.
type ShippedDay struct {
	LotID string
	Day   string // in the shop's zone, YYYY-MM-DD
	Units int
}

// ReturnedItem is an item that left the shop and came back: its first claim since,
// without those that found no fault.
type ReturnedItem struct {
	ClaimID   string
	Number    string // of the claim
	ItemID    string
	Serial    string
	ProductID string
	OpenedAt  time.Time
	ShippedAt time.Time // the first time
	Code      string    // of what is wrong, empty where nobody coded it
	Decision  string    // empty where nobody decided
	Amount    string    // what it cost, decimal text; empty where nobody says
	Currency  string
	LotIDs    []string `gorm:"-"` // what it held when it left
}

// ShippedItem is an item that left, in a list.
type ShippedItem struct {
	ItemID    string
	Serial    string
	ShippedAt time.Time
}

// ShippedQuery asks which items of a family first left in from <= t < to.
type ShippedQuery struct {
	FamilyID string
	LotID    string // empty: whatever they hold
	From, To time.Time
	Limit    int
}
