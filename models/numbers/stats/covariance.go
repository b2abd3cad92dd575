package stats

import "fmt"

// MostColumns bounds how many readings a row has.
const MostColumns = 200

// MeanCovariance returns the mean of each column and the covariance matrix of
// the columns,
//
//	S[j][k] = sum((x[i][j] - mean[j])(x[i][k] - mean[k])) / (n - 1),
//
// of at least two rows of equal length (e-Handbook 6.5.4.1).
func MeanCovariance(rows [][]float64) (mean []float64, covariance [][]float64, err error) {
	if len(rows) < 2 {
		return nil, nil, about("x", fmt.Errorf("%d rows where 2 are needed: %w", len(rows), ErrTooFew))
	}
	width := len(rows[0])
	if width < 1 || width > MostColumns {
		return nil, nil, outside("x[0]", width, "readings: a row has 1 to 200")
	}
	columns := make([][]float64, width)
	for j := range columns {
		columns[j] = make([]float64, len(rows))
	}
	for i, row := range rows {
		if len(row) != width {
			return nil, nil, outside(fmt.Sprintf("x[%d]", i), len(row), fmt.Sprintf("readings where the first row has %d", width))
		}
		if err := Check(row, 1); err != nil {
			return nil, nil, about(fmt.Sprintf("x[%d]", i), err)
		}
		for j, v := range row {
			columns[j][i] = v
		}
	}
	mean, covariance = make([]float64, width), make([][]float64, width)
	for j, column := range columns {
		if mean[j], err = Mean(column); err != nil {
			return nil, nil, about("x", err)
		}
		for i := range column {
			column[i] -= mean[j]
		}
		covariance[j] = make([]float64, width)
	}
	n := float64(len(rows))
	products := make([]float64, len(rows))
	for j := range columns {
		for k := range j + 1 {
			for i := range products {
				products[i] = columns[j][i] * columns[k][i]
			}
			// What rounding of the means left over, as in [SD].
			rest := Sum(columns[j]) * Sum(columns[k]) / n
			s, err := finite("covariance", (Sum(products)-rest)/(n-1))
			if err != nil {
				return nil, nil, about("x", err)
			}
			covariance[j][k], covariance[k][j] = s, s
		}
	}
	return mean, covariance, nil
}
