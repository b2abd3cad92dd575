package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// Counts have no spread of their own to estimate: the binomial or the Poisson
// distribution gives it from the mean. Limits three sigma away suit counts whose
// distribution is near symmetric. Where such a limit would reach to 0 or below,
// or to all items and beyond, it is not, and the false alarms are no longer those
// that three sigma promise. There the chart takes the tails of the distribution
// itself, [Limits.Exact]:
//
//	high: the least count c with P(X > c) <= 1 - Phi(3) = 0.00135
//	low:  the greatest count c with P(X < c) <= 1 - Phi(3)
//
// A count on its limit is inside. The share of false alarms is then at most
// 0.0027, and usually less, since counts go in steps.

// exactTail is 1 - Phi(3), the tail beyond three sigma of the normal
// distribution.
var exactTail = stats.NormalAbove(3)

// CountLimits are the lines of a chart of counted things, one height a point.
type CountLimits struct {
	// Total is all counts over all they were counted in: a proportion, a rate, or
	// the mean count.
	Total  float64
	Points []float64 // Proportions, rates or counts.
	Z      []float64 // Points in sigmas from the centre, none where sigma is 0.
	// Low and High lie three sigma away, within what is possible; ExactLow and
	// ExactHigh by the tails of the distribution.
	Low, High           []float64
	ExactLow, ExactHigh []float64
	// Small: a limit three sigma away reaches to what is impossible, at one
	// point at least.
	Small bool
}

// counted is what the charts of counts differ in.
type counted struct {
	name  string // Of the sizes, for errors.
	panel string
	// binomial: each thing counts once at most. Otherwise any number of times.
	binomial bool
	// number: points are counts, not counts over sizes.
	number bool
}

var (
	ofProportions   = counted{name: "n", panel: PanelProportions, binomial: true}
	ofNonconforming = counted{name: "n", panel: PanelCounts, binomial: true, number: true}
	ofCounts        = counted{name: "units", panel: PanelCounts, number: true}
	ofRates         = counted{name: "units", panel: PanelRates}
)

// check refuses counts and sizes that cannot be, and returns the sizes.
func (c counted) check(d Counts) ([]float64, error) {
	if len(d.Counts) == 0 {
		return nil, at("counts", fmt.Errorf("none: %w", stats.ErrTooFew))
	}
	sizes := d.Of
	switch {
	case c.number && !c.binomial && d.Of != nil:
		return nil, wrong(c.name, ErrSizesDiffer, "a chart of counts is for one and the same unit, the chart of rates takes sizes")
	case c.number && !c.binomial:
		sizes = level(1, len(d.Counts))
	case len(d.Of) != len(d.Counts):
		return nil, wrong(c.name, ErrSizesDiffer, "%d sizes of %d counts", len(d.Of), len(d.Counts))
	}
	for i, k := range d.Counts {
		size := sizes[i]
		switch {
		case k < 0:
			return nil, wrong(element("counts", i), ErrCount, "%d is negative", k)
		case k > stats.MaxDegrees:
			return nil, wrong(element("counts", i), ErrCount, "%d is beyond 1e10", k)
		case !finite(size) || size <= 0 || size > stats.MaxDegrees:
			return nil, wrong(element(c.name, i), ErrCount, "%v is not above 0 and below 1e10", size)
		case c.binomial && size != math.Trunc(size):
			return nil, wrong(element(c.name, i), ErrCount, "%v is not a whole number", size)
		case c.binomial && float64(k) > size:
			return nil, wrong(element("counts", i), ErrCount, "%d of %v", k, size)
		case c.number && size != sizes[0]:
			return nil, wrong(element(c.name, i), ErrSizesDiffer, "%v after %v", size, sizes[0])
		}
	}
	return sizes, nil
}

// centre is all counts over all sizes.
func centreOf(counts []int, sizes []float64) float64 {
	values := make([]float64, len(counts))
	for i, k := range counts {
		values[i] = float64(k)
	}
	return stats.Sum(values) / stats.Sum(sizes)
}

// unitSigma is the spread of one item or unit.
func (c counted) unitSigma(centre float64) float64 {
	if c.binomial {
		return math.Sqrt(max(0, centre*(1-centre)))
	}
	return math.Sqrt(max(0, centre))
}

// lines draws every line for counts that are checked, around a centre: the
// share of items or the mean count on one unit.
func (c counted) lines(counts []int, sizes []float64, centre float64) CountLimits {
	n := len(counts)
	l := CountLimits{Total: centre, Points: make([]float64, n), Low: make([]float64, n), High: make([]float64, n)}
	sigma := c.unitSigma(centre)
	if sigma > 0 {
		l.Z = make([]float64, n)
	}
	for i, k := range counts {
		size := sizes[i]
		scale := size // From counts to points.
		if c.number {
			scale = 1
		}
		mean, spread := centre*size, sigma*math.Sqrt(size)
		low, high := mean-3*spread, mean+3*spread
		l.Small = l.Small || low <= 0 || c.binomial && high >= size
		low = max(0, low)
		if c.binomial {
			high = min(size, high)
		}
		l.Points[i], l.Low[i], l.High[i] = float64(k)/scale, low/scale, high/scale
		if sigma > 0 {
			l.Z[i] = (float64(k) - mean) / spread
		}
	}
	if c.number { // The centre of counts is a count.
		l.Total = centre * sizes[0]
	}
	return l
}

