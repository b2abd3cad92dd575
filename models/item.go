package models

import (
	"strings"
	"time"
)

// Item is one serialised thing. Wheels, packs and kits carry the shop's own
// serial; motors and blocks keep the maker's number, unique per supplier and
// model, and a block without one gets a serial of kind letter B.
//
// A wheel or pack that is older than the log may carry a number from then, which
// stands in MakerNumber, without supplier and model.
type Item struct {
	ID          string `gorm:"primaryKey"`
	Kind        string
	Serial      *string // normalised, unique
	SerialTail  *string // its last five characters, the search key
	Supplier    string
	Model       string
	MakerNumber *string
	FamilyID    *string
	ProductID   *string
	State       string  // derived: where it stands in the flow
	TurnsOpen   *string // derived: the turn list that was begun and whose next readings are not compared yet
	Origin      string  // made, roll, received, demo
	BuiltOn     string  // day, YYYY-MM-DD, of one that was built before the log; empty for all others
	CreatedAt   time.Time
	CreatedBy   string
}

// OlderThanLog says that a wheel or pack was built before the log: nothing of how
// it was made or measured then is known here.
func (i Item) OlderThanLog() bool {
	return i.BuiltOn != "" || i.MakerNumber != nil && (i.Kind == KindWheel || i.Kind == KindPack)
}

// Whereabouts says where an item in a state is, as a recall and a trace tell it.
func Whereabouts(state string) string {
	switch state {
	case StateShipped, StateRecalled:
		return RecallShipped
	case StateScrapped, StateReturned:
		return RecallScrapped
	}
	return RecallHere
}

// IsPart says of a kind that it goes out in what it is built into, and never by itself.
func IsPart(kind string) bool { return kind == KindMotor || kind == KindBlock }

// MadeAt is when it was made: the noon of the day it was built on, where that was
// before the log, or when it was entered.
func (i Item) MadeAt() time.Time {
	if day, err := time.Parse(time.DateOnly, i.BuiltOn); err == nil {
		return day.Add(12 * time.Hour)
	}
	return i.CreatedAt
}

// States of an item; package flow says what leads from one to another.
const (
	StateInProcess  = "in_process"
	StateConforming = "conforming"
	StateHeld       = "held"
	StateReleased   = "released"
	StateShipped    = "shipped"
	StateRecalled   = "recalled"             // shipped, and called back
	StateScrapped   = "scrapped"             // thrown away
	StateReturned   = "returned_to_supplier" // sent back to its supplier

	StateConcessionPending = "concession_pending" // to be used as it is, once that is approved
	StateConceded          = "conceded"           // used although it does not conform
	StateRework            = "rework"             // being made to conform
	StateRepair            = "repair"             // being made usable
	StateReinspect         = "reinspect"          // worked on, and to be inspected again
	StateScrapPending      = "scrap_pending"      // to be marked and thrown away
	StateReturnPending     = "return_pending"     // to go back to its supplier
)

// Elsewhere says that the item is in nobody's hands here: with its owner, or back with
// its supplier.
func (i *Item) Elsewhere() bool {
	return i.State == StateShipped || i.State == StateRecalled || i.State == StateReturned
}

// Name is what people call the item: its serial, or maker and number.
//
//go:noinline
func (i Item) Name() string {
	if i.Serial != nil {
		return *i.Serial
	}
	if i.MakerNumber != nil {
		return i.Supplier + " " + i.Model + " " + *i.MakerNumber
	}
	return i.ID
}

// OnlyItem is the one item that a number found; code names the problem where it
// found none, or more than one.
func OnlyItem(found []Item) (item Item, code string) {
	switch len(found) {
	case 0:
		return Item{}, "unknown_number"
	case 1:
		return found[0], ""
	}
	return Item{}, "number_not_unique"
}

// MostOfTail is how many items of one end are named to whoever typed it.
const MostOfTail = 6

// OnlyOfTail is the one item whose serial ends as typed; code and values name the
// problem where none does, or more than one.
func OnlyOfTail(typed string, found []Item) (item Item, code string, values []string) {
	switch len(found) {
	case 0:
		return Item{}, "serial_tail_unknown", []string{"typed", Shortened(typed)}
	case 1:
		return found[0], "", nil
	}
	var serials []string
	for _, i := range found {
		name := i.Name()
		if i.Serial != nil {
			name = *i.Serial
		}
		serials = append(serials, name)
	}
	return Item{}, "serial_tail_several", []string{"typed", Shortened(typed), "serials", strings.Join(serials, ",")}
}

// SerialCounter remembers the last counter given out for a kind letter and a
// two-digit year.
type SerialCounter struct {
	Letter string `gorm:"primaryKey"`
	Year   int    `gorm:"primaryKey"`
	Last   int
}

// SerialRoll is a roll of labels printed ahead: a serial in its range creates
// its item on first scan.
type SerialRoll struct {
	ID        string `gorm:"primaryKey"`
	Letter    string
	Year      int
	First     int
	Last      int
	ProductID *string // empty: asked for at the first scan
	PrintedAt time.Time
	PrintedBy string
}
