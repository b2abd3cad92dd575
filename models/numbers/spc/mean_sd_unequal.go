package spc

import "tracewright/models/numbers/stats"

// The chart "mean_sd_unequal": means and standard deviations of subgroups of
// items that need not be of one size (ASTM MNL 7, unequal subgroups).
//
//	centre = mean of all values, sigma = sqrt( sum((n-1) s^2) / sum(n-1) )
//	means: centre -+ 3 sigma/sqrt(n)
//	s:     centre c4(n) sigma, limits B5(n) sigma and B6(n) sigma
//
// each with the size n of its subgroup.
func meanSDUnequalLimits(data Subgroups) (Limits, error) {
	f, err := data.figures()
	if err != nil {
		return Limits{}, err
	}
	l, err := data.subgroupLimits(f, f.PooledSD, PooledSD)
	l.Size = 0
	return l, err
}

func meanSDUnequalPanels(data Subgroups, l Limits) ([]Panel, error) {
	if err := data.check(); err != nil {
		return nil, err
	}
	points, err := each(data.Values, stats.Mean)
	if err != nil {
		return nil, err
	}
	sds, err := each(data.Values, stats.SD)
	if err != nil {
		return nil, err
	}
	lines, err := unequalLines(sizesOf(data.Values), l.Centre, l.Sigma)
	if err != nil {
		return nil, err
	}
	means := strip(PanelMeans, points, l.Centre)
	if !l.Facts.NoLimits {
		means.Low, means.High = lines.MeanLow, lines.MeanHigh
	}
	return []Panel{means, lines.sdPanel(PanelSDs, sds, l.Facts.NoLimits)}, nil
}

// UnequalLines are the limits of subgroups of different sizes, one height a
// subgroup.
type UnequalLines struct {
	MeanLow, MeanHigh       []float64
	SDCentre, SDLow, SDHigh []float64
}

// UnequalLines returns the limits of subgroups whose sizes may differ, from the
// grand mean and the pooled standard deviation.
func (f SubgroupFigures) UnequalLines() (UnequalLines, error) {
	return unequalLines(f.Sizes, f.GrandMean, f.PooledSD)
}

func unequalLines(sizes []int, centre, sigma float64) (UnequalLines, error) {
	var l UnequalLines
	for i, n := range sizes {
		c, err := For(n)
		if err != nil {
			return UnequalLines{}, at(element("subgroups", i), err)
		}
		l.MeanLow, l.MeanHigh = append(l.MeanLow, centre-c.A()*sigma), append(l.MeanHigh, centre+c.A()*sigma)
		l.SDCentre = append(l.SDCentre, c.C4*sigma)
		l.SDLow, l.SDHigh = append(l.SDLow, c.B5()*sigma), append(l.SDHigh, c.B6()*sigma)
	}
	for _, line := range [][]float64{l.MeanLow, l.MeanHigh, l.SDHigh} {
		if err := stats.Check(line, 0); err != nil {
			return UnequalLines{}, at("subgroups", err)
		}
	}
	return l, nil
}

// sdPanel draws standard deviations of groups of any sizes.
func (l UnequalLines) sdPanel(name string, sds []float64, noLimits bool) Panel {
	p := Panel{Name: name, Points: sds, Centre: l.SDCentre}
	if noLimits {
		return p
	}
	p.High = l.SDHigh
	if someAbove(l.SDLow, 0) {
		p.Low = l.SDLow
	}
	return p
}

func sizesOf(groups [][]float64) []int {
	sizes := make([]int, len(groups))
	for i, group := range groups {
		sizes[i] = len(group)
	}
	return sizes
}
