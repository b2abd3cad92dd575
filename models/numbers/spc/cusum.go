package spc

import "tracewright/models/numbers/stats"

// CUSUMLines are the cumulative sums on both sides.
type CUSUMLines struct {
	Above, Below []float64 // Both from 0 upward.
	// SinceAbove and SinceBelow count the points since the sum left 0: the shift
	// began about so many points ago.
	SinceAbove, SinceBelow []int
	// First is the first point with a sum beyond the decision interval, -1 when
	// there is none; Side the side of it.
	First int
	Side  Side
}

// The usual CUSUM finds a shift of one sigma: slack half a sigma, decision five.
const (
	UsualSlack    = 0.5
	UsualDecision = 5.0
)

// CUSUM adds up what lies further from the target than a slack k (Page,
// Biometrika 41, 1954; NIST/SEMATECH e-Handbook, 6.3.2.3):
//
//	above[i] = max(0, above[i-1] + x[i] - target - k)
//	below[i] = max(0, below[i-1] - x[i] + target - k)
//
// both starting at headStart, which finds a process that starts off its target
// sooner (fast initial response: Lucas and Crosier, Technometrics 24, 1982, with
// half the decision interval). A sum beyond the decision interval h, strictly, is
// a signal. All in the unit of the values: k at least 0, h above 0, head start
// from 0 to h.
func CUSUM(x []float64, target, k, h, headStart float64) (CUSUMLines, error) {
	if err := stats.Check(x, 1); err != nil {
		return CUSUMLines{}, at("values", err)
	}
	switch {
	case !finite(target):
		return CUSUMLines{}, wrong("target", ErrSetting, "%v", target)
	case !finite(k) || k < 0:
		return CUSUMLines{}, wrong("k", ErrSetting, "%v is negative", k)
	case !finite(h) || h <= 0:
		return CUSUMLines{}, wrong("h", ErrSetting, "%v is not above 0", h)
	case !finite(headStart) || headStart < 0 || headStart > h:
		return CUSUMLines{}, wrong("headstart", ErrSetting, "%v is not from 0 to h", headStart)
	}
	n := len(x)
	l := CUSUMLines{Above: make([]float64, n), Below: make([]float64, n), SinceAbove: make([]int, n), SinceBelow: make([]int, n), First: -1}
	above, below := headStart, headStart
	var sinceAbove, sinceBelow int
	for i, value := range x {
		above, sinceAbove = added(above, value-target-k, sinceAbove)
		below, sinceBelow = added(below, target-value-k, sinceBelow)
		l.Above[i], l.Below[i], l.SinceAbove[i], l.SinceBelow[i] = above, below, sinceAbove, sinceBelow
		if l.First < 0 && (above > h || below > h) {
			l.First, l.Side = i, SideHigh
			if below > above {
				l.Side = SideLow
			}
		}
	}
	for _, sums := range [][]float64{l.Above, l.Below} {
		if err := stats.Check(sums, n); err != nil {
			return CUSUMLines{}, at("values", err)
		}
	}
	return l, nil
}

func added(sum, more float64, since int) (float64, int) {
	if sum += more; sum > 0 {
		return sum, since + 1
	}
	return 0, 0
}

// The chart "cusum": centre and sigma as on the chart of individual values
// unless the settings give them; slack, decision interval and head start in
// sigmas.
func cusumLimits(data Data) (Limits, error) {
	l, err := memoryLimits(data)
	l.Settings.Slack = usual(data.Settings.Slack, UsualSlack)
	l.Settings.Decision = usual(data.Settings.Decision, UsualDecision)
	l.Settings.HeadStart = data.Settings.HeadStart
	return l, err
}

func cusumPanels(data Data, l Limits) ([]Panel, error) {
	if err := stats.Check(data.Values, 1); err != nil {
		return nil, at("values", err)
	}
	sigma := l.Sigma
	if sigma == 0 { // Then there are no limits to draw.
		sigma = 1
	}
	s := l.Settings
	sums, err := CUSUM(data.Values, l.Centre, s.Slack*sigma, s.Decision*sigma, s.HeadStart*sigma)
	if err != nil {
		return nil, err
	}
	down := make([]float64, len(sums.Below))
	for i, sum := range sums.Below {
		down[i] = -sum
	}
	above, below := strip(PanelSumAbove, sums.Above, 0), strip(PanelSumBelow, down, 0)
	if !l.Facts.NoLimits {
		above.High = level(s.Decision*sigma, len(down))
		below.Low = level(-s.Decision*sigma, len(down))
	}
	return []Panel{above, below}, nil
}
