package models

import "time"

// BuildList is what is ticked off while an item of a family is built, N from 1
// on: the newest is in force, the others stay.
type BuildList struct {
	FamilyID string      `gorm:"primaryKey"`
	N        int         `gorm:"primaryKey;autoIncrement:false"`
	Steps    []BuildStep `gorm:"serializer:json"`
	Reason   string
	MadeBy   string
	MadeAt   time.Time
}

// BuildStep is one line of the list. Code never changes its meaning; Words are
// what the shop reads.
type BuildStep struct {
	Code  string `json:"code"`
	Words string `json:"words"`
}

// BuildTick says that a step of an item was done, or that it was taken back: a
// later one for the same step takes the place of an earlier one. Volts are the
// voltages of the strings that joining them was decided by, as typed.
type BuildTick struct {
	ID     string `gorm:"primaryKey"` // UUIDv7: sorts by the moment
	ItemID string
	Step   string // code
	Done   bool
	Volts  []string `gorm:"serializer:json"`
	DoneBy string
	DoneAt time.Time
}

// CapacityTest is a discharge at constant current, with the log that it was
// computed from. What is computed is not kept: it follows from the log and from
// the figures stored beside it, which stay as they were when it was made, and is
// computed anew when it is shown.
type CapacityTest struct {
	ID           string `gorm:"primaryKey"`
	ItemID       string
	StartedAt    time.Time
	TemperatureC string // at the start
	RatedAh      string
	CutOffV      string // of one block
	CoefPerK     string // correction of capacity per kelvin; 0 where there is none
	ReferenceC   string // temperature that the rated capacity holds at
	Strings      int    // side by side, sharing the current
	AcceptPct    string // least share of the rated capacity
	Log          string // JSON of a CapacityLog, byte for byte
	LogHash      string // SHA-256 of Log
	EnteredBy    string
	EnteredAt    time.Time
}

// CapacityLog is a log of a discharge, decimal texts, row by row.
type CapacityLog struct {
	Hours []string   `json:"hours"`
	Amps  []string   `json:"amps"`
	Volts [][]string `json:"volts"` // one list a block, in the order of the string
}
