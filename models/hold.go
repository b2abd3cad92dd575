package models

import "time"

// Hold stops an item, or everything of a lot, from being released. Anyone may
// raise one.
type Hold struct {
	ID          string `gorm:"primaryKey"`
	ItemID      *string
	LotID       *string
	Code        string // a defect code, or "other"
	Reason      string
	StateBefore string // of the item, so that lifting brings it back
	RaisedBy    string
	RaisedAt    time.Time
}

// HoldRecall is the code of a hold that a recall raises; its reason is the
// number of the recall.
const HoldRecall = "recall"

// HoldLift ends a hold; the hold itself stays as it was.
type HoldLift struct {
	HoldID   string `gorm:"primaryKey"`
	Code     string // no_fault_found, corrected, raised_in_error, other
	Reason   string
	LiftedBy string
	LiftedAt time.Time
}

// HoldLiftCodes are the reasons a hold may be lifted with.
var HoldLiftCodes = []string{"no_fault_found", "corrected", "raised_in_error", "other"}
