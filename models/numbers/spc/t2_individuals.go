package spc

import (
	"tracewright/models/numbers/stats"
)

// T2Individuals computes the chart of several results of single items,
// more items than results plus one, at a wanted share alpha of false alarms
// (NIST/SEMATECH e-Handbook, 6.5.4.3.4 and .5; Tracy, Young and Mason, Journal
// of Quality Technology 24, 1992). With m items and p results:
//
//	S       = covariance with m - 1
//	phase 1: (m-1)^2/m  Beta(p/2, (m-p-1)/2)
//	phase 2: p (m+1)(m-1)/(m (m-p))  F(p, m-p)
//
// each at 1 - alpha.
func T2Individuals(values [][]float64, alpha float64) (T2, error) {
	alpha, err := checkAlpha(alpha)
	if err != nil {
		return T2{}, err
	}
	if err := checkVectors("values", values, 0); err != nil {
		return T2{}, err
	}
	m, p := len(values), len(values[0])
	if m < p+2 {
		return T2{}, wrong("values", stats.ErrTooFew, "%d items where %d results need %d", m, p, p+2)
	}
	t := T2{Covariance: square(p)}
	if t.Means, err = meansOf(values); err != nil {
		return T2{}, at("values", err)
	}
	addProducts(t.Covariance, values, t.Means)
	divide(t.Covariance, float64(m-1))
	s, err := newStatistical(t.Means, t.Covariance)
	if err != nil {
		return T2{}, err
	}
	if t.Distances, err = s.distances("values", values, 1); err != nil {
		return T2{}, err
	}
	if t.OwnHigh, err = t2Individual(m, p, 1-alpha, true); err != nil {
		return T2{}, err
	}
	t.LaterHigh, err = t2Individual(m, p, 1-alpha, false)
	return t, err
}

// SuccessiveCovariance estimates the covariance from neighbours, which a drift
// of the means moves less (Holmes and Mergen, Quality Engineering 5, 1993):
//
//	S = sum( d[i] d[i]' ) / (2 (m-1)), d[i] = x[i+1] - x[i],
//
// and returns the distances by it.
func SuccessiveCovariance(values [][]float64) (covariance [][]float64, distances []float64, err error) {
	if err := checkVectors("values", values, 0); err != nil {
		return nil, nil, err
	}
	if len(values) < 2 {
		return nil, nil, wrong("values", stats.ErrTooFew, "one item")
	}
	p := len(values[0])
	differences := make([][]float64, len(values)-1)
	for i := range differences {
		differences[i] = make([]float64, p)
		for j := range p {
			differences[i][j] = values[i+1][j] - values[i][j]
		}
	}
	covariance = square(p)
	addProducts(covariance, differences, make([]float64, p))
	divide(covariance, 2*float64(len(differences)))
	means, err := meansOf(values)
	if err != nil {
		return nil, nil, at("values", err)
	}
	s, err := newStatistical(means, covariance)
	if err != nil {
		return nil, nil, err
	}
	distances, err = s.distances("values", values, 1)
	return covariance, distances, err
}

// t2Individual is the quantile of the distance of one of the m items, or of a
// later one.
func t2Individual(m, p int, below float64, own bool) (float64, error) {
	mf, pf := float64(m), float64(p)
	if own {
		b, err := stats.BetaQuantile(below, pf/2, (mf-pf-1)/2)
		return (mf - 1) * (mf - 1) / mf * b, err
	}
	f, err := stats.FQuantile(below, pf, mf-pf)
	return pf * (mf + 1) * (mf - 1) / (mf * (mf - pf)) * f, err
}

// The chart "t2_individuals": points of the baseline below their limit of phase
// 1, later ones below that of phase 2.
func t2IndividualsLimits(data Vectors) (Limits, error) {
	if err := checkVectors("values", data.Values, 0); err != nil {
		return Limits{}, err
	}
	kept, _, err := data.Baseline.choose(len(data.Values))
	if err != nil {
		return Limits{}, err
	}
	t, err := T2Individuals(chosen(data.Values, kept), data.Alpha)
	if err != nil {
		return Limits{}, err
	}
	l := Limits{Means: t.Means, Covariance: t.Covariance, SigmaEstimator: SampleCovariance, Sigma: 1}
	l.Alpha, err = checkAlpha(data.Alpha)
	if err != nil {
		return Limits{}, err
	}
	l.Facts, err = distanceFacts(t.Distances)
	return l, err
}

func t2IndividualsPanels(data Vectors, l Limits) ([]Panel, error) {
	if err := checkVectors("values", data.Values, len(l.Means)); err != nil {
		return nil, err
	}
	s, err := newStatistical(l.Means, l.Covariance)
	if err != nil {
		return nil, err
	}
	points, err := s.distances("values", data.Values, 1)
	if err != nil {
		return nil, err
	}
	m, p := l.Facts.N, len(l.Means)
	if m < p+2 {
		return nil, wrong("limits", ErrLimits, "%d points for %d results", m, p)
	}
	inBaseline, err := data.Baseline.has(len(points))
	if err != nil {
		return nil, err
	}
	panel, err := distancePanel(points, l, inBaseline, func(below float64, own bool) (float64, error) {
		return t2Individual(m, p, below, own)
	})
	return []Panel{panel}, err
}

// T2HighKnown is the limit when means and covariance are known, the chi-square
// quantile with p degrees of freedom at 1 - alpha.
func T2HighKnown(p int, alpha float64) (float64, error) {
	alpha, err := checkAlpha(alpha)
	if err != nil {
		return 0, err
	}
	if p < 1 || p > MostResults {
		return 0, wrong("values", ErrSizesDiffer, "%d results", p)
	}
	return stats.ChiSquareQuantile(1-alpha, float64(p))
}
