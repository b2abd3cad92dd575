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
	Code     string // no_fault_found, corrected, raised_in_error, other; disposed
	Reason   string
	LiftedBy string
	LiftedAt time.Time
}

// LiftDisposed is the code of a lift by the end of a nonconformity; its reason is
// the number of that.
const LiftDisposed = "disposed"

// RecheckFailed is the code of the hold that a failing recheck raises; its reason
// are the results that failed. What is with its owner keeps its state beside it.
const RecheckFailed = "recheck_failed"

// OfAnother says whether a hold is ended by what raised it, a recall or a claim,
// whatever is decided about the item.
func (h Hold) OfAnother() bool { return h.Code == HoldRecall || h.Code == HoldOfClaim }

// HoldLiftCodes are the reasons a person may lift a hold with.
var HoldLiftCodes = []string{"no_fault_found", "corrected", "raised_in_error", "other"}
