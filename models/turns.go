package models

import (
	"slices"
	"time"
)

// The two lists of one prescription: few nipples, or every one that gains.
const (
	TurnsShort = "short"
	TurnsAll   = "all"
)

// TurnList is what the model asked to be turned, from the readings of one
// inspection. It is frozen when made: what it predicts is what the next
// readings are compared with. Made again (with another number of nipples, or
// after a stop) it gets the next N; the newest is the one in force.
type TurnList struct {
	ID           string `gorm:"primaryKey"`
	InspectionID string
	ItemID       string
	N            int    // 1 for the first list of the inspection
	RimType      string // of rim and spoke: what is learned belongs to it
	Short        int    // most nipples of the short list
	Content      string // JSON as work/truing writes it, byte for byte
	ContentHash  string // SHA-256 of Content
	MadeBy       string
	MadeAt       time.Time
}

// TurnDone says that one turn of a list was made, or that it was taken back:
// a later entry for the same turn takes the place of an earlier one.
type TurnDone struct {
	ID         string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	TurnListID string
	List       string // TurnsShort or TurnsAll
	N          int    // the turn's number in it, from 1
	Turned     bool
	DoneBy     string
	DoneAt     time.Time // by the clock at the stand; the order of entries is that of the ids
}

// StandingTurns are the turns that were made and not taken back, of what was
// done in order: the newest word on each turn counts.
func StandingTurns(done []TurnDone) []TurnDone {
	type turn struct {
		list string
		n    int
	}
	last := map[turn]int{}
	for i, d := range done {
		last[turn{d.List, d.N}] = i
	}
	var stand []TurnDone
	for i, d := range done {
		if d.Turned && last[turn{d.List, d.N}] == i {
			stand = append(stand, d)
		}
	}
	return stand
}

// TurnedSince says whether a turn that stands was made at or after a moment:
// readings taken then do not show it.
func TurnedSince(done []TurnDone, moment time.Time) bool {
	return slices.ContainsFunc(StandingTurns(done), func(d TurnDone) bool { return !d.DoneAt.Before(moment) })
}

// TurnRound compares the readings of an inspection with what the list before
// it predicted for the turns that were made.
type TurnRound struct {
	InspectionID string `gorm:"primaryKey"` // whose readings were compared
	TurnListID   string
	ItemID       string
	RimType      string
	// Scales are of the model as built, before anything learned: tension,
	// lateral and radial. Nil where the change was too small to tell.
	TensionScale *float64
	LateralScale *float64
	RadialScale  *float64
	Teaches      bool   // nothing contradicts
	Stop         bool   // something does: nothing is turned before a person has said what happened
	Cause        string // with Stop, the likely one
	Content      string // JSON as work/truing writes it, byte for byte
	ContentHash  string
	ComparedBy   string
	ComparedAt   time.Time
}

// TurnAnswer is what a person says happened, where a round contradicts. A later
// answer takes the place of an earlier one.
type TurnAnswer struct {
	ID           string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	InspectionID string // of the TurnRound
	Cause        string
	Settles      bool // the list is done with: the readings hold as they are
	AnsweredBy   string
	AnsweredAt   time.Time
}

// TurnStop is a stop with the newest answer to it, nil before there is one.
type TurnStop struct {
	Round  TurnRound
	Answer *TurnAnswer
}
