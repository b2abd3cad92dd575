package spc

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// MovingRanges is the arithmetic of a chart of single values: centre and three
// sigma limits from the ranges of neighbouring values. It is the bare
// calculation; [Individuals] adds what a chart has to admit.
type MovingRanges struct {
	Mean     float64   // Mean of the values.
	Ranges   []float64 // |x[i] - x[i-1]|, one fewer than the values.
	MeanMR   float64
	MedianMR float64
	// Sigma = MeanMR / d2(2), SigmaByMedian = MedianMR / median range(2), which
	// one large jump moves less.
	Sigma, SigmaByMedian float64
	Low, High            float64 // Mean -+ 3 Sigma.
	RangeHigh            float64 // D4(2) MeanMR. The low limit of the ranges is 0.
}

// FromMovingRanges computes the limits of single values x, at least two, from
// their moving ranges (Shewhart charts of individuals: NIST/SEMATECH e-Handbook,
// 6.3.2.2; ISO 7870-2). d2(2) is 2/sqrt(pi) unrounded, where many prints use
// 1.128.
func FromMovingRanges(x []float64) (MovingRanges, error) {
	if err := stats.Check(x, 2); err != nil {
		return MovingRanges{}, err
	}
	two, err := For(2)
	if err != nil {
		return MovingRanges{}, err
	}
	m := MovingRanges{Ranges: make([]float64, len(x)-1)}
	for i := range m.Ranges {
		m.Ranges[i] = math.Abs(x[i+1] - x[i])
	}
	if m.Mean, err = stats.Mean(x); err != nil {
		return MovingRanges{}, err
	}
	if m.MeanMR, err = stats.Mean(m.Ranges); err != nil {
		return MovingRanges{}, fmt.Errorf("moving ranges: %w", err)
	}
	if m.MedianMR, err = stats.Median(m.Ranges); err != nil {
		return MovingRanges{}, fmt.Errorf("moving ranges: %w", err)
	}
	m.Sigma, m.SigmaByMedian = m.MeanMR/two.D2, m.MedianMR/two.MedianRange
	m.Low, m.High = m.Mean-3*m.Sigma, m.Mean+3*m.Sigma
	m.RangeHigh = two.RangeHighFromMean() * m.MeanMR
	if err := stats.Check([]float64{m.Low, m.High, m.RangeHigh}, 3); err != nil {
		return MovingRanges{}, fmt.Errorf("limits: %w", err)
	}
	return m, nil
}

// Individuals draws single values and their moving ranges, with limits on the
// scale of the values.
func Individuals(data Data) (Chart, error) {
	m, facts, err := individuals(data.Values)
	if err != nil {
		return Chart{}, fmt.Errorf("chart of individual values: %w", err)
	}
	facts.admit(data.Resolution, m.Sigma)
	values := Panel{Name: PanelValues, Points: slices.Clone(data.Values), Centre: level(m.Mean, len(data.Values))}
	ranges := Panel{Name: PanelMovingRange, First: 1, Points: m.Ranges, Centre: level(m.MeanMR, len(m.Ranges))}
	if !facts.NoLimits {
		values.Low, values.High = level(m.Low, len(values.Points)), level(m.High, len(values.Points))
		ranges.High = level(m.RangeHigh, len(ranges.Points))
	}
	return finished(Chart{
		Kind: "individuals", Scale: AsMeasured, ScaleReason: ScaleAsAsked,
		Panels: []Panel{values, ranges},
		Sigma:  m.Sigma, SigmaEstimator: MeanMovingRange, Facts: facts,
	})
}

// individuals does the arithmetic and gathers the facts, for values on the
// scale of the chart.
func individuals(x []float64) (MovingRanges, Facts, error) {
	m, err := FromMovingRanges(x)
	if err != nil {
		return MovingRanges{}, Facts{}, err
	}
	facts, err := factsOf(x)
	return m, facts, err
}

// level returns a line at one height, n points long.
func level(height float64, n int) []float64 {
	line := make([]float64, n)
	for i := range line {
		line[i] = height
	}
	return line
}
