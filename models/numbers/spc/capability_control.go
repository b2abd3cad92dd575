package spc

// Control says whether the process was in control while the values were made.
// An index speaks of the future only if it was; the code stands beside every
// index, and what is not in control carries no promise.
type Control string

// What a control chart of the same values said.
const (
	InControl       Control = "in_control"
	NotInControl    Control = "not_in_control"
	ControlNotShown Control = "control_not_shown" // No chart with limits was looked at.
)

// Known reports whether c is one of the codes.
func (c Control) Known() bool {
	return c == InControl || c == NotInControl || c == ControlNotShown
}

// ControlOf reads the code off a chart of the values that an index is found
// from: any signal in any of its panels, also of points before the last, is not
// in control. A chart without limits shows nothing either way.
func ControlOf(c Chart) Control {
	if c.Facts.NoLimits {
		return ControlNotShown
	}
	for _, panel := range c.Panels {
		if len(panel.Signals) > 0 {
			return NotInControl
		}
	}
	if len(c.Panels) == 0 {
		return ControlNotShown
	}
	return InControl
}
