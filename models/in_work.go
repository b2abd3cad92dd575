package models

import "time"

// InWork is an item that is not out of the house yet, with what its step
// follows from.
type InWork struct {
	ItemID    string
	Serial    string
	Kind      string
	ProductID string
	State     string
	MadeAt    time.Time
	Read      *time.Time // newest standing inspection; nil before the first
	Held      *time.Time // since when an open hold reaches it; nil for none
	OnCharge  *time.Time // since when; nil for not
	Charged   *time.Time // end of its newest charge
	Recharged *time.Time // when its newest charge began that is no short load
	Emptied   *time.Time // when the discharge ended that no charge followed; nil for none
	InKit     bool
}

// Steps of the work, in its order.
const (
	StepLaced    = "laced"    // waits for truing
	StepTruing   = "truing"   // read, not passed yet
	StepBuilding = "building" // a pack that was neither charged nor read
	StepCharging = "charging"
	StepResting  = "resting" // charged, and not read since
	StepAgain    = "again"   // a pack that was read and did not pass, or was discharged
	StepPassed   = "passed"  // waits for its certificate
	StepHeld     = "held"
	StepReady    = "ready" // released and in no kit
)

// Step is where the item stands, and since when.
func (w InWork) Step() (step string, since time.Time) {
	read := w.MadeAt
	if w.Read != nil {
		read = *w.Read
	}
	switch {
	case w.Held != nil:
		return StepHeld, *w.Held
	case w.State == StateHeld: // Its hold was lifted, or raised, this very moment.
		return StepHeld, read
	case w.Emptied != nil: // Whatever was found before: it is neither passed nor ready.
		return StepAgain, *w.Emptied
	case w.State == StateReleased:
		return StepReady, read
	case w.OnCharge != nil:
		return StepCharging, *w.OnCharge
	case w.Charged != nil && (w.Read == nil || w.Charged.After(*w.Read)):
		return StepResting, *w.Charged
	case w.State == StateConforming, w.State == StateConceded:
		return StepPassed, read
	case w.Kind == KindWheel && w.Read == nil:
		return StepLaced, w.MadeAt
	case w.Kind == KindWheel:
		return StepTruing, read
	case w.Read == nil:
		return StepBuilding, w.MadeAt
	}
	return StepAgain, read
}
