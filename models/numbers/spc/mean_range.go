package spc

import "tracewright/models/numbers/stats"

// The chart "mean_range": means and ranges of equal subgroups of items
// (Shewhart; ISO 7870-2; NIST/SEMATECH e-Handbook, 6.3.2.1).
//
//	sigma = mean range / d2(n)
//	means:  grand mean -+ A2 mean range = grand mean -+ 3 sigma/sqrt(n)
//	ranges: D3 mean range, D4 mean range; no low limit below 7 items
//
// With more than about 10 items the range leaves much of the subgroup unused;
// the chart of means and standard deviations is the better one.
func meanRangeLimits(data Subgroups) (Limits, error) {
	f, err := data.equal()
	if err != nil {
		return Limits{}, err
	}
	return data.subgroupLimits(f, f.SigmaByRange, MeanRange)
}

func meanRangePanels(data Subgroups, l Limits) ([]Panel, error) {
	c, err := data.ofSize(l.Size)
	if err != nil {
		return nil, err
	}
	points, err := each(data.Values, stats.Mean)
	if err != nil {
		return nil, err
	}
	means := strip(PanelMeans, points, l.Centre)
	spread := strip(PanelRanges, ranges(data.Values), c.D2*l.Sigma)
	if !l.Facts.NoLimits {
		means = means.between(l.Centre-c.A()*l.Sigma, l.Centre+c.A()*l.Sigma)
		spread = spread.spreadLimits(c.RangeLow()*l.Sigma, c.RangeHigh()*l.Sigma)
	}
	return []Panel{means, spread}, nil
}
