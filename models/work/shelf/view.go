package shelf

import (
	"time"

	"tracewright/models"
)

// State is what can be said of a pack today.
type State string

// The states.
const (
	Standing  State = "standing"   // read at rest; both dates are known
	Charging  State = "charging"   // on a charger
	Resting   State = "resting"    // charged, and the rest is not over
	ToRead    State = "to_read"    // charged and rested: a reading is due
	NeverRead State = "never_read" // no reading at rest
	// Discharged was emptied by a test and not charged since: nothing that was read
	// before shows it.
	Discharged State = "discharged"
	// Dead stands below the voltage at which its model is scrap: a person sets it
	// aside; it is not put on a charger with what is due.
	Dead State = "dead"
)

// What keeps a pack from going out.
const (
	Held      = "held"
	NotPassed = "not_passed" // read at rest, and not every limit met
	CameBack  = "came_back"  // it was shipped, and stands here again
)

// What sets a due date.
const (
	ByCharge = "soc"      // the charge falls to the least
	ByAge    = "calendar" // the interval by the calendar is over
	ByReady  = "ready"    // wanted or ordered, and the voltage falls below the shipping limit
)

// Row is one pack or loose block on the shelf.
type Row struct {
	Item    models.Item
	Product string
	Form    *models.PackForm // nil where the product has none

	Place     string
	TempC     float64 // of the place now, or assumed
	TempKnown bool    // its own temperature, not that of the warmest place

	State   State
	Reading *models.RestedReading
	SoCPct  *float64 // estimate of now; nil where it is not known
	// SoCUnknown says why it is not: kinds.ChargeNoTable, kinds.ChargeOnPlateau.
	SoCUnknown string
	SoCMin     float64 // charge at which it must be charged again

	ChargeBy     time.Time // day, zero where it is not known
	GovernedBy   string    // ByCharge or ByAge
	IntervalDays int       // from the reading to ChargeBy
	ReadyUntil   time.Time // day, zero where it is not known or TooLow
	TooLow       bool      // below Limit when it was read: it may not ship at all
	Limit        float64   // V a block at 25 degrees, by which ReadyUntil follows; 0 for none

	AirMaxPct float64 // charge above which it may not go by air, lithium; 0 for none

	Wanted   string    // day, by hand or that of Order; or empty
	Order    string    // reference of the open order that it is kept for, or empty
	Due      time.Time // ChargeBy, or for a pack that is wanted or ordered the earlier of both
	DueBy    string    // what set it
	DaysLeft int       // until Due; negative when it is late

	Out    int    // 1 goes out first; 0 for a block and for what is stopped
	Stop   string // Held, NotPassed, CameBack, or empty
	Made   time.Time
	Charge *models.ChargeView // the newest
	// Discharge is the one that ended last, in Discharged.
	Discharge *models.ChargeView
	Opens     time.Time // when the rest is over, in Resting and ToRead
	Rest      float64   // hours of it
}

// SoonDays is how many days ahead a due date is announced. Common practice, no
// source.
const SoonDays = 14

// Look is the shelf today.
type Look struct {
	Day           time.Time // today in the shop, as a day
	Packs, Blocks int
	Today         []*Row // to be charged today, worst first
	Soon          []*Row // within SoonDays
	Waiting       []*Row // charged and not read yet, or never read
	Later         []*Row
	Next          *Row   // goes out first; nil where none may
	Warmest       string // place whose temperature stands in where none is known
	Assumed       bool   // no temperature is known at all: 25 degrees
}
