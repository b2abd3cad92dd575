package models

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"time"
)

// Stages of an inspection.
const (
	BeforeRelief  = "before_relief"
	AfterRelief   = "after_relief"
	Recheck       = "recheck"
	Incoming      = "incoming"
	SecondReading = "second_reading"
	Final         = "final"
	Packing       = "packing"
)

// Methods of a reading set.
const (
	EveryHole  = "every_hole" // one reading a hole, in order; one more is the reread of station 0
	Extremes   = "extremes"   // highest, then lowest, and where
	Sample     = "sample"     // named spokes
	EveryBlock = "every_block"
	Whole      = "whole" // one reading of the whole item (or the two shoulders of a dish)
)

// Verdicts of an inspection and of its results.
const (
	VerdictPass        = "pass"
	VerdictFail        = "fail"
	VerdictProvisional = "provisional" // judged on a rest shorter than asked for
	VerdictIncomplete  = "incomplete"  // a required result is not there
	VerdictNone        = "none"        // a result without limit
)

// Verdicts of single results by rules that know more than yes and no.
const (
	VerdictConformity      = "conformity_verified"
	VerdictNonconformity   = "nonconformity_verified"
	VerdictConditionalPass = "conditional_pass"
	VerdictConditionalFail = "conditional_fail"
	VerdictNotVerified     = "not_verified"
)

// Accepted says whether a result's verdict lets the item through without anybody
// deciding about it.
func Accepted(verdict string) bool { return verdict == VerdictPass || verdict == VerdictConformity }

// Failed says whether a result's verdict is one that fails the item.
func Failed(verdict string) bool {
	return verdict == VerdictFail || verdict == VerdictConditionalFail || verdict == VerdictNonconformity
}

// Undecided says whether a result's verdict lies in a guard band, where the rule
// says neither yes nor no.
func Undecided(verdict string) bool {
	return verdict == VerdictConditionalPass || verdict == VerdictNotVerified
}

// Position says where on the item a reading was taken: the data index of a
// spoke (0-based), or string and place of a block (1-based). As JSON it is a
// number, or a pair [string, place].
type Position struct {
	String int
	Place  int
}

// Spoke is the position of the spoke with this data index.
func Spoke(index int) Position { return Position{Place: index} }

// Block is the position of a block.
func Block(str, place int) Position { return Position{String: str, Place: place} }

// IsBlock says whether the position is one of a block.
func (p Position) IsBlock() bool { return p.String > 0 }

// Key is the position as text: "17", or "1.3".
func (p Position) Key() string {
	if p.IsBlock() {
		return strconv.Itoa(p.String) + "." + strconv.Itoa(p.Place)
	}
	return strconv.Itoa(p.Place)
}

// MarshalJSON writes a number or a pair.
func (p Position) MarshalJSON() ([]byte, error) {
	if p.IsBlock() {
		return json.Marshal([2]int{p.String, p.Place})
	}
	return json.Marshal(p.Place)
}

// UnmarshalJSON reads a number or a pair.
func (p *Position) UnmarshalJSON(raw []byte) error {
	var n int
	if err := json.Unmarshal(raw, &n); err == nil {
		*p = Position{Place: n}
		return nil
	}
	var pair []*int // null is no place
	if err := json.Unmarshal(raw, &pair); err != nil || len(pair) != 2 || pair[0] == nil || pair[1] == nil || *pair[0] < 1 {
		return fmt.Errorf("position %s: want a spoke's index or [string, place]", raw)
	}
	*p = Position{String: *pair[0], Place: *pair[1]}
	return nil
}

// Conditions are the circumstances of an inspection; decimal text, empty when
// not said.
type Conditions struct {
	TemperatureC string `json:"temperature_c,omitempty"`
	RestHours    string `json:"rest_hours,omitempty"`
	OnCharger    bool   `json:"on_charger,omitempty"`
	OffCharger   bool   `json:"off_charger,omitempty"` // answered with no; of drafts alone, an inspection leaves both out
	LoadA        string `json:"load_a,omitempty"`
	Tyre         string `json:"tyre,omitempty"` // off, on
	Note         string `json:"note,omitempty"`
}

