package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// Facts are what a chart admits about the points that its limits rest on.
type Facts struct {
	N        int
	Distinct int // How many different values.
	// Lag1 is the autocorrelation of neighbours, on the scale of the chart; it
	// is known when the values are not all equal. Beyond Lag1Limit = 2/sqrt(N)
	// either way it is more than chance among independent values, the limits are
	// then too narrow or too wide for what they claim, and Correlated says so.
	// Offers names what can be charted instead.
	Lag1, Lag1Limit float64
	Lag1Known       bool
	Correlated      bool
	Offers          []string
	// Provisional: fewer than [FewestForFirmLimits] points.
	Provisional bool
	// NoLimits: the chart draws none, for NoLimitsReason.
	NoLimits       bool
	NoLimitsReason string
	// Resolution as given; ResolutionCoarse when it is coarser than sigma,
	// Widened when the limits are half a step further out for it.
	Resolution       float64
	ResolutionCoarse bool
	Widened          bool
	// SmallCounts: the counts are too small for limits three sigma away, and
	// the exact tails of their distribution stand in.
	SmallCounts bool
}

// Why a chart draws no limits.
const (
	NoLimitsFewPoints  = "few_points"
	NoLimitsResolution = "resolution_coarse"
	NoLimitsNoSpread   = "no_spread"
)

// What to chart instead of values whose neighbours resemble each other.
const (
	OfferDailyMeans = "daily_means"           // [DailyMeans]
	OfferResiduals  = "first_order_residuals" // [FirstOrder]
)

// factsOf gathers what the values say by themselves.
func factsOf(x []float64) (Facts, error) {
	mean, err := stats.Mean(x)
	if err != nil {
		return Facts{}, err
	}
	n := len(x)
	f := Facts{N: n, Distinct: distinct(x), Lag1Limit: 2 / math.Sqrt(float64(n)), Provisional: n < FewestForFirmLimits}
	if f.Distinct > 1 {
		// The estimator of stats.Lag1: one mean, the whole sum of squares.
		var products, squares float64
		before := 0.0
		for _, v := range x {
			deviation := v - mean
			products += before * deviation
			squares += deviation * deviation
			before = deviation
		}
		if !finite(squares) || !finite(products) {
			return Facts{}, fmt.Errorf("sum of squares: %w", stats.ErrNotFinite)
		}
		// Squares of differences near 1e-160 vanish in a double.
		if f.Lag1Known = squares > 0; f.Lag1Known {
			f.Lag1 = products / squares
		}
	}
	f.Correlated = f.Lag1Known && math.Abs(f.Lag1) > f.Lag1Limit
	return f, nil
}

// admit decides whether there are limits, with the resolution and sigma in the
// same unit. The weightiest reason against them is named.
func (f *Facts) admit(resolution, sigma float64, widen bool) {
	f.Resolution, f.ResolutionCoarse = resolution, resolution > sigma
	f.Widened = widen && f.ResolutionCoarse && resolution <= 2*sigma
	switch {
	case f.N < FewestForLimits:
		f.NoLimitsReason = NoLimitsFewPoints
	case sigma == 0:
		f.NoLimitsReason = NoLimitsNoSpread
	case f.ResolutionCoarse && !f.Widened:
		f.NoLimitsReason = NoLimitsResolution
	}
	f.NoLimits = f.NoLimitsReason != ""
}

// offer names what to chart instead where neighbours resemble each other. Counts
// and several results at a time have no residuals of one value, but can be taken
// together by days.
func (f *Facts) offer(takes Family) {
	switch {
	case !f.Correlated:
	case takes == CountedThings || takes == SeveralResults || takes == VectorsInGroups:
		f.Offers = []string{OfferDailyMeans}
	default:
		f.Offers = []string{OfferDailyMeans, OfferResiduals}
	}
}

// widening is how far limits of values move out for a coarse resolution.
func (f Facts) widening() float64 {
	if f.Widened {
		return f.Resolution / 2
	}
	return 0
}

// checkResolution refuses a step that no gauge has.
func checkResolution(step float64) error {
	if !finite(step) || step < 0 {
		return wrong("resolution", ErrSetting, "%v", step)
	}
	return nil
}

// distinct counts different values by their bits, in a table of open places: a
// sort would take most of the time of a long chart. 0 and -0 are one value.
func distinct(x []float64) int {
	size := 16
	for size < 2*len(x) {
		size *= 2
	}
	var places []uint64
	count := 0
	// A coarse gauge gives few values: start small, grow when half is taken.
	grow := func(to int) {
		old := places
		places = make([]uint64, to)
		for _, bits := range old {
			if bits != 0 {
				places[free(places, bits)] = bits
			}
		}
	}
	grow(min(size, 1024))
	zero := false
	for _, v := range x {
		bits := math.Float64bits(v)
		if v == 0 {
			zero = true
			continue
		}
		at := free(places, bits)
		if places[at] == bits {
			continue
		}
		places[at] = bits
		if count++; 2*count > len(places) {
			to := 4 * len(places)
			if to > 1<<14 { // No coarse gauge after all.
				to = size
			}
			grow(min(to, size))
		}
	}
	if zero {
		count++
	}
	return count
}

// free returns the place of bits in the table, taken by them or open.
func free(places []uint64, bits uint64) int {
	mask := len(places) - 1
	at := int((bits*0x9e3779b97f4a7c15)>>32) & mask
	for places[at] != 0 && places[at] != bits {
		at = (at + 1) & mask
	}
	return at
}
