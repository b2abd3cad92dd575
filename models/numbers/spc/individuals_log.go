package spc

import (
	"fmt"
	"math"
	"slices"
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
// as measured, and says so in ScaleReason.
func IndividualsLog(data Data) (Chart, error) {
	logs := make([]float64, len(data.Values))
	for i, value := range data.Values {
		if value <= 0 {
			chart, err := Individuals(data)
			chart.Kind, chart.ScaleReason = "individuals_log", ScaleNotPositive
			return chart, err
		}
		logs[i] = math.Log(value)
	}
	m, facts, err := individuals(logs)
	if err != nil {
		return Chart{}, fmt.Errorf("chart of individual values by logarithms: %w", err)
	}
	centre := math.Exp(m.Mean)
	// Near the centre a small step on the scale of logarithms is that share of
	// the centre, so sigma there is centre x sigma in the unit of the values.
	facts.admit(data.Resolution, centre*m.Sigma)
	values := Panel{Name: PanelValues, Points: slices.Clone(data.Values), Centre: level(centre, len(logs))}
	ratios := Panel{Name: PanelMovingRatio, First: 1, Points: raised(m.Ranges), Centre: level(math.Exp(m.MeanMR), len(m.Ranges))}
	if !facts.NoLimits {
		values.Low, values.High = level(math.Exp(m.Low), len(logs)), level(math.Exp(m.High), len(logs))
		ratios.High = level(math.Exp(m.RangeHigh), len(m.Ranges))
	}
	return finished(Chart{
		Kind: "individuals_log", Scale: Logarithmic, ScaleReason: ScalePositiveSkewed,
		Panels: []Panel{values, ratios},
		Sigma:  m.Sigma, SigmaEstimator: MeanMovingRange, Facts: facts,
	})
}

// raised turns logarithms back.
func raised(logs []float64) []float64 {
	out := make([]float64, len(logs))
	for i, l := range logs {
		out[i] = math.Exp(l)
	}
	return out
}