// Inspection is one session of readings on one item, at one stage, by one
// person. MeasuredAt is when the last reading was taken: the tablet's
// clock less OffsetMS, which is what that clock was ahead of the server's when it
// sent; ReceivedAt is the server's own.
type Inspection struct {
	ID              string `gorm:"primaryKey"` // made by the tablet when the form opened (UUIDv7)
	ItemID          string
	FamilyID        string
	ProductID       *string
	ProductRevision *int
	SpecificationID string
	Stage           string
	PersonID        string
	DeviceID        *string
	Place           string
	StartedAt       time.Time
	MeasuredAt      time.Time
	OffsetMS        int64
	ReceivedAt      time.Time
	Conditions      Conditions `gorm:"serializer:json"`
	Verdict         string
	Remarks         []Remark `gorm:"serializer:json"`
	Supersedes      *string
	Reason          string  // of a correction
	SentHash        string  // SHA-256 of the canonical submission: the same id with the same content is a repeat
	Recheck         bool    // taken when the item had already been judged conforming
	Round           int     // derived: 1 for the item's first standing set at this stage
	FirstSet        bool    // derived: the first standing after-relief set of its item
	SupersededBy    *string // derived
	PassRounds      int     // derived: rounds after relief until the item first passed, on that inspection; 0 on every other
	PassMinutes     int     // derived: minutes at the stand for them, as store.ranked counts them
}

// ReadingSet is the readings of one characteristic by one method in one
// inspection. Values are as typed; Index says where each was taken; Moments
// are milliseconds after the inspection's start.
type ReadingSet struct {
	InspectionID string `gorm:"primaryKey"`
	Code         string `gorm:"primaryKey"`
	Method       string `gorm:"primaryKey"`
	InstrumentID *string
	PersonID     string
	Unit         string
	Manner       string     // of a resistance: ac_1khz, dc_two_point
	Values       []string   `gorm:"serializer:json;column:readings"`
	Index        []Position `gorm:"serializer:json;column:positions"`
	Moments      []int64    `gorm:"serializer:json"`
	Remarks      []Remark   `gorm:"serializer:json"`
	Converted    []string   `gorm:"serializer:json"` // newtons, where the values are divisions of a gauge with a table that holds them all; otherwise empty
	Masks        []Mask     `gorm:"serializer:json"` // stations taken out, in the order of the rim
}

// BeyondTable is the remark of a set with a reading that lies beyond the table of
// its gauge.
const BeyondTable = "outside_gauge_table"

// Meaningless says that a reading of the set lies beyond the table of its gauge: the
// divisions are kept, and nothing says how many newtons they are.
func (s ReadingSet) Meaningless() bool {
	return slices.ContainsFunc(s.Remarks, func(r Remark) bool { return r.Code == BeyondTable })
}

// Readable gives the values in a unit that means the same on every gauge:
// newtons where divisions were read, otherwise as typed. Those of a set that is
// [ReadingSet.Meaningless] stay divisions.
func (s ReadingSet) Readable() (values []string, unit string) {
	if len(s.Converted) > 0 {
		return s.Converted, "N"
	}
	return s.Values, s.Unit
}

// Result is one value computed from readings, with what it was judged by.
// Value, limits and U are exact decimal text in Unit; ValueF sorts and sums.
type Result struct {
	InspectionID string `gorm:"primaryKey"`
	Code         string `gorm:"primaryKey"`
	Position     string `gorm:"primaryKey"` // "" or Position.Key of one block
	Value        string
	ValueF       *float64 // nil for a tick or a choice
	Unit         string
	Low          string
	High         string
	AcceptLow    string // under a guarded rule
	AcceptHigh   string
	U            string
	Verdict      string
	Reason       string // code
	Method       string
	Readings     int               // how many it was computed from
	Detail       map[string]string `gorm:"serializer:json"`
}

// Shown is the position as people count: spokes from 1, string and place as
// they are.
func (p Position) Shown() string {
	switch {
	case !p.IsBlock():
		return strconv.Itoa(p.Place + 1)
	case p.String == 1:
		return strconv.Itoa(p.Place)
	}
	return p.Key()
}
