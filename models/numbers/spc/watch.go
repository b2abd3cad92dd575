package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// SmoothedMean is the code of the rule that the smoothed mean lies beyond its
// limit.
const SmoothedMean = "smoothed_mean"

// Watch looks at a process by two statistics at a time: each point for itself,
// which sees a large change at once, and an exponentially weighted mean, which
// sees a small one that lasts. Both have limits for one wanted distance of false
// alarms, found for a process whose centre and sigma are known.
type Watch struct {
	Weight float64 // of the newest value in the smoothed mean
	// Point and Smoothed are how many standard deviations of the one and the other
	// the limits lie from a centre that is known.
	Point, Smoothed float64
	// Clip takes no point for more than so many sigma from the centre, and lets no
	// point signal by itself: for processes in which a few points far off on one
	// side are the ordinary thing. 0 takes them as they are.
	Clip float64
}

// WatchFor returns the watch of which each statistic gives a false alarm once in
// so many points. The errors are those of [RulesFor] and [EWMAFor].
func WatchFor(weight, wanted float64) (Watch, error) {
	point, err := RulesFor([]string{BeyondLimit}, wanted)
	if err != nil {
		return Watch{}, err
	}
	smoothed, err := EWMAFor(weight, wanted)
	if err != nil {
		return Watch{}, err
	}
	return Watch{Weight: weight, Point: point.Width, Smoothed: smoothed.Limit}, nil
}

// MovingRangeFreedom is how many degrees of freedom a sigma from n-1 moving
// ranges of n independent normal values is worth: 1/(2 var), var being the
// variance of sigma found so in units of sigma squared,
//
//	var = ( (pi/2 - 1) m + 2 (sqrt(3)/2 + pi/12 - 1) (m-1) ) / m^2,  m = n-1
//
// since neighbouring ranges share a value (Cryer and Ryan, Journal of Quality
// Technology 22, 1990, who print 0.8265 n - 1.082 over (n-1)^2). For long series
// it is 0.605 n.
func MovingRangeFreedom(n int) float64 {
	if n < 2 {
		return 0
	}
	m := float64(n - 1)
	own, shared := math.Pi/2-1, 2*(math.Sqrt(3)/2+math.Pi/12-1)
	return m * m / (2 * (own*m + shared*(m-1)))
}

