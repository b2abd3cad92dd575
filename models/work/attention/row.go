package attention

import (
	"time"

	"tracewright/models"
)

// Level is how bad it is that something waits.
type Level int

// The levels, worst first.
const (
	Safety Level = iota // somebody may be hurt, or the record itself is in doubt
	Left                // it is with a customer
	Stuck               // it waits here for a decision
	Due                 // nothing is late yet
)

// Code is the level's name as other programs read it.
func (l Level) Code() string { return [...]string{"safety", "left_the_shop", "stuck", "due"}[l] }

// Kinds of rows.
const (
	Signal        = "signal"
	Held          = "hold"
	Recheck       = "recheck" // of what is with its owner, and failed
	GaugeFailed   = "gauge_failed"
	GaugeOverdue  = "gauge_overdue"
	GaugeDue      = "gauge_due"
	CheckFailed   = "check_failed"
	CheckDue      = "check_due"
	Charge        = "charge"
	Certificate   = "certificate"
	Lot           = "lot" // quarantine, doubt, a count
	Claim         = "claim"
	Recall        = "recall"
	Nonconforming = "nonconformity"
	Corrective    = "corrective_action"
	Unplaced      = "unplaced"
	Seal          = "seal"
	Backup        = "backup"
	DeviceKey     = "device"    // of a tablet, in two places
	Retention     = "retention" // customers who are kept longer than the shop wants
)

// Row is one thing that needs somebody.
type Row struct {
	Kind  string
	Level Level
	Says  models.Remark
	Lines []models.Remark // the evidence
	Since time.Time       // zero where it is not known, or nothing has begun
	By    string          // day by which, of what is due: YYYY-MM-DD
	Count int             // how many things it stands for
	Do    Deed
}

// Deed is the next act, and where it is done.
type Deed struct {
	Code  string     // give_cause, decide, answer: words under "deed."
	Needs models.Act // what a person must be allowed to do
	At    string     // what it is done at: item, release, trace, claim, lot, ...
	Named string     // which: a number, code, serial or key; empty for the list of all
	Under string     // key of what hangs on it: a trace of a gauge
	Query map[string]string
}

// List is everything that needs a person.
type List struct {
	At    time.Time
	Title models.Remark
	Rows  []Row           // worst first
	Fine  []models.Remark // what there is none of
	Notes []models.Remark // worth knowing, and not to be done
	// Others counts the things that wait for somebody who may do more.
	Others int
}
