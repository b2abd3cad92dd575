package models

import (
	"testing"
	"time"
)

// Where an item stands follows from its state, its readings and its charges.
func TestTheStepOfWorkInProgress(t *testing.T) {
	day := func(n int) time.Time { return time.Date(2031, 5, n, 8, 0, 0, 0, time.UTC) }
	at := func(n int) *time.Time { d := day(n); return &d }
	for name, c := range map[string]struct {
		w     InWork
		step  string
		since int
	}{
		"a wheel not read":           {InWork{Kind: KindWheel, State: StateInProcess}, StepLaced, 1},
		"a wheel that did not pass":  {InWork{Kind: KindWheel, State: StateInProcess, Read: at(3)}, StepTruing, 3},
		"a wheel that passed":        {InWork{Kind: KindWheel, State: StateConforming, Read: at(4)}, StepPassed, 4},
		"a wheel held":               {InWork{Kind: KindWheel, State: StateHeld, Read: at(4), Held: at(6)}, StepHeld, 6},
		"a wheel of a lot held":      {InWork{Kind: KindWheel, State: StateReleased, Read: at(4), Held: at(6)}, StepHeld, 6},
		"a wheel released":           {InWork{Kind: KindWheel, State: StateReleased, Read: at(4)}, StepReady, 4},
		"a pack not charged":         {InWork{Kind: KindPack, State: StateInProcess}, StepBuilding, 1},
		"a pack on the charger":      {InWork{Kind: KindPack, State: StateInProcess, OnCharge: at(6), Charged: at(2)}, StepCharging, 6},
		"a pack charged":             {InWork{Kind: KindPack, State: StateInProcess, Charged: at(2)}, StepResting, 2},
		"a pack read since":          {InWork{Kind: KindPack, State: StateInProcess, Charged: at(2), Read: at(3)}, StepAgain, 3},
		"a pack discharged since":    {InWork{Kind: KindPack, State: StateInProcess, Charged: at(2), Emptied: at(4)}, StepAgain, 4},
		"a pack passed, and emptied": {InWork{Kind: KindPack, State: StateConforming, Charged: at(2), Read: at(3), Emptied: at(4)}, StepAgain, 4},
		"a pack ready, and emptied":  {InWork{Kind: KindPack, State: StateReleased, Charged: at(2), Read: at(3), Emptied: at(4)}, StepAgain, 4},
		"a pack held, and emptied":   {InWork{Kind: KindPack, State: StateHeld, Read: at(3), Held: at(3), Emptied: at(4)}, StepHeld, 3},
		"a pack passed, on charge":   {InWork{Kind: KindPack, State: StateConforming, OnCharge: at(5), Charged: at(2), Read: at(3)}, StepCharging, 5},
		"a pack passed, and charged": {InWork{Kind: KindPack, State: StateConforming, Charged: at(5), Read: at(3)}, StepResting, 5},
		"a pack passed":              {InWork{Kind: KindPack, State: StateConforming, Charged: at(2), Read: at(3)}, StepPassed, 3},
		"a pack charged again since": {InWork{Kind: KindPack, State: StateInProcess, Charged: at(5), Read: at(3)}, StepResting, 5},
	} {
		c.w.MadeAt = day(1)
		if step, since := c.w.Step(); step != c.step || !since.Equal(day(c.since)) {
			t.Errorf("%s: %s since %v, want %s since %v", name, step, since, c.step, day(c.since))
		}
	}
}