// Judge draws points against limits from a baseline, and allows for the baseline
// being an estimate from n points. A limit of a point is that of a prediction
// interval for one more value,
//
//	centre -+ t sigma sqrt(1 + 1/n),  t = quantile of Student's t with [MovingRangeFreedom]
//	degrees of freedom at the chance of Point,
//
// (Hahn, Journal of Quality Technology 1, 1969), and a limit of the smoothed mean
// that of what it would be about a mean of n values,
//
//	centre -+ t sigma sqrt( weight/(2-weight) + sum over products of share^2/n ),
//
// where share is what a product has in the smoothed mean at that point: 1, where
// there is one product. A median of n values counts as a mean of 2n/pi
// ([Definition.CentreByMeans] gives products means). Into the smoothed mean no
// point goes with more than its own limit: one wild value is a signal by itself,
// and no drift. That the
// false alarms stay within what was wanted even so is shown by simulation in the
// tests.
//
// The chart has two panels, the points and the smoothed mean, both in the unit
// that the chart of these limits has. A point beyond its limit is one signal. So
// is a smoothed mean beyond its limit, from the point where it crosses (Index) to
// the last before it comes back over the centre (Last); First is the point with
// which it left the centre, the best estimate of when the change came (Nishina,
// Journal of Quality Technology 24, 1992).
func (w Watch) Judge(l Limits, data Input) (Chart, error) {
	y, err := l.scores(data)
	if err != nil {
		return Chart{}, fmt.Errorf("watch %s: %w", l.Kind, err)
	}
	c := Chart{Kind: l.Kind, Scale: l.Scale, ScaleReason: l.ScaleReason, Sigma: l.Sigma, SigmaEstimator: l.SigmaEstimator, Facts: l.Facts}
	n := len(y.values)
	points := Panel{Name: y.panel, Points: make([]float64, n), Centre: make([]float64, n), Scores: make([]float64, n)}
	smooth := Panel{Name: PanelSmoothed, Points: make([]float64, n), Centre: make([]float64, n), Scores: make([]float64, n)}
	limited := !l.Facts.NoLimits
	if limited {
		points.Low, points.High = make([]float64, n), make([]float64, n)
		smooth.Low, smooth.High = make([]float64, n), make([]float64, n)
	}
	// One pair of quantiles for each number of degrees of freedom.
	quantiles := map[float64][2]float64{}
	steady, z, shares := w.Weight/(2-w.Weight), l.Centre, map[string]float64{}
	for i, value := range y.values {
		group := y.groups(i)
		if len(shares) == 0 {
			shares[group] = 1
		} else {
			for name := range shares {
				shares[name] *= 1 - w.Weight
			}
			shares[group] += w.Weight
		}
		points.Points[i], points.Centre[i] = y.turned(value), y.turned(l.Centre)
		if !limited {
			z = w.Weight*value + (1-w.Weight)*z
			smooth.Points[i], smooth.Centre[i] = y.turned(z), y.turned(l.Centre)
			continue
		}
		single, mean := l.unsure(group), 0.0
		for name, share := range shares {
			mean += share * share * l.unsure(name).variance
		}
		far, known := quantiles[single.freedom]
		if !known {
			if far[0], err = w.far(w.Point, single.freedom); err != nil {
				return Chart{}, err
			}
			if far[1], err = w.far(w.Smoothed, single.freedom); err != nil {
				return Chart{}, err
			}
			quantiles[single.freedom] = far
		}
		away := far[0] * l.Sigma * math.Sqrt(1+single.variance)
		reach := away
		if w.Clip > 0 {
			reach = w.Clip * l.Sigma
		}
		z = w.Weight*min(max(value, l.Centre-reach), l.Centre+reach) + (1-w.Weight)*z
		smooth.Points[i], smooth.Centre[i] = y.turned(z), y.turned(l.Centre)
		more := l.Facts.widening()
		points.Low[i], points.High[i] = y.turned(l.Centre-away)-more, y.turned(l.Centre+away)+more
		points.Scores[i] = (value - l.Centre) / l.Sigma
		away = far[1] * l.Sigma * math.Sqrt(steady+mean)
		smooth.Low[i], smooth.High[i] = y.turned(l.Centre-away), y.turned(l.Centre+away)
		smooth.Scores[i] = (z - l.Centre) / away
	}
	c.Panels = []Panel{points, smooth}
	for _, p := range c.Panels {
		for _, line := range [][]float64{p.Points, p.Centre, p.Low, p.High} {
			if !allFinite(line) {
				return Chart{}, fmt.Errorf("watch %s, %s: %w", l.Kind, p.Name, stats.ErrNotFinite)
			}
		}
	}
	if limited {
		if w.Clip == 0 {
			c.Panels[0].Signals = beyondLimit(points)
		}
		c.Panels[1].Signals = excursions(smooth)
	}
	return c, nil
}

// unsureness is how well a centre is known: its variance in units of sigma
// squared, and the degrees of freedom of sigma.
type unsureness struct{ variance, freedom float64 }

func (l Limits) unsure(group string) unsureness {
	u := unsureness{1 / float64(max(l.Facts.N, 1)), MovingRangeFreedom(l.Facts.N)}
	if g, ok := l.Groups[group]; ok && g.N > 0 {
		if g.Sigma > 0 { // Centre and sigma of its own.
			return unsureness{1 / float64(g.N), MovingRangeFreedom(g.N)}
		}
		u.variance = 1 / float64(g.N)
		if !g.Mean {
			u.variance *= math.Pi / 2
		}
	}
	return u
}

