package build

import "tracewright/models/trade/pack"

// Where in the work a caution is told.
const (
	AtJoining  = "joining"  // while blocks and strings are put together
	AtCharging = "charging" // on the charger
	AtShipping = "shipping"
	AllAlong   = ""
)

// Caution is a code of the catalogue and the part of the work where the hand
// needs it.
type Caution struct{ Code, At string }

// Cautions are those of this pack, in the order they are read. They permit
// nothing: the last one says what comes first.
func (s Sheet) Cautions() []Caution {
	out := []Caution{{"short_circuit", AtJoining}, {"right_charger", AtCharging}}
	if s.Form != nil {
		if pack.Chemistry(s.Form.Chemistry).LeadAcid() {
			out = append(out, Caution{"hydrogen", AtCharging}, Caution{"acid", AllAlong}, Caution{"lead_transport", AtShipping})
		} else {
			out = append(out, Caution{"lithium_fire", AllAlong}, Caution{"lithium_transport", AtShipping}, Caution{"lithium_not_as_charged", AtShipping})
		}
		if s.Form.Strings > 1 {
			out = append(out, Caution{"strings_alike", AtJoining})
		}
	}
	if s.AboveShock {
		out = append(out, Caution{"above_60_v", AllAlong})
	}
	return append(out, Caution{"makers_data_first", AllAlong})
}
