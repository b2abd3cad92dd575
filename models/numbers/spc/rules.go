package spc

// BeyondLimit is the code of the rule that one point lies outside a limit;
// strictly outside, since a point on its limit is inside.
const BeyondLimit = "beyond_limit"

// A rule looks through a panel with limits and returns its signals in the order
// of the points.
type rule func(Panel) []Signal

// panelRules is every rule that is applied to each panel.
var panelRules = []rule{beyondLimit}

// signalled returns the panel with the signals of all rules.
func signalled(p Panel) Panel {
	for _, look := range panelRules {
		p.Signals = append(p.Signals, look(p)...)
	}
	return p
}

func beyondLimit(p Panel) []Signal {
	var signals []Signal
	for i, value := range p.Points {
		switch {
		case p.High != nil && value > p.High[i]:
			signals = append(signals, beyond(p, i, SideHigh, p.High[i]))
		case p.Low != nil && value < p.Low[i]:
			signals = append(signals, beyond(p, i, SideLow, p.Low[i]))
		}
	}
	return signals
}

func beyond(p Panel, i int, side Side, limit float64) Signal {
	values := map[string]float64{"value": p.Points[i], "limit": limit, "centre": p.Centre[i]}
	return Signal{Index: p.First + i, Rule: BeyondLimit, Side: side, Values: values}
}
