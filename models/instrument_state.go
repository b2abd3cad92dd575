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
	// instrument so, or when somebody said so. It is before that of the state before only
	// where that was entered while a clock was ahead.
	Since     time.Time
	EnteredAt time.Time
	EnteredBy string
}

// GaugesStood is what is known of instruments at any time, each one's oldest first, and
// the keys of the reverse traces of any that were made since a moment.
type GaugesStood struct {
	Calibrations []Calibration
	States       []InstrumentState
	Traced       []string
}

// StateInForce finds the state in which an instrument was at a moment, as it was last
// spoken of while it was in it: the owner's note is about all that was read meanwhile.
// Before the first that is known it is that one; nil where none is.
func StateInForce(oldestFirst []InstrumentState, at time.Time) *InstrumentState {
	if len(oldestFirst) == 0 {
		return nil
	}
	n := len(oldestFirst) - 1
	for n > 0 && oldestFirst[n].Since.After(at) {
		n--
	}
	for n+1 < len(oldestFirst) && oldestFirst[n+1].State == oldestFirst[n].State {
		n++
	}
	return &oldestFirst[n]
}

// InStateAt is an instrument in the state in which it was at a moment, as it is known now.
// known may hold the states of other instruments too. Where the newest lies ahead of now
// a clock was ahead when it was entered, and nobody knows since when it counts: then the
// instrument is as it stands.
func (i Instrument) InStateAt(known []InstrumentState, at, now time.Time) Instrument {
	own := make([]InstrumentState, 0, len(known))
	for _, x := range known {
		if x.InstrumentID == i.ID {
			own = append(own, x)
		}
	}
	if n := len(own); n > 0 && own[n-1].Since.After(now) {
		return i
	}
	if found := StateInForce(own, at); found != nil {
		i.State, i.OutNote = found.State, found.OutNote
	}
	return i
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
