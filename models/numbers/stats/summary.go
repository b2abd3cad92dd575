package stats

import (
	"fmt"
	"math"
)

// Summary describes a series of values in the order they were taken.
type Summary struct {
	N    int
	Mean float64
	SD   float64 // See [SD].
	// Lag1 is the autocorrelation at lag 1, see [Lag1]; it exists when Lag1Known.
	Lag1      float64
	Lag1Known bool
	Distinct  int // See [Distinct].
	Min, Max  float64
}

// Summarise describes at least two values.
func Summarise(x []float64) (Summary, error) {
	if err := Check(x, 2); err != nil {
		return Summary{}, err
	}
	s := Summary{N: len(x), Min: x[0], Max: x[0], Distinct: Distinct(x)}
	for _, v := range x {
		s.Min, s.Max = min(s.Min, v), max(s.Max, v)
	}
	var err error
	if s.Mean, err = Mean(x); err != nil {
		return Summary{}, err
	}
	if s.SD, err = SD(x); err != nil {
		return Summary{}, err
	}
	if s.Distinct > 1 {
		if s.Lag1, err = Lag1(x); err != nil {
			return Summary{}, err
		}
		s.Lag1Known = true
	}
	return s, nil
}

// Sum returns the sum of the values with the lost low parts added back
// (Neumaier, Zeitschrift fuer Angewandte Mathematik und Mechanik 54, 1974).
func Sum(x []float64) float64 {
	var sum, lost float64
	for _, v := range x {
		t := sum + v
		if math.Abs(sum) >= math.Abs(v) {
			lost += (sum - t) + v
		} else {
			lost += (v - t) + sum
		}
		sum = t
	}
	return sum + lost
}

// Mean returns the arithmetic mean of at least one value.
func Mean(x []float64) (float64, error) {
	if err := Check(x, 1); err != nil {
		return 0, err
	}
	return finite("mean", Sum(x)/float64(len(x)))
}

// SD returns the sample standard deviation of at least two values,
//
//	s = sqrt( sum((x - mean)^2) / (n - 1) ),
//
// in two passes with the correction for the rounding of the mean (Chan, Golub
// and LeVeque, The American Statistician 37, 1983, formula 1.7).
func SD(x []float64) (float64, error) {
	if err := Check(x, 2); err != nil {
		return 0, err
	}
	squares, err := sumOfSquares(x)
	if err != nil {
		return 0, err
	}
	return math.Sqrt(squares / float64(len(x)-1)), nil
}

// sumOfSquares returns the sum of squared deviations from the mean.
func sumOfSquares(x []float64) (float64, error) {
	mean, err := Mean(x)
	if err != nil {
		return 0, err
	}
	deviations, squares := make([]float64, len(x)), make([]float64, len(x))
	for i, v := range x {
		deviations[i] = v - mean
		squares[i] = deviations[i] * deviations[i]
	}
	// In exact arithmetic the deviations sum to nothing.
	rest := Sum(deviations)
	return finite("sum of squares", max(Sum(squares)-rest*rest/float64(len(x)), 0))
}

// Lag1 returns the autocorrelation of the series with itself one place later,
//
//	r1 = sum((x[i] - mean)(x[i+1] - mean), i = 1..n-1) / sum((x[i] - mean)^2),
//
// the estimator of Box and Jenkins with the one mean and the whole sum of
// squares (NIST/SEMATECH e-Handbook, 1.3.5.12). Values that are all equal have
// none: [ErrNoSpread].
func Lag1(x []float64) (float64, error) {
	if err := Check(x, 2); err != nil {
		return 0, err
	}
	if Distinct(x) == 1 {
		return 0, fmt.Errorf("autocorrelation: %w", ErrNoSpread)
	}
	squares, err := sumOfSquares(x)
	if err != nil {
		return 0, err
	}
	mean, err := Mean(x)
	if err != nil {
		return 0, err
	}
	products := make([]float64, len(x)-1)
	for i := range products {
		products[i] = (x[i] - mean) * (x[i+1] - mean)
	}
	return finite("autocorrelation", Sum(products)/squares)
}
