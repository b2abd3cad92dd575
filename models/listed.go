package models

import "time"

// PartsToFit is what a list says was built into one item, beside what is there.
type PartsToFit struct {
	Item  Item
	There []PartView
	In    []SentPart // Reason is why more is used than the lot has
}

// ListedItem is an item as a list shows it.
type ListedItem struct {
	Item
	Product     string     // name
	Certificate string     // number/revision of the one in force
	ShippedAt   *time.Time // by the last shipment that stands, by itself or in the kit it lies in
}

// ListedPart is a fitted part with the item that it went into.
type ListedPart struct {
	PartView
	Serial     string // of the item
	ItemNumber string // of an item without a serial
}

// ListedResult is a result with the inspection that it was found in.
type ListedResult struct {
	Result
	Kind       string
	Serial     string
	Number     string // of an item without a serial
	Stage      string
	MeasuredAt time.Time
}

// ListedShipment is a shipment with the names of what went with it.
type ListedShipment struct {
	ShipmentView
	Names []string
}
