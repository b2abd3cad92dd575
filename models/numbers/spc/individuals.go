package spc

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models/numbers/stats"
)

// MovingRanges is the arithmetic of a chart of single values: centre and three
// sigma limits from the ranges of neighbouring values. It is the bare
// calculation; the chart adds what it has to admit.
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
	m := MovingRanges{Ranges: moving(x)}
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

// moving returns the ranges of neighbouring values.
func moving(x []float64) []float64 {
	if len(x) < 2 {
		return nil
	}
	ranges := make([]float64, len(x)-1)
	for i := range ranges {
		ranges[i] = math.Abs(x[i+1] - x[i])
	}
	return ranges
}

// Individuals draws single values and their moving ranges, with limits on the
// scale of the values.
func Individuals(data Data) (Chart, error) { return Plot("individuals", data) }

func individualsLimits(data Data) (Limits, error) {
	l, err := singleLimits(data.Values, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	if err := checkResolution(data.Resolution); err != nil {
		return Limits{}, err
	}
	l.Facts.admit(data.Resolution, l.Sigma, data.Widen)
	return l, nil
}

// singleLimits finds centre and sigma of values on the scale of the chart. A
// moving range counts where both of its values belong to the baseline.
func singleLimits(x []float64, b Baseline) (Limits, error) {
	if err := stats.Check(x, 2); err != nil {
		return Limits{}, at("values", err)
	}
	kept, _, err := b.choose(len(x))
	if err != nil {
		return Limits{}, err
	}
	values, ranges := chosen(x, kept), moving(x)
	if kept != nil {
		var some []float64
		for i, r := range ranges {
			if kept[i] && kept[i+1] {
				some = append(some, r)
			}
		}
		ranges = some
	}
	l := Limits{SigmaEstimator: MeanMovingRange}
	if l.Centre, err = stats.Mean(values); err != nil {
		return Limits{}, at("values", err)
	}
	if l.Facts, err = factsOf(values); err != nil {
		return Limits{}, at("values", err)
	}
	mean, err := stats.Mean(ranges)
	if err != nil {
		return Limits{}, at("values", fmt.Errorf("moving ranges: %w", err))
	}
	two, err := For(2)
	l.Sigma = mean / two.D2
	return l, err
}

func individualsPanels(data Data, l Limits) ([]Panel, error) {
	if err := stats.Check(data.Values, 1); err != nil {
		return nil, at("values", err)
	}
	return singlePanels(data.Values, PanelValues, l)
}

// singlePanels draws values and moving ranges on the scale of the values.
func singlePanels(x []float64, name string, l Limits) ([]Panel, error) {
	two, err := For(2)
	if err != nil {
		return nil, err
	}
	values := strip(name, slices.Clone(x), l.Centre)
	ranges := strip(PanelMovingRange, moving(x), two.D2*l.Sigma)
	ranges.First = 1
	if !l.Facts.NoLimits {
		more := l.Facts.widening()
		values = values.between(l.Centre-3*l.Sigma-more, l.Centre+3*l.Sigma+more)
		ranges = ranges.spreadLimits(0, two.RangeHigh()*l.Sigma+2*more)
	}
	return []Panel{values, ranges}, nil
}
