package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// EWMALines are a smoothed mean and its limits.
type EWMALines struct {
	Z         []float64
	Low, High []float64 // Exact: they open up with the number of points.
	// SteadyLow and SteadyHigh are where they end.
	SteadyLow, SteadyHigh float64
	// FirstExact and FirstSteady are the first points beyond the one and the
	// other, -1 when there is none.
	FirstExact, FirstSteady int
}

// The usual EWMA: a weight of 0.2 for the newest value, limits three sigmas away.
const (
	UsualWeight = 0.2
	UsualWidth  = 3.0
)

// EWMA smooths values x exponentially (Roberts, Technometrics 1, 1959;
// NIST/SEMATECH e-Handbook, 6.3.2.4):
//
//	z[i] = weight x[i] + (1 - weight) z[i-1], z before the first point = target
//	limits target -+ width sigma sqrt( weight/(2 - weight) (1 - (1-weight)^(2 i)) )
//
// for point i from 1. Weight above 0 and at most 1, width and sigma above 0.
func EWMA(x []float64, target, sigma, weight, width float64) (EWMALines, error) {
	if err := stats.Check(x, 1); err != nil {
		return EWMALines{}, at("values", err)
	}
	switch {
	case !finite(target):
		return EWMALines{}, wrong("target", ErrSetting, "%v", target)
	case !finite(sigma) || sigma <= 0:
		return EWMALines{}, wrong("sigma", ErrSetting, "%v is not above 0", sigma)
	case !(weight > 0 && weight <= 1):
		return EWMALines{}, wrong("weight", ErrSetting, "%v is not above 0 and at most 1", weight)
	case !finite(width) || width <= 0:
		return EWMALines{}, wrong("width", ErrSetting, "%v is not above 0", width)
	}
	n := len(x)
	l := EWMALines{Z: make([]float64, n), Low: make([]float64, n), High: make([]float64, n)}
	steady := width * sigma * math.Sqrt(weight/(2-weight))
	l.SteadyLow, l.SteadyHigh = target-steady, target+steady
	z, rest := target, 1.0
	for i, value := range x {
		z = weight*value + (1-weight)*z
		rest *= (1 - weight) * (1 - weight)
		away := steady * math.Sqrt(1-rest)
		l.Z[i], l.Low[i], l.High[i] = z, target-away, target+away
	}
	if err := stats.Check(append(l.Z[:n:n], l.SteadyLow, l.SteadyHigh), n); err != nil {
		return EWMALines{}, at("values", err)
	}
	l.FirstExact = first(Beyond(l.Z, l.Low, l.High))
	l.FirstSteady = first(Beyond(l.Z, level(l.SteadyLow, n), level(l.SteadyHigh, n)))
	return l, nil
}

// first returns the first of some places, -1 where there is none.
func first(places []int) int {
	if len(places) == 0 {
		return -1
	}
	return places[0]
}

// The chart "ewma": centre and sigma as on the chart of individual values unless
// the settings give them.
func ewmaLimits(data Data) (Limits, error) {
	l, err := memoryLimits(data)
	l.Settings.Weight = usual(data.Settings.Weight, UsualWeight)
	l.Settings.Width = usual(data.Settings.Width, UsualWidth)
	return l, err
}

func ewmaPanels(data Data, l Limits) ([]Panel, error) {
	if err := stats.Check(data.Values, 1); err != nil {
		return nil, at("values", err)
	}
	sigma := l.Sigma
	if sigma == 0 { // Then there are no limits to draw.
		sigma = 1
	}
	lines, err := EWMA(data.Values, l.Centre, sigma, l.Settings.Weight, l.Settings.Width)
	if err != nil {
		return nil, err
	}
	p := strip(PanelSmoothed, lines.Z, l.Centre)
	if !l.Facts.NoLimits {
		p.Low, p.High = lines.Low, lines.High
	}
	return []Panel{p}, nil
}

// memoryLimits finds centre and sigma for charts that smooth or add up.
func memoryLimits(data Data) (Limits, error) {
	if err := stats.Check(data.Values, 2); err != nil {
		return Limits{}, at("values", err)
	}
	if err := checkResolution(data.Resolution); err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(data.Values, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	target, sigma := data.Settings.Target, data.Settings.Sigma
	if target != nil {
		if !finite(*target) {
			return Limits{}, wrong("target", ErrSetting, "%v", *target)
		}
		l.Centre = *target
	}
	if sigma != nil {
		if !finite(*sigma) || *sigma <= 0 {
			return Limits{}, wrong("sigma", ErrSetting, "%v is not above 0", *sigma)
		}
		l.Sigma, l.SigmaEstimator = *sigma, Given
	}
	l.Facts.admit(data.Resolution, l.Sigma, false)
	if target != nil && sigma != nil && l.Facts.NoLimitsReason == NoLimitsFewPoints {
		// Nothing was found from the points, so their number does not matter.
		l.Facts.NoLimits, l.Facts.NoLimitsReason = false, ""
	}
	return l, nil
}

// usual takes the usual value for a setting left at 0.
func usual(setting, value float64) float64 {
	if setting == 0 {
		return value
	}
	return setting
}
