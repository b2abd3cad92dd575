package spc

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// IndividualsLog draws single positive values whose spread grows with their
// size, such as a total run-out: centre and limits are found on the natural
// logarithms and turned back, so that they are unequally far from the centre
// and the low one never falls below 0 (transformation to near symmetry before
// charting: Montgomery, Introduction to Statistical Quality Control, section on
// charts for individual measurements).
//
//	centre = exp(mean of ln x), limits = exp(mean of ln x -+ 3 sigma),
//	sigma  = mean |ln x[i] - ln x[i-1]| / d2(2)
//
// The lower panel shows the moving range of the logarithms turned back, which
// is the ratio of two neighbours, the greater over the lesser.
//
// Where a value is not above 0 there is no logarithm: the chart is then drawn
// as measured, and says so in ScaleReason. Against limits frozen on logarithms
// such a value is an error, [ErrNotPositive].
func IndividualsLog(data Data) (Chart, error) { return Plot("individuals_log", data) }

func individualsLogLimits(data Data) (Limits, error) {
	logs, err := logarithms(data.Values)
	if err != nil {
		l, err := individualsLimits(data)
		l.Scale, l.ScaleReason = AsMeasured, ScaleNotPositive
		return l, err
	}
	l, err := singleLimits(logs, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	if err := checkResolution(data.Resolution); err != nil {
		return Limits{}, err
	}
	l.Scale, l.ScaleReason = Logarithmic, ScalePositiveSkewed
	// Near the centre a small step on the scale of logarithms is that share of
	// the centre, so sigma there is centre x sigma in the unit of the values.
	l.Facts.admit(data.Resolution, math.Exp(l.Centre)*l.Sigma, data.Widen)
	return l, nil
}

func individualsLogPanels(data Data, l Limits) ([]Panel, error) {
	if l.Scale == AsMeasured {
		return individualsPanels(data, l)
	}
	if err := stats.Check(data.Values, 1); err != nil {
		return nil, at("values", err)
	}
	logs, err := logarithms(data.Values)
	if err != nil {
		return nil, err
	}
	return logPanels(data.Values, logs, PanelValues, l)
}

// logPanels draws positive values and the ratios of neighbours, with limits
// turned back from logarithms.
func logPanels(x, logs []float64, name string, l Limits) ([]Panel, error) {
	two, err := For(2)
	if err != nil {
		return nil, err
	}
	values := strip(name, slices.Clone(x), math.Exp(l.Centre))
	ratios := strip(PanelMovingRatio, raised(moving(logs)), math.Exp(two.D2*l.Sigma))
	ratios.First = 1
	if !l.Facts.NoLimits {
		more := l.Facts.widening()
		low, high := math.Exp(l.Centre-3*l.Sigma), math.Exp(l.Centre+3*l.Sigma)
		values = values.between(max(0, low-more), high+more)
		// A step more or less at the low limit is the most that rounding does to
		// the ratio of two values inside the limits.
		ratios = ratios.spreadLimits(0, math.Exp(two.RangeHigh()*l.Sigma)*(1+2*more/math.Exp(l.Centre)))
	}
	return []Panel{values, ratios}, nil
}

// logarithms returns ln x, or [ErrNotPositive] naming the first value that has
// none.
func logarithms(x []float64) ([]float64, error) {
	logs := make([]float64, len(x))
	for i, value := range x {
		if value <= 0 {
			return nil, at(element("values", i), fmt.Errorf("%v: %w", value, ErrNotPositive))
		}
		logs[i] = math.Log(value)
	}
	return logs, nil
}

// raised turns logarithms back.
func raised(logs []float64) []float64 {
	out := make([]float64, len(logs))
	for i, l := range logs {
		out[i] = math.Exp(l)
	}
	return out
}
