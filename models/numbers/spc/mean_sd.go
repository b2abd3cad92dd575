package spc

import "tracewright/models/numbers/stats"

// The chart "mean_sd": means and standard deviations of equal subgroups of
// items (ISO 7870-2; ASTM MNL 7; NIST/SEMATECH e-Handbook, 6.3.2.1).
//
//	sigma = mean s / c4(n)
//	means: grand mean -+ A3 mean s = grand mean -+ 3 sigma/sqrt(n)
//	s:     B3 mean s, B4 mean s; no low limit below 6 items
func meanSDLimits(data Subgroups) (Limits, error) {
	f, err := data.equal()
	if err != nil {
		return Limits{}, err
	}
	return data.subgroupLimits(f, f.SigmaBySD, MeanSD)
}

func meanSDPanels(data Subgroups, l Limits) ([]Panel, error) {
	c, err := data.ofSize(l.Size)
	if err != nil {
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
	means, spread := strip(PanelMeans, points, l.Centre), strip(PanelSDs, sds, c.C4*l.Sigma)
	if !l.Facts.NoLimits {
		means = means.between(l.Centre-c.A()*l.Sigma, l.Centre+c.A()*l.Sigma)
		spread = spread.spreadLimits(c.B5()*l.Sigma, c.B6()*l.Sigma)
	}
	return []Panel{means, spread}, nil
}
