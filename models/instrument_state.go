package models

import "time"

// InstrumentState is a state that an instrument was put into, N from 1 on, with the
// note that lets it judge while it is out. The instrument itself carries the newest;
// its entries of the trail vouch for all of them.
type InstrumentState struct {
	InstrumentID string `gorm:"primaryKey"`
	N            int    `gorm:"primaryKey;autoIncrement:false"`
	State        string // in_use, out, retired
	OutNote      string
	// Since is the moment from which it counts: that of a calibration which left the
	// instrument so, or when somebody said so. It is never before that of the state
	// before.
	Since     time.Time
	EnteredAt time.Time
	EnteredBy string
}

// StateInForce finds the state in which an instrument was at a moment. Before the
// first that is known it is that one; nil where none is.
func StateInForce(oldestFirst []InstrumentState, at time.Time) *InstrumentState {
	for i := len(oldestFirst) - 1; i >= 0; i-- {
		if i == 0 || !oldestFirst[i].Since.After(at) {
			return &oldestFirst[i]
		}
	}
	return nil
}

// StateSince is when an instrument was put into the state in which it is now: what
// was said of it meanwhile without changing that leaves it. It is zero where none is
// known.
func StateSince(oldestFirst []InstrumentState) (since time.Time) {
	for i := len(oldestFirst) - 1; i >= 0 && oldestFirst[i].State == oldestFirst[len(oldestFirst)-1].State; i-- {
		since = oldestFirst[i].Since
	}
	return since
}
