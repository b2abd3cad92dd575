package models

import (
	"slices"
	"time"
	"unicode/utf8"
)

// FittedPart says that a lot or a serialised part went into an item. Either
// LotID or PartID is set; Place says where ("spokes A", "1.3" for a block).
type FittedPart struct {
	ID       string `gorm:"primaryKey"`
	ItemID   string
	Role     string // motor, rim, spokes_a, spokes_b, nipples, block
	Place    string
	LotID    *string
	PartID   *string
	Quantity int
	Reason   string // why more was used than the lot had; empty otherwise
	FittedAt time.Time
	FittedBy string

	TakenOut int        // derived: pieces of it that were taken out since
	OutAt    *time.Time // derived: when the last of them went; nil while some are in
}

// Left is how many pieces of it are in the item now.
func (p FittedPart) Left() int { return p.Quantity - p.TakenOut }

// PartRemoval says that pieces of a fitted part were taken out of their item,
// or were never in it and are put right on the record.
type PartRemoval struct {
	ID        string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	FittedID  string
	ItemID    string
	Quantity  int
	Code      string // see RemovalCodes
	Reason    string
	Fate      string // where they went, see Fates
	RemovedAt time.Time
	RemovedBy string
}

// Laced is a wheel as it is laced, with what goes into it; Motor is one that
// comes in with it.
type Laced struct {
	Item  Item
	Parts []FittedPart
	Motor *Item
}

// Fates of what is taken out.
const (
	FateStock    = "stock"    // may be fitted again
	FateScrap    = "scrap"    // never again
	FateSupplier = "supplier" // sent back
	FateNeverIn  = "never_in" // the record was wrong
)

// Fates in the order that a form offers them.
var Fates = []string{FateScrap, FateStock, FateSupplier, FateNeverIn}

// RemovalCodes are the reasons that a part is taken out for. RecordedWrongly
// goes with FateNeverIn and with nothing else.
var RemovalCodes = []string{"broken", "worn", "damaged", "wrong_part", "loses_charge", "resistance", "recall", "upgrade", RecordedWrongly, "other"}

// SetsAside is the disposition code of a block that is taken out for a fault and
// goes back into the stock: it waits there until somebody decides.
var SetsAside = map[string]string{"broken": "damaged", "damaged": "damaged", "loses_charge": "loses_charge", "resistance": "resistance", "recall": "lot_suspect"}

// RecordedWrongly is the code of a removal of what was never in.
const RecordedWrongly = "recorded_wrongly"

// Physical says that something was really taken out, so that what was read
// before no longer shows the item as it is.
func (r PartRemoval) Physical() bool { return r.Fate != FateNeverIn }

// RebuiltSince says whether something was really taken out of an item since a moment:
// readings taken then show it as it was.
//
//go:noinline
func RebuiltSince(removed []PartRemoval, moment time.Time) bool {
	return slices.ContainsFunc(removed, func(r PartRemoval) bool { return r.Physical() && !r.RemovedAt.Before(moment) })
}

// PartRoles are the roles a part may be fitted in.
var PartRoles = []string{"motor", "rim", "spokes_a", "spokes_b", "nipples", "block", "connector", "harness", "fuse", "case"}

// LongestPlace is more than any place in an item is called.
const LongestPlace = 40

// PlaceFault names what is wrong with how a place is written, "" for nothing.
func PlaceFault(place string) string {
	switch {
	case utf8.RuneCountInString(place) > LongestPlace:
		return "too_long"
	case Unprinted(place, false):
		return "not_printed"
	}
	return ""
}

// PartFault names why a part with a number can be in no item in a role, "" where it
// can.
func PartFault(part Item, role string) string {
	switch {
	case part.Kind != KindMotor && part.Kind != KindBlock:
		return "no_part" // It is packed into a kit.
	case role == KindBlock && part.Kind != KindBlock:
		return "number_of_no_block"
	case role == KindMotor && part.Kind != KindMotor:
		return "no_motor"
	case part.State == StateScrapped, part.State == StateReturned:
		return "part_gone"
	}
	return ""
}

// Present leaves of fitted parts those that are in their item now.
func Present[P interface{ InNow() bool }](parts []P) []P {
	return slices.DeleteFunc(slices.Clone(parts), func(p P) bool { return !p.InNow() })
}

// InNow says whether any piece of it is in the item.
func (p FittedPart) InNow() bool { return p.OutAt == nil }
