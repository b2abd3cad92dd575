package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// OverdispersedLimits are the lines of a chart of proportions or rates that
// scatter more, or less, than their distribution says.
type OverdispersedLimits struct {
	Centre float64
	Points []float64
	// Z are the points in the sigmas of their distribution; SigmaZ = mean moving
	// range of Z / d2(2) is by how much they scatter more.
	Z              []float64
	MeanMR, SigmaZ float64
	Low, High      []float64
	UnadjustedHigh []float64 // Without SigmaZ.
}

// With very large samples the binomial and Poisson sigmas shrink to nothing,
// while the process keeps some movement of its own, and every other point would
// lie outside. The charts "overdispersed_p" and "overdispersed_u" therefore take
// the spread from how much neighbours differ, in the sigmas of the distribution
// (Laney, Quality Engineering 14, 2002):
//
//	z[i] = (x[i] - centre)/sigma[i], sigma_z = mean |z[i] - z[i-1]| / d2(2),
//	limits centre -+ 3 sigma[i] sigma_z, within what is possible.
//
// Below 1 sigma_z draws the limits in; a value far below 1 says that the counts
// are not counts of independent things.

// OverdispersedProportions computes the lines for shares of n items.
func OverdispersedProportions(counts []int, n []float64) (OverdispersedLimits, error) {
	return ofProportions.overdispersed(counts, n)
}

// OverdispersedRates computes the lines for counts on so many units.
func OverdispersedRates(counts []int, units []float64) (OverdispersedLimits, error) {
	return ofRates.overdispersed(counts, units)
}

func (c counted) overdispersed(counts []int, sizes []float64) (OverdispersedLimits, error) {
	sizes, err := c.check(Counts{Counts: counts, Of: sizes})
	if err != nil {
		return OverdispersedLimits{}, err
	}
	plain := c.lines(counts, sizes, centreOf(counts, sizes))
	if plain.Z == nil {
		return OverdispersedLimits{}, at("counts", stats.ErrNoSpread)
	}
	meanMR, sigmaZ, err := dispersion(plain.Z, nil)
	if err != nil {
		return OverdispersedLimits{}, err
	}
	l := OverdispersedLimits{Centre: plain.Total, Points: plain.Points, Z: plain.Z, MeanMR: meanMR, SigmaZ: sigmaZ}
	sigma := c.unitSigma(l.Centre)
	l.Low, l.High = c.spreadOut(sizes, l.Centre, sigma*sigmaZ)
	_, l.UnadjustedHigh = c.spreadOut(sizes, l.Centre, sigma)
	return l, nil
}

// dispersion returns the mean moving range of z and sigma_z. A range counts
// where both of its points are kept.
func dispersion(z []float64, kept []bool) (mean, sigma float64, err error) {
	var ranges []float64
	for i, r := range moving(z) {
		if kept == nil || kept[i] && kept[i+1] {
			ranges = append(ranges, r)
		}
	}
	if mean, err = stats.Mean(ranges); err != nil {
		return 0, 0, at("counts", err)
	}
	two, err := For(2)
	return mean, mean / two.D2, err
}

// spreadOut draws limits three sigmas of one item away, within what is possible.
func (c counted) spreadOut(sizes []float64, centre, sigma float64) (low, high []float64) {
	low, high = make([]float64, len(sizes)), make([]float64, len(sizes))
	for i, size := range sizes {
		away := 3 * sigma / math.Sqrt(size)
		low[i], high[i] = max(0, centre-away), centre+away
		if c.binomial {
			high[i] = min(1, high[i])
		}
	}
	return low, high
}

func (c counted) overdispersedLimits(d Counts) (Limits, error) {
	l, err := c.limits(d)
	if err != nil {
		return Limits{}, err
	}
	l.Exact, l.Facts.SmallCounts, l.Dispersion = false, false, 1
	l.SigmaEstimator = MeanMovingRange
	if l.Sigma == 0 {
		return l, nil
	}
	kept, _, err := d.Baseline.choose(len(d.Counts))
	if err != nil {
		return Limits{}, err
	}
	_, sigmaZ, err := dispersion(c.lines(d.Counts, d.Of, l.Centre).Z, kept)
	if err != nil {
		return Limits{}, err
	}
	l.Dispersion, l.Sigma = sigmaZ, l.Sigma*sigmaZ
	l.Facts.NoLimits, l.Facts.NoLimitsReason = false, ""
	l.Facts.admit(0, l.Sigma, false)
	return l, nil
}

func (c counted) overdispersedPanels(d Counts, l Limits) ([]Panel, error) {
	sizes, err := c.check(d)
	if err != nil {
		return nil, err
	}
	points := make([]float64, len(d.Counts))
	for i, k := range d.Counts {
		points[i] = float64(k) / sizes[i]
	}
	p := strip(c.panel, points, l.Centre)
	if !l.Facts.NoLimits {
		p.Low, p.High = c.spreadOut(sizes, l.Centre, l.Sigma)
		// In the sigmas of these limits, so that rules of zones hold though the
		// lower limit may be cut off.
		p.Scores = make([]float64, len(points))
		for i, x := range points {
			p.Scores[i] = (x - l.Centre) * math.Sqrt(sizes[i]) / l.Sigma
		}
		if !someAbove(p.Low, 0) {
			p.Low = nil
		}
	}
	return []Panel{p}, nil
}

// The charts "overdispersed_p" and "overdispersed_u".
func overdispersedProportionLimits(data Counts) (Limits, error) {
	return ofProportions.overdispersedLimits(data)
}

func overdispersedProportionPanels(data Counts, l Limits) ([]Panel, error) {
	return ofProportions.overdispersedPanels(data, l)
}

func overdispersedRateLimits(data Counts) (Limits, error) { return ofRates.overdispersedLimits(data) }

func overdispersedRatePanels(data Counts, l Limits) ([]Panel, error) {
	return ofRates.overdispersedPanels(data, l)
}
