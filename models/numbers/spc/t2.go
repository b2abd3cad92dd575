package spc

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"tracewright/models/numbers/stats"
)

// MostResults is the largest number of results charted together.
const MostResults = 50

// usualAlpha is the share of points that three sigma limits call out.
const usualAlpha = 0.0027

// T2 is the arithmetic of a chart of several results at once: the squared
// statistical distance of each point from the means (Hotelling 1947;
// NIST/SEMATECH e-Handbook, 6.5.4.3),
//
//	T2[i] = n (x[i] - mean)' S^-1 (x[i] - mean)
//
// with n = 1 for single items. Results of one item hang together; a point can
// lie far out although each of its results is within limits of its own.
type T2 struct {
	Means      []float64
	Covariance [][]float64
	Distances  []float64
	// OwnHigh judges the points that means and covariance come from (phase 1),
	// LaterHigh later ones (phase 2).
	OwnHigh, LaterHigh float64
}

// checkVectors asks for rows of the same number of finite results.
func checkVectors(name string, rows [][]float64, results int) error {
	if len(rows) == 0 {
		return at(name, fmt.Errorf("none: %w", stats.ErrTooFew))
	}
	if results == 0 {
		results = len(rows[0])
	}
	if results < 1 || results > MostResults {
		return wrong(element(name, 0), ErrSizesDiffer, "%d results where 1 to %d can be charted", results, MostResults)
	}
	for i, row := range rows {
		if len(row) != results {
			return wrong(element(name, i), ErrSizesDiffer, "%d results where %d are expected", len(row), results)
		}
		if err := stats.Check(row, results); err != nil {
			return at(element(name, i), err)
		}
	}
	return nil
}

// checkAlpha returns the wanted share of false alarms.
func checkAlpha(alpha float64) (float64, error) {
	alpha = usual(alpha, usualAlpha)
	if !(alpha > 0 && alpha < 1) {
		return 0, wrong("alpha", ErrSetting, "%v is not between 0 and 1", alpha)
	}
	return alpha, nil
}

// meansOf returns the mean of each result.
func meansOf(rows [][]float64) ([]float64, error) {
	means, column := make([]float64, len(rows[0])), make([]float64, len(rows))
	for j := range means {
		for i, row := range rows {
			column[i] = row[j]
		}
		var err error
		if means[j], err = stats.Mean(column); err != nil {
			return nil, err
		}
	}
	return means, nil
}

// addProducts adds the products of deviations from the means to a matrix.
func addProducts(to [][]float64, rows [][]float64, means []float64) {
	for _, row := range rows {
		for a := range means {
			for b := range means {
				to[a][b] += (row[a] - means[a]) * (row[b] - means[b])
			}
		}
	}
}

func square(n int) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		rows[i] = make([]float64, n)
	}
	return rows
}

func divide(m [][]float64, by float64) {
	for _, row := range m {
		for j := range row {
			row[j] /= by
		}
	}
}

// statistical measures distances by a covariance.
type statistical struct {
	means, sds []float64
	root       mat.Cholesky // Of the correlations: results in any units.
}

// worstCondition of a matrix of correlations that is still inverted.
const worstCondition = 1e12

func newStatistical(means []float64, covariance [][]float64) (*statistical, error) {
	p := len(means)
	if len(covariance) != p {
		return nil, wrong("covariance", ErrLimits, "%d rows for %d means", len(covariance), p)
	}
	s := &statistical{means: means, sds: make([]float64, p)}
	for j, row := range covariance {
		if len(row) != p {
			return nil, wrong("covariance", ErrLimits, "row %d has %d values", j, len(row))
		}
		if !finite(row[j]) || row[j] <= 0 {
			return nil, at("covariance", fmt.Errorf("result %d does not vary: %w", j, ErrSingular))
		}
		s.sds[j] = math.Sqrt(row[j])
	}
	correlations := mat.NewSymDense(p, nil)
	for a := range p {
		for b := a; b < p; b++ {
			r := covariance[a][b] / s.sds[a] / s.sds[b]
			if !finite(r) {
				return nil, at("covariance", stats.ErrNotFinite)
			}
			correlations.SetSym(a, b, r)
		}
	}
	if !s.root.Factorize(correlations) || !(s.root.Cond() < worstCondition) {
		return nil, at("covariance", ErrSingular)
	}
	return s, nil
}

// distance is (x - mean)' S^-1 (x - mean).
func (s *statistical) distance(x []float64) (float64, error) {
	p := len(s.means)
	off, solved := mat.NewVecDense(p, nil), mat.NewVecDense(p, nil)
	for j := range p {
		off.SetVec(j, (x[j]-s.means[j])/s.sds[j])
	}
	if err := s.root.SolveVecTo(solved, off); err != nil {
		return 0, fmt.Errorf("distance: %w", ErrSingular)
	}
	if d := mat.Dot(off, solved); finite(d) {
		return max(0, d), nil
	}
	return 0, fmt.Errorf("distance: %w", stats.ErrNotFinite)
}

// distances measures every row, times n.
func (s *statistical) distances(name string, rows [][]float64, n float64) ([]float64, error) {
	out := make([]float64, len(rows))
	for i, row := range rows {
		d, err := s.distance(row)
		if err != nil {
			return nil, at(element(name, i), err)
		}
		out[i] = n * d
	}
	return out, nil
}

// distancePanel draws distances below their limits: own points in the baseline,
// later ones behind it.
func distancePanel(points []float64, l Limits, kept func(i int) bool, quantile func(p float64, own bool) (float64, error)) (Panel, error) {
	panel := strip(PanelDistance, points, 0)
	high := make([]float64, len(points))
	var middles, tops [2]float64
	for k, own := range []bool{false, true} {
		if own && !l.own {
			continue
		}
		var err error
		if middles[k], err = quantile(0.5, own); err != nil {
			return Panel{}, err
		}
		if tops[k], err = quantile(1-l.Alpha, own); err != nil {
			return Panel{}, err
		}
	}
	for i := range points {
		k := 0
		if l.own && kept(i) {
			k = 1
		}
		panel.Centre[i], high[i] = middles[k], tops[k]
	}
	if !l.Facts.NoLimits {
		panel.High = high
	}
	return panel, nil
}

// distanceFacts gathers what distances say, and whether there are limits.
func distanceFacts(distances []float64) (Facts, error) {
	f, err := factsOf(distances)
	if err != nil {
		return Facts{}, err
	}
	if f.Provisional = f.N < FewestForFirmLimits; f.N < FewestForLimits {
		f.NoLimits, f.NoLimitsReason = true, NoLimitsFewPoints
	}
	return f, nil
}