// exact adds the limits by the tails of the distribution.
func (c counted) exact(l *CountLimits, sizes []float64, centre float64) error {
	l.ExactLow, l.ExactHigh = make([]float64, len(sizes)), make([]float64, len(sizes))
	known := map[float64][2]float64{}
	for i, size := range sizes {
		tails, ok := known[size]
		if !ok {
			low, high, err := c.tails(size, centre)
			if err != nil {
				return at(element(c.name, i), err)
			}
			tails = [2]float64{low, high}
			known[size] = tails
		}
		scale := size
		if c.number {
			scale = 1
		}
		l.ExactLow[i], l.ExactHigh[i] = tails[0]/scale, tails[1]/scale
	}
	return nil
}

// tails returns the least and the greatest count that are inside.
func (c counted) tails(size, centre float64) (low, high float64, err error) {
	mean := centre * size
	above := func(k float64) (float64, error) { return stats.PoissonAbove(k, mean) }
	below := func(k float64) (float64, error) { return stats.PoissonBelow(k, mean) }
	if c.binomial {
		above = func(k float64) (float64, error) { return stats.BinomialAbove(k, size, centre) }
		below = func(k float64) (float64, error) { return stats.BinomialBelow(k, size, centre) }
	}
	// Both lie well within six sigmas and a few counts of the mean: beyond, less
	// than 1e-5 is left on either side.
	away := 6*c.unitSigma(centre)*math.Sqrt(size) + 12
	least, most := max(0, math.Floor(mean-away)), math.Ceil(mean+away)
	if c.binomial {
		most = min(size, most)
	}
	high, err = firstCount(least, most, func(k float64) (bool, error) {
		p, err := above(k)
		return p <= exactTail, err
	})
	if err != nil {
		return 0, 0, err
	}
	// The first count with more than the tail at or below it is the greatest
	// with no more than the tail below it.
	low, err = firstCount(least, most, func(k float64) (bool, error) {
		p, err := below(k)
		return p > exactTail, err
	})
	return low, high, err
}

// firstCount returns the least whole number from low to high at which a
// condition holds that stays once it holds; it holds at high.
func firstCount(low, high float64, holds func(float64) (bool, error)) (float64, error) {
	for low < high {
		middle := math.Floor((low + high) / 2)
		yes, err := holds(middle)
		if err != nil {
			return 0, err
		}
		if yes {
			high = middle
		} else {
			low = middle + 1
		}
	}
	return low, nil
}

// limits finds the centre and decides between the two kinds of limits.
func (c counted) limits(d Counts) (Limits, error) {
	sizes, err := c.check(d)
	if err != nil {
		return Limits{}, err
	}
	kept, left, err := d.Baseline.choose(len(d.Counts))
	if err != nil {
		return Limits{}, err
	}
	if left == 0 {
		return Limits{}, wrong("baseline", ErrBaseline, "no count is left")
	}
	counts, sizes := chosen(d.Counts, kept), chosen(sizes, kept)
	centre := centreOf(counts, sizes)
	lines := c.lines(counts, sizes, centre)
	l := Limits{Centre: centre, Sigma: c.unitSigma(centre), SigmaEstimator: PoissonSpread, Exact: lines.Small}
	if c.number && c.binomial {
		l.Size = int(sizes[0])
	}
	points := lines.Z
	if points == nil {
		points = lines.Points
	}
	if l.Facts, err = factsOf(points); err != nil {
		return Limits{}, at("counts", err)
	}
	l.Facts.SmallCounts = lines.Small
	l.Facts.admit(0, l.Sigma, false)
	switch {
	case c.binomial && l.Exact:
		l.SigmaEstimator = BinomialTails
	case c.binomial:
		l.SigmaEstimator = BinomialSpread
	case l.Exact:
		l.SigmaEstimator = PoissonTails
	}
	return l, nil
}

// panels draws one strip.
func (c counted) panels(d Counts, l Limits) ([]Panel, error) {
	sizes, err := c.check(d)
	if err != nil {
		return nil, err
	}
	if l.Centre < 0 || c.binomial && l.Centre > 1 {
		return nil, wrong("limits", ErrLimits, "centre %v", l.Centre)
	}
	if l.Size > 0 && sizes[0] != float64(l.Size) {
		return nil, wrong(element(c.name, 0), ErrSizesDiffer, "%v where the limits are for %d", sizes[0], l.Size)
	}
	lines := c.lines(d.Counts, sizes, l.Centre)
	p := strip(c.panel, lines.Points, lines.Total)
	if l.Facts.NoLimits {
		return []Panel{p}, nil
	}
	p.Low, p.High, p.Scores = lines.Low, lines.High, lines.Z
	// What the baseline was too large for, later points may be too small for.
	if l.Exact || lines.Small {
		if err := c.exact(&lines, sizes, l.Centre); err != nil {
			return nil, err
		}
		p.exact = true
		// Small counts have no sigmas to count in.
		p.Low, p.High, p.Scores = lines.ExactLow, lines.ExactHigh, nil
	}
	if !someAbove(p.Low, 0) {
		p.Low = nil
	}
	return []Panel{p}, nil
}

// of computes the bare lines around the mean of all counts.
func (c counted) of(counts []int, sizes []float64) (CountLimits, error) {
	sizes, err := c.check(Counts{Counts: counts, Of: sizes})
	if err != nil {
		return CountLimits{}, err
	}
	centre := centreOf(counts, sizes)
	l := c.lines(counts, sizes, centre)
	return l, c.exact(&l, sizes, centre)
}

func someAbove(line []float64, height float64) bool {
	for _, y := range line {
		if y > height {
			return true
		}
	}
	return false
}
