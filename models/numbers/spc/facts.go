package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// Facts are what a chart admits about itself.
type Facts struct {
	N        int
	Distinct int // How many different values.
	// Lag1 is the autocorrelation of neighbours, on the scale of the chart; it
	// is known when the values are not all equal. Beyond Lag1Limit = 2/sqrt(N)
	// either way it is more than chance among independent values, the limits are
	// then too narrow or too wide for what they claim, and Correlated says so.
	Lag1, Lag1Limit float64
	Lag1Known       bool
	Correlated      bool
	// Provisional: fewer than [FewestForFirmLimits] points.
	Provisional bool
	// NoLimits: the chart draws none, for NoLimitsReason.
	NoLimits       bool
	NoLimitsReason string
	// Resolution as given; ResolutionCoarse when it is coarser than sigma.
	Resolution       float64
	ResolutionCoarse bool
}

// Why a chart draws no limits.
const (
	NoLimitsFewPoints  = "few_points"
	NoLimitsResolution = "resolution_coarse"
	NoLimitsNoSpread   = "no_spread"
)

// factsOf gathers what the values say by themselves.
func factsOf(x []float64) (Facts, error) {
	summary, err := stats.Summarise(x)
	if err != nil {
		return Facts{}, err
	}
	f := Facts{
		N: summary.N, Distinct: summary.Distinct,
		Lag1: summary.Lag1, Lag1Known: summary.Lag1Known, Lag1Limit: 2 / math.Sqrt(float64(summary.N)),
		Provisional: summary.N < FewestForFirmLimits,
	}
	f.Correlated = f.Lag1Known && math.Abs(f.Lag1) > f.Lag1Limit
	return f, nil
}

// admit decides whether there are limits, with the resolution and sigma in the
// same unit. The weightiest reason against them is named.
func (f *Facts) admit(resolution, sigma float64) {
	f.Resolution, f.ResolutionCoarse = resolution, resolution > sigma
	switch {
	case f.N < FewestForLimits:
		f.NoLimitsReason = NoLimitsFewPoints
	case sigma == 0:
		f.NoLimitsReason = NoLimitsNoSpread
	case f.ResolutionCoarse:
		f.NoLimitsReason = NoLimitsResolution
	}
	f.NoLimits = f.NoLimitsReason != ""
}
