package models

import (
	"cmp"
	"maps"
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
// the entry with the later moment takes the place of an earlier one.
type TurnDone struct {
	ID         string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	TurnListID string
	List       string // TurnsShort or TurnsAll
	N          int    // the turn's number in it, from 1
	Turned     bool
	DoneBy     string
	DoneAt     time.Time // by the clock at the stand; the office may hear of it later
}

// turnKey names a turn.
type turnKey struct {
	turnList, list string
	n              int
}

// StandingTurns are the turns that were made and not taken back, in the order of
// the moments at which they were: the latest word on each turn counts, whenever
// it came.
func StandingTurns(done []TurnDone) []TurnDone {
	inTime := slices.SortedStableFunc(slices.Values(done), func(a, b TurnDone) int {
		return cmp.Or(a.DoneAt.Compare(b.DoneAt), cmp.Compare(a.ID, b.ID))
	})
	last := map[turnKey]int{}
	for i, d := range inTime {
		last[turnKey{d.TurnListID, d.List, d.N}] = i
	}
	var stand []TurnDone
	for i, d := range inTime {
		if d.Turned && last[turnKey{d.TurnListID, d.List, d.N}] == i {
			stand = append(stand, d)
		}
	}
	return stand
}

// TurnedSince says whether other turns stand now than stood right before a
// moment: readings taken then do not show the wheel as it is. A turn that was
// taken back counts as one that was made.
func TurnedSince(done []TurnDone, moment time.Time) bool {
	keys := func(list []TurnDone) map[turnKey]bool {
		out := map[turnKey]bool{}
		for _, d := range StandingTurns(list) {
			out[turnKey{d.TurnListID, d.List, d.N}] = true
		}
		return out
	}
	before := slices.DeleteFunc(slices.Clone(done), func(d TurnDone) bool { return !d.DoneAt.Before(moment) })
	return !maps.Equal(keys(before), keys(done))
}

// LateTurns is the cause of an answer that nobody gives: turns of a list reached
// the office after the readings that follow them, so that the comparison of
// those says nothing.
const LateTurns = "late_turns"

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

// Keeps names what a stop keeps its wheel here by: nobody has said yet what happened,
// or the readings are to be taken again. Empty for nothing.
func (s TurnStop) Keeps() string {
	switch {
	case !s.Round.Stop:
		return ""
	case s.Answer == nil:
		return "stop_unanswered"
	case !s.Answer.Settles:
		return "readings_to_repeat"
	}
	return ""
}

// TurnListState says what keeps a list from being worked on.
type TurnListState struct {
	MadeAgain  bool // with another number of nipples
	Replaced   bool // the readings that it was made from were corrected or moved
	LaterBegun bool // turns of a later list of the wheel are open
	Compared   bool // with later readings
}

// Closed says whether it takes no turn whenever that was made.
func (s TurnListState) Closed() bool { return s.MadeAgain || s.Replaced || s.LaterBegun }