// CentreByMeans returns limits of a chart of ratios whose products are centred by
// the mean of their baseline on the scale of the chart, which is known better than
// the median by a half (its variance is sigma^2/n, that of a median pi/2 times as
// much). The data are those that the limits were frozen from. Sigma stays; the
// centre becomes that of the values so centred.
func (d Definition) CentreByMeans(l Limits, data ShortRun) (Limits, error) {
	if d.Kind != "short_run_ratio" && d.Kind != "short_run_root" {
		return l, nil
	}
	byGroup, err := data.byGroup()
	if err != nil {
		return Limits{}, err
	}
	data.Nominals = map[string]float64{}
	groups := map[string]Group{}
	for name := range l.Groups {
		on, back := math.Log, math.Exp
		if d.Kind == "short_run_root" {
			on, back = math.Sqrt, func(y float64) float64 { return y * y }
		}
		scaled := make([]float64, len(byGroup[name]))
		for i, x := range byGroup[name] {
			scaled[i] = on(x)
		}
		mean, err := stats.Mean(scaled)
		if err != nil {
			return Limits{}, at("values", err)
		}
		data.Nominals[name] = back(mean)
		groups[name] = Group{Centre: back(mean), N: len(scaled), Mean: true}
	}
	centred, err := d.Freeze(data)
	if err != nil {
		return Limits{}, err
	}
	centred.Groups = groups
	return centred, nil
}

// far is the quantile of Student's t that has as much beyond it as a normal
// quantile.
func (w Watch) far(width, freedom float64) (float64, error) {
	t, err := stats.TQuantile(stats.NormalAbove(width), freedom)
	return -t, err
}

// excursions are the stretches in which a smoothed mean is out, each a signal.
func excursions(p Panel) []Signal {
	var signals []Signal
	var out *Signal
	left := 0 // since when it is on this side of the centre
	for i, score := range p.Scores {
		if i > 0 && (score > 0) != (p.Scores[i-1] > 0) {
			left, out = i, nil
		}
		side := SideLow
		if score > 0 {
			side = SideHigh
		}
		if out == nil && math.Abs(score) > 1 {
			s := p.signal(SmoothedMean, i, side)
			s.First = left
			signals = append(signals, s)
			out = &signals[len(signals)-1]
		}
		if out != nil {
			out.Last = i
		}
	}
	return signals
}

// scored are values on the scale of their chart, and how they are turned back.
type scored struct {
	panel  string
	values []float64
	names  []string // of the groups, nil where there is one
	turned func(float64) float64
}

func (s scored) groups(i int) string {
	if s.names == nil {
		return ""
	}
	return s.names[i]
}

// ErrNotWatched: a chart whose points are no single values on one scale.
var ErrNotWatched = fmt.Errorf("chart without a smoothed mean: %w", ErrKind)

// scores brings values to the scale of their chart.
func (l Limits) scores(data Input) (scored, error) {
	if err := l.usable(l.Kind); err != nil {
		return scored{}, err
	}
	asIs := func(y float64) float64 { return y }
	squared := func(y float64) float64 { return max(y, 0) * max(y, 0) }
	switch d := data.(type) {
	case Data:
		if err := stats.Check(d.Values, 1); err != nil {
			return scored{}, at("values", err)
		}
		switch l.Scale {
		case Logarithmic:
			logs, err := logarithms(d.Values)
			return scored{PanelValues, logs, nil, math.Exp}, err
		case SquareRoot:
			roots, err := roots(d.Values)
			return scored{PanelValues, roots, nil, squared}, err
		}
		return scored{PanelValues, d.Values, nil, asIs}, nil
	case ShortRun:
		switch l.Kind {
		case "short_run_ratio":
			y, err := d.each(l.Groups, logRatio)
			return scored{PanelRatios, y, d.Groups, math.Exp}, err
		case "short_run_root":
			y, err := d.each(l.Groups, rootRatio)
			return scored{PanelRatios, y, d.Groups, squared}, err
		case "short_run_deviation":
			y, err := d.each(l.Groups, deviation)
			return scored{PanelDeviations, y, d.Groups, asIs}, err
		case "short_run_standardised":
			y, err := d.each(l.Groups, standardised)
			return scored{PanelStandardised, y, d.Groups, asIs}, err
		}
	case Items:
		if err := d.check(); err != nil {
			return scored{}, err
		}
		means, err := each(d.Readings, stats.Mean)
		return scored{PanelItemMeans, means, nil, asIs}, err
	}
	return scored{}, fmt.Errorf("%s: %w", l.Kind, ErrNotWatched)
}
