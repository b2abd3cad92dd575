package spc

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// ErrNegative: a value below 0 on a chart of square roots.
var ErrNegative = errors.New("below 0")

// The chart "individuals_root": single values that are amounts from 0 upward and
// are often close to it, such as the distance from a target or the spread of a
// few readings. Centre and limits are found on square roots and turned back,
// since the root brings such amounts, which are distances folded at 0 or go as
// the root of a chi-square, near to symmetry, and unlike a logarithm it takes 0
// for what it is (power transformations before charting: Montgomery,
// Introduction to Statistical Quality Control, section on charts for individual
// measurements).
//
//	centre = (mean root)^2, limits = (mean root -+ 3 sigma)^2, sigma = mean |root[i] - root[i-1]| / d2(2)
//
// A low limit on the scale of roots that is below 0 is none. There is one strip:
// the difference of two roots has no unit that anybody reads.
func individualsRootLimits(data Data) (Limits, error) {
	roots, err := roots(data.Values)
	if err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(roots, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	if err := checkResolution(data.Resolution); err != nil {
		return Limits{}, err
	}
	l.Scale, l.ScaleReason = SquareRoot, ScaleFromZero
	// Near the centre c a step on the scale of roots is 2 c times that in the
	// unit of the values.
	l.Facts.admit(data.Resolution, 2*math.Abs(l.Centre)*l.Sigma, data.Widen)
	return l, nil
}

func individualsRootPanels(data Data, l Limits) ([]Panel, error) {
	roots, err := roots(data.Values)
	if err != nil {
		return nil, err
	}
	return []Panel{rootPanel(roots, PanelValues, l)}, nil
}

// The chart "short_run_root": such amounts of several products, each over the
// baseline median of its product, on a scale of square roots, as on the chart
// "short_run_ratio":
//
//	y[i] = sqrt(x[i] / median of its group)
func rootRatioLimits(data ShortRun) (Limits, error) {
	if err := data.check(); err != nil {
		return Limits{}, err
	}
	groups, err := data.centres()
	if err != nil {
		return Limits{}, err
	}
	roots, err := data.each(groups, rootRatio)
	if err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(roots, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	l.Scale, l.ScaleReason, l.Groups = SquareRoot, ScaleFromZero, groups
	smallest := math.Inf(1)
	for _, g := range groups {
		smallest = min(smallest, g.Centre)
	}
	l.Facts.admit(data.Resolution, 2*smallest*math.Abs(l.Centre)*l.Sigma, false)
	return l, nil
}

func rootRatio(x float64, g Group) (float64, error) {
	switch {
	case g.Centre <= 0:
		return 0, fmt.Errorf("over a centre of %v: %w", g.Centre, ErrNotPositive)
	case x < 0:
		return 0, fmt.Errorf("%v: %w", x, ErrNegative)
	}
	return math.Sqrt(x / g.Centre), nil
}

func rootRatioPanels(data ShortRun, l Limits) ([]Panel, error) {
	roots, err := data.each(l.Groups, rootRatio)
	if err != nil {
		return nil, err
	}
	return []Panel{rootPanel(roots, PanelRatios, l)}, nil
}

// rootPanel draws roots turned back.
func rootPanel(roots []float64, name string, l Limits) Panel {
	p := strip(name, squared(roots), l.Centre*l.Centre)
	if l.Facts.NoLimits {
		return p
	}
	more := l.Facts.widening()
	low, high := l.Centre-3*l.Sigma, l.Centre+3*l.Sigma
	lowest := 0.0
	if low > 0 {
		lowest = low*low - more
	}
	p = p.spreadLimits(lowest, high*high+more)
	// Thirds of the way to a limit are no sigmas on this scale.
	p.Scores = make([]float64, len(roots))
	for i, r := range roots {
		p.Scores[i] = (r - l.Centre) / l.Sigma
	}
	return p
}

// roots returns square roots, or [ErrNegative] naming the first value that has
// none.
func roots(x []float64) ([]float64, error) {
	if err := stats.Check(x, 1); err != nil {
		return nil, at("values", err)
	}
	out := make([]float64, len(x))
	for i, value := range x {
		if value < 0 {
			return nil, at(element("values", i), fmt.Errorf("%v: %w", value, ErrNegative))
		}
		out[i] = math.Sqrt(value)
	}
	return out, nil
}

func squared(roots []float64) []float64 {
	out := make([]float64, len(roots))
	for i, r := range roots {
		out[i] = r * r
	}
	return out
}
