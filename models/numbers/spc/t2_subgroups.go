package spc

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// MostVectorItems bounds the items of a subgroup with several results.
const MostVectorItems = 1000

// T2Subgroups computes the chart of several results of equal subgroups of items
// at a wanted share alpha of false alarms (NIST/SEMATECH e-Handbook, 6.5.4.3;
// Alt, Encyclopedia of Statistical Sciences 6, 1985). With m subgroups of n
// items and p results, the distances are those of the means of subgroups:
//
//	S        = mean of the covariances within subgroups
//	phase 1: p (m-1)(n-1)/(m n - m - p + 1)  F(p, m n - m - p + 1)
//	phase 2: p (m+1)(n-1)/(m n - m - p + 1)  F(p, m n - m - p + 1)
//
// each at 1 - alpha.
func T2Subgroups(values [][][]float64, alpha float64) (T2, error) {
	alpha, err := checkAlpha(alpha)
	if err != nil {
		return T2{}, err
	}
	n, p, err := checkVectorSubgroups(values, 0, 0)
	if err != nil {
		return T2{}, err
	}
	m := len(values)
	if m < 2 || m*n-m-p+1 < 1 {
		return T2{}, wrong("subgroups", stats.ErrTooFew, "%d subgroups of %d items for %d results", m, n, p)
	}
	means, err := subgroupMeans(values)
	if err != nil {
		return T2{}, err
	}
	t := T2{Covariance: square(p)}
	for i, group := range values {
		addProducts(t.Covariance, group, means[i])
	}
	divide(t.Covariance, float64(m*(n-1)))
	if t.Means, err = meansOf(means); err != nil {
		return T2{}, at("subgroups", err)
	}
	s, err := newStatistical(t.Means, t.Covariance)
	if err != nil {
		return T2{}, err
	}
	if t.Distances, err = s.distances("subgroups", means, float64(n)); err != nil {
		return T2{}, err
	}
	if t.OwnHigh, err = t2Subgroup(m, n, p, 1-alpha, true); err != nil {
		return T2{}, err
	}
	t.LaterHigh, err = t2Subgroup(m, n, p, 1-alpha, false)
	return t, err
}

func t2Subgroup(m, n, p int, below float64, own bool) (float64, error) {
	freedom := float64(m*n - m - p + 1)
	f, err := stats.FQuantile(below, float64(p), freedom)
	more := float64(m + 1)
	if own {
		more = float64(m - 1)
	}
	return float64(p) * more * float64(n-1) / freedom * f, err
}

// checkVectorSubgroups asks for equal subgroups of items with as many finite
// results each, of the numbers given where they are above 0.
func checkVectorSubgroups(values [][][]float64, items, results int) (n, p int, err error) {
	if len(values) == 0 {
		return 0, 0, at("subgroups", fmt.Errorf("none: %w", stats.ErrTooFew))
	}
	if n = items; n == 0 {
		n = len(values[0])
	}
	if p = results; p == 0 && n > 0 {
		p = len(values[0][0])
	}
	if n < 2 || n > MostVectorItems {
		return 0, 0, wrong(element("subgroups", 0), ErrSubgroupSize, "%d items", n)
	}
	for i, group := range values {
		if len(group) != n {
			return 0, 0, wrong(element("subgroups", i), ErrSizesDiffer, "%d items where %d are expected", len(group), n)
		}
		if err := checkVectors(element("subgroups", i), group, p); err != nil {
			return 0, 0, err
		}
	}
	return n, p, nil
}

func subgroupMeans(values [][][]float64) ([][]float64, error) {
	means := make([][]float64, len(values))
	for i, group := range values {
		var err error
		if means[i], err = meansOf(group); err != nil {
			return nil, at(element("subgroups", i), err)
		}
	}
	return means, nil
}

// The chart "t2_subgroups".
func t2SubgroupsLimits(data VectorSubgroups) (Limits, error) {
	if data.OneItem {
		return Limits{}, at("subgroups", ErrOneItem)
	}
	if _, _, err := checkVectorSubgroups(data.Values, 0, 0); err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(data.Values))
	if err != nil {
		return Limits{}, err
	}
	groups := chosen(data.Values, kept)
	t, err := T2Subgroups(groups, data.Alpha)
	if err != nil {
		return Limits{}, err
	}
	l := Limits{Means: t.Means, Covariance: t.Covariance, SigmaEstimator: PooledCovariance, Sigma: 1, Size: len(groups[0])}
	if l.Alpha, err = checkAlpha(data.Alpha); err != nil {
		return Limits{}, err
	}
	l.Facts, err = distanceFacts(t.Distances)
	return l, err
}

func t2SubgroupsPanels(data VectorSubgroups, l Limits) ([]Panel, error) {
	if data.OneItem {
		return nil, at("subgroups", ErrOneItem)
	}
	n, p, err := checkVectorSubgroups(data.Values, l.Size, len(l.Means))
	if err != nil {
		return nil, err
	}
	m := l.Facts.N
	if m < 2 || m*n-m-p+1 < 1 {
		return nil, wrong("limits", ErrLimits, "%d points for %d results", m, p)
	}
	s, err := newStatistical(l.Means, l.Covariance)
	if err != nil {
		return nil, err
	}
	means, err := subgroupMeans(data.Values)
	if err != nil {
		return nil, err
	}
	points, err := s.distances("subgroups", means, float64(n))
	if err != nil {
		return nil, err
	}
	inBaseline, err := data.Baseline.has(len(points))
	if err != nil {
		return nil, err
	}
	panel, err := distancePanel(points, l, inBaseline, func(below float64, own bool) (float64, error) {
		return t2Subgroup(m, n, p, below, own)
	})
	return []Panel{panel}, err
}
