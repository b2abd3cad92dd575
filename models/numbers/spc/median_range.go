package spc

import (
	"math"
	"sync"

	"tracewright/models/numbers/stats"
)

// The chart "median_range": medians and ranges of equal subgroups of items, for
// a bench where the middle value is read off and no mean is worked out
// (ISO 7870-2; ASTM MNL 7).
//
//	sigma   = mean range / d2(n)
//	centre  = mean of the medians
//	medians: centre -+ 3 sigma m(n), m(n) the standard deviation of the median
//	         of n standard normal values; 3 m(n)/d2(n) is the factor A4 (or A6)
//	         of the tables
//	ranges:  as on the chart of means and ranges
func medianRangeLimits(data Subgroups) (Limits, error) {
	f, err := data.equal()
	if err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(data.Values))
	if err != nil {
		return Limits{}, err
	}
	medians, err := each(chosen(data.Values, kept), stats.Median)
	if err != nil {
		return Limits{}, err
	}
	f.Means = medians
	l, err := data.subgroupLimits(f, f.SigmaByRange, MeanRange)
	if err != nil {
		return Limits{}, err
	}
	l.Centre, err = stats.Mean(medians)
	return l, err
}

func medianRangePanels(data Subgroups, l Limits) ([]Panel, error) {
	c, err := data.ofSize(l.Size)
	if err != nil {
		return nil, err
	}
	points, err := each(data.Values, stats.Median)
	if err != nil {
		return nil, err
	}
	medians := strip(PanelMedians, points, l.Centre)
	spread := strip(PanelRanges, ranges(data.Values), c.D2*l.Sigma)
	if !l.Facts.NoLimits {
		away := 3 * l.Sigma * medianSD(l.Size)
		medians = medians.between(l.Centre-away, l.Centre+away)
		spread = spread.spreadLimits(c.RangeLow()*l.Sigma, c.RangeHigh()*l.Sigma)
	}
	return []Panel{medians, spread}, nil
}

// medianSDs keeps what the quadrature found.
var medianSDs sync.Map // int to float64

// medianSD returns the standard deviation of the median of n standard normal
// values, 2 to [MaxSubgroup]. The density of the value that has r-1 below it is
//
//	n!/((r-1)! (n-r)!) Phi^(r-1) (1-Phi)^(n-r) phi,
//
// that of two neighbours x < y in the order
//
//	n!/((r-1)! (n-r-1)!) Phi(x)^(r-1) (1-Phi(y))^(n-r-1) phi(x) phi(y)
//
// (David and Nagaraja, Order Statistics, 2.1 and 2.2). An even number of values
// has the mean of two neighbours for its median.
func medianSD(n int) float64 {
	if known, ok := medianSDs.Load(n); ok {
		return known.(float64)
	}
	outer, inner := newLegendre(-reach, reach), newLegendre(0, reach)
	m := (n - 1) / 2 // Values on either side of the middle one or two.
	all, _ := math.Lgamma(float64(n) + 1)
	side, _ := math.Lgamma(float64(m) + 1)
	factor := math.Exp(all - 2*side)
	var square float64
	for i, x := range outer.nodes {
		low := outer.weights[i] * stats.NormalDensity(x) * math.Pow(stats.NormalBelow(x), float64(m))
		if n%2 == 1 {
			square += x * x * low * math.Pow(stats.NormalBelow(-x), float64(m))
			continue
		}
		for j, apart := range inner.nodes {
			y := x + apart
			middle := (x + y) / 2
			square += middle * middle * low * inner.weights[j] * stats.NormalDensity(y) * math.Pow(stats.NormalBelow(-y), float64(m))
		}
	}
	sd := math.Sqrt(factor * square)
	medianSDs.Store(n, sd)
	return sd
}
