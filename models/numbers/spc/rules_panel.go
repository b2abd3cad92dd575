package spc

import (
	"math"
	"slices"
)

// WithRules returns the chart with the signals of the named run rules in place
// of those it had. The error wraps [ErrNoRules], [ErrRule] or [ErrRuleTwice].
//
// Only a panel whose points have nothing in common with their neighbours is
// looked through for runs. Moving ranges share a value with the next one, and
// points of a smoothed or summed chart all that went before: there a run is what
// is to be expected. Ranges, standard deviations and distances lie lopsided about
// their centre, for which no rule of runs is made. On these only [BeyondLimit] is
// applied.
func (c Chart) WithRules(names []string) (Chart, error) {
	rules, err := rulesNamed(names)
	if err != nil {
		return Chart{}, err
	}
	c.Panels = slices.Clone(c.Panels)
	for i, p := range c.Panels {
		c.Panels[i] = p.withSignals(rules, c.Scale)
	}
	return c, nil
}

// signalled returns the panel with the signals that every chart gives, unless it
// is asked for more: single points beyond a limit.
func signalled(p Panel) Panel {
	return p.withSignals([]RunRule{{Name: BeyondLimit}}, AsMeasured)
}

// ownPoints names what is plotted where each point stands for itself, and says
// whether thirds of the way to a limit are sigmas there. Counts have to bring
// their scores: limits of theirs may be cut off at 0 or be tails.
var ownPoints = map[string]bool{
	PanelValues: true, PanelMeans: true, PanelMedians: true, PanelItemMeans: true,
	PanelRatios: true, PanelDeviations: true, PanelStandardised: true,
	PanelProportions: false, PanelCounts: false, PanelRates: false,
}

// withSignals returns the panel with the signals of the rules, in the order of
// the points. A panel without limits has none.
func (p Panel) withSignals(rules []RunRule, scale Scale) Panel {
	p.Signals = nil
	if p.High == nil && p.Low == nil {
		return p
	}
	var z []float64
	zones, looked := false, false
	for _, r := range rules {
		if r.Name == BeyondLimit {
			p.Signals = append(p.Signals, beyondLimit(p)...)
			continue
		}
		if !looked {
			z, zones = p.scores(scale)
			looked = true
		}
		if z != nil && (zones || r.Line == 0) {
			p.Signals = append(p.Signals, p.patterns(r, z)...)
		}
	}
	slices.SortStableFunc(p.Signals, func(a, b Signal) int { return a.Index - b.Index })
	return p
}

// beyondLimit compares with the limits themselves, so that a point on its limit
// is inside whatever rounding a score would bring.
func beyondLimit(p Panel) []Signal {
	var signals []Signal
	for i, value := range p.Points {
		switch {
		case p.High != nil && value > p.High[i]:
			signals = append(signals, p.signal(BeyondLimit, i, SideHigh))
		case p.Low != nil && value < p.Low[i]:
			signals = append(signals, p.signal(BeyondLimit, i, SideLow))
		}
	}
	return signals
}

// signal is a signal at one point of the panel.
func (p Panel) signal(rule string, i int, side Side) Signal {
	values := map[string]float64{"value": p.Points[i], "centre": p.Centre[i]}
	switch {
	case side == SideHigh && p.High != nil:
		values["limit"] = p.High[i]
	case side == SideLow && p.Low != nil:
		values["limit"] = p.Low[i]
	}
	at := p.First + i
	return Signal{Index: at, Rule: rule, Side: side, First: at, Last: at, Values: values}
}

// patterns turns the places where a rule is met into signals: places that share
// a point are one pattern, which is one signal and not one a point.
func (p Panel) patterns(r RunRule, z []float64) []Signal {
	var signals []Signal
	for _, m := range r.look(z) {
		if !m.Newest {
			continue
		}
		open := len(signals) - 1
		first := p.First + m.First
		if open < 0 || first > signals[open].Last || signals[open].Side != m.Side {
			s := p.signal(r.Name, m.Last, m.Side)
			s.First = first
			signals = append(signals, s)
			open++
		}
		s := &signals[open]
		if r.Need < r.Of {
			for i := max(m.First, s.next()-p.First); i <= m.Last; i++ {
				if r.has(z[i], m.Side) {
					s.Points = append(s.Points, p.First+i)
				}
			}
		}
		s.Last = p.First + m.Last
	}
	return signals
}

// next is the index behind the points that a signal counts already.
func (s *Signal) next() int {
	if len(s.Points) == 0 {
		return s.First
	}
	return s.Points[len(s.Points)-1] + 1
}

// scores returns the points for the rules of runs, nil where runs mean nothing,
// and whether they are standard deviations from the centre, so that the zones of
// the rules can be read off.
//
// The scores are those the chart gives, or thirds of the way to a limit where
// both limits lie equally far from the centre, on the scale on which they were
// found. Limits that do not, or one limit alone, tell nothing about one sigma and
// two: then only the side of the centre and the order of the points count.
func (p Panel) scores(scale Scale) (z []float64, zones bool) {
	thirds, own := ownPoints[p.Name]
	switch {
	case !own:
		return nil, false
	case p.Scores != nil:
		return p.Scores, true
	case !thirds:
		return nil, false
	}
	on := func(x float64) float64 { return x }
	if scale == Logarithmic && p.positive() {
		on = math.Log
	}
	z = make([]float64, len(p.Points))
	zones = p.High != nil && p.Low != nil
	for i, x := range p.Points {
		centre := on(p.Centre[i])
		z[i] = on(x) - centre
		if !zones {
			continue
		}
		up, down := on(p.High[i])-centre, centre-on(p.Low[i])
		zones = up > 0 && math.Abs(up-down) <= 1e-6*up
	}
	if !zones {
		return z, false
	}
	for i := range z {
		z[i] /= (on(p.High[i]) - on(p.Low[i])) / 6
	}
	return z, true
}

// positive says whether every height of the panel has a logarithm.
func (p Panel) positive() bool {
	for _, line := range [][]float64{p.Points, p.Centre, p.Low, p.High} {
		for _, height := range line {
			if height <= 0 {
				return false
			}
		}
	}
	return true
}
