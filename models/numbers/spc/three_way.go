package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// The chart "three_way": many readings on each item, such as the tensions of
// one wheel. Items differ among themselves more than readings of one item do,
// so limits for their means come from how much the means differ, and the
// spread within items has a strip of its own (between and within chart:
// Wheeler, Advanced Topics in Statistical Process Control, chapter on three-way
// charts; Montgomery, section on charts of individuals for within and between
// variation).
//
//	item means:    centre -+ 3 sigma, sigma = mean |difference of neighbours| / d2(2)
//	moving ranges: of the item means, 0 to D4(2) mean moving range
//	within items:  s of the readings, c4(n) w, B5(n) w and B6(n) w,
//	               w = sqrt( sum((n-1) s^2) / sum(n-1) )
//
// Sigma is the spread of item means; [Components] parts it into that of the
// items and that of the readings.
func threeWayLimits(data Items) (Limits, error) {
	if err := data.check(); err != nil {
		return Limits{}, err
	}
	means, err := each(data.Readings, stats.Mean)
	if err != nil {
		return Limits{}, err
	}
	l, err := singleLimits(means, data.Baseline)
	if err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(data.Readings))
	if err != nil {
		return Limits{}, err
	}
	f, err := FromSubgroups(chosen(data.Readings, kept))
	if err != nil {
		return Limits{}, err
	}
	l.Within, l.Size = f.PooledSD, f.Size
	// The mean of many readings is finer than the step of the gauge by about
	// the root of their number, as long as they vary by a step.
	l.Facts.admit(data.Resolution, math.Max(l.Sigma, l.Within), false)
	if l.Sigma == 0 && l.Facts.NoLimitsReason == "" {
		l.Facts.NoLimits, l.Facts.NoLimitsReason = true, NoLimitsNoSpread
	}
	return l, nil
}

func threeWayPanels(data Items, l Limits) ([]Panel, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	means, err := each(data.Readings, stats.Mean)
	if err != nil {
		return nil, err
	}
	panels, err := singlePanels(means, PanelItemMeans, l)
	if err != nil {
		return nil, err
	}
	sds, err := each(data.Readings, stats.SD)
	if err != nil {
		return nil, err
	}
	lines, err := unequalLines(sizesOf(data.Readings), 0, l.Within)
	if err != nil {
		return nil, err
	}
	return append(panels, lines.sdPanel(PanelWithinItems, sds, l.Facts.NoLimits)), nil
}

func (d Items) check() error {
	if len(d.Readings) == 0 {
		return at("readings", fmt.Errorf("none: %w", stats.ErrTooFew))
	}
	for i, readings := range d.Readings {
		if n := len(readings); n < 2 || n > MaxSubgroup {
			return wrong(element("readings", i), ErrSubgroupSize, "%d readings", n)
		}
		if err := stats.Check(readings, 2); err != nil {
			return at(element("readings", i), err)
		}
	}
	return checkResolution(d.Resolution)
}

// Components parts the spread of item means from limits of the three-way chart
// with n readings an item:
//
//	between^2 = sigma^2 - within^2/n, 0 where that is negative.
func Components(l Limits) (between, within float64, err error) {
	if err := l.usable("three_way"); err != nil {
		return 0, 0, err
	}
	if l.Size < 2 {
		return 0, 0, wrong("limits", ErrSizesDiffer, "items have different numbers of readings")
	}
	return math.Sqrt(max(0, l.Sigma*l.Sigma-l.Within*l.Within/float64(l.Size))), l.Within, nil
}
