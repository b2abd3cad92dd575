package spc

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// What can be charted where neighbours resemble each other, see [Facts].

// DayMean is the mean of the values of one day.
type DayMean struct {
	Day   string
	Mean  float64
	Count int
}

// DailyMeans returns one mean a day, in the order of the days; days[i] names the
// day of value i. Where the values of a day resemble each other and days do not,
// their means make a chart of individual values that holds what it claims
// (Montgomery, section on correlated process data: batch means). The values must
// be in the order in time, so a day that comes back later is an error.
func DailyMeans(values []float64, days []string) ([]DayMean, error) {
	if err := stats.Check(values, 1); err != nil {
		return nil, at("values", err)
	}
	if len(days) != len(values) {
		return nil, wrong("days", ErrSizesDiffer, "%d for %d values", len(days), len(values))
	}
	var means []DayMean
	seen := map[string]bool{}
	for from := 0; from < len(values); {
		to := from + 1
		for to < len(values) && days[to] == days[from] {
			to++
		}
		if seen[days[from]] {
			return nil, wrong(element("days", from), ErrSetting, "%.40q comes a second time", days[from])
		}
		seen[days[from]] = true
		mean, err := stats.Mean(values[from:to])
		if err != nil {
			return nil, at(element("values", from), err)
		}
		means = append(means, DayMean{Day: days[from], Mean: mean, Count: to - from})
		from = to
	}
	return means, nil
}

// FirstOrderModel says that each value carries on a share of the one before:
//
//	x[i] = Level + Share x[i-1] + residual
//
// (autoregression of order 1: Alwan and Roberts, Journal of Business and Economic
// Statistics 6, 1988).
type FirstOrderModel struct {
	Level, Share float64
	// Residuals has one value fewer than the series: none for the first.
	Residuals []float64
}

// FirstOrder fits the model by least squares to at least three values. The
// residuals of a series that follows it are independent, so that a chart of
// individual values of them holds what it claims.
func FirstOrder(values []float64) (FirstOrderModel, error) {
	if err := stats.Check(values, 3); err != nil {
		return FirstOrderModel{}, at("values", err)
	}
	before, after := values[:len(values)-1], values[1:]
	meanBefore, err := stats.Mean(before)
	if err != nil {
		return FirstOrderModel{}, at("values", err)
	}
	meanAfter, err := stats.Mean(after)
	if err != nil {
		return FirstOrderModel{}, at("values", err)
	}
	var products, squares float64
	for i, x := range before {
		products += (x - meanBefore) * (after[i] - meanAfter)
		squares += (x - meanBefore) * (x - meanBefore)
	}
	if squares == 0 {
		return FirstOrderModel{}, at("values", stats.ErrNoSpread)
	}
	m := FirstOrderModel{Share: products / squares}
	m.Level = meanAfter - m.Share*meanBefore
	m.Residuals, err = m.ResidualsOf(values)
	return m, err
}

// ResidualsOf returns what the model leaves of a series, which may be a later
// one: the model is then frozen like limits are.
func (m FirstOrderModel) ResidualsOf(values []float64) ([]float64, error) {
	if err := stats.Check(values, 2); err != nil {
		return nil, at("values", err)
	}
	residuals := make([]float64, len(values)-1)
	for i := range residuals {
		residuals[i] = values[i+1] - m.Level - m.Share*values[i]
	}
	if err := stats.Check(residuals, 1); err != nil {
		return nil, at("values", fmt.Errorf("residuals: %w", err))
	}
	return residuals, nil
}
