package models

import "time"

// ServiceLife is an item that left the shop, and when it was first claimed.
// Claims that found no fault do not count.
type ServiceLife struct {
	ItemID    string
	Serial    string // empty where it has none of ours
	ProductID string
	MadeAt    time.Time
	Place     string // of its first set of readings; empty where none is known
	ShippedAt time.Time
	ClaimedAt *time.Time
}
