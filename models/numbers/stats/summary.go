package stats

import (
	"cmp"
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
}

// Summarise describes at least two values. It looks at each of them twice and
// needs no room, whatever their number.
func Summarise(x []float64) (Summary, error) {
	if len(x) < 2 {
		return Summary{}, Check(x, 2)
	}
	a, err := centred(x)
	if err != nil {
		return Summary{}, err
	}
	squares, err := finite("sum of squares", a.squares)
	if err != nil {
		return Summary{}, err
	}
	s := Summary{N: len(x), Mean: a.mean, SD: math.Sqrt(squares / float64(len(x)-1))}
	if squares > 0 {
		if s.Lag1, err = finite("autocorrelation", a.products/squares); err != nil {
			return Summary{}, err
		}
		s.Lag1Known = true
	}
	return s, nil
}

// Mean returns the arithmetic mean of at least one value.
func Mean(x []float64) (float64, error) {
	if len(x) < 1 {
		return 0, Check(x, 1)
	}
	a, err := centred(x)
	return a.mean, err
}

// SD returns the sample standard deviation of at least two values,
//
//	s = sqrt( sum((x - mean)^2) / (n - 1) ),
//
// in two passes with the correction for the rounding of the mean (Chan, Golub
// and LeVeque, The American Statistician 37, 1983, formula 1.7).
func SD(x []float64) (float64, error) {
	if len(x) < 2 {
		return 0, Check(x, 2)
	}
	squares, err := sumOfSquares(x)
	if err != nil {
		return 0, err
	}
	return math.Sqrt(squares / float64(len(x)-1)), nil
}

// sumOfSquares returns the sum of squared deviations from the mean.
func sumOfSquares(x []float64) (float64, error) {
	a, err := centred(x)
	if err != nil {
		return 0, err
	}
	return finite("sum of squares", a.squares)
}

// aboutMean is the mean of a sample and the sums of [deviations] about it, which
// may be infinite.
type aboutMean struct{ mean, squares, products float64 }

// centred looks at one value or more. In exact arithmetic the deviations from
// the mean sum to nothing; what they do sum to corrects the mean and the squares.
func centred(x []float64) (aboutMean, error) {
	n := float64(len(x))
	mean, err := finite("mean", blockSum(x)/n)
	switch {
	case err != nil:
		// Of a value that is broken the place is told.
		return aboutMean{}, cmp.Or(Check(x, 1), err)
	case allEqual(x):
		return aboutMean{mean: x[0]}, nil
	}
	d := sumsAbout(x, mean)
	if math.IsNaN(d.sum) || math.IsInf(d.sum, 0) { // The spread is beyond a double, the mean is not.
		return aboutMean{mean: mean, squares: math.Inf(1)}, nil
	}
	// The mean that was rounded is off by this much: of a spread that is small against
	// the mean it is no little part.
	off := d.sum / n
	ends := (x[0] - mean) + (x[len(x)-1] - mean)
	return aboutMean{mean: mean + off, squares: max(d.squares-d.sum*off, 0), products: d.products - off*(2*d.sum-ends) + (n-1)*off*off}, nil
}

// Lag1 returns the autocorrelation of the series with itself one place later,
//
//	r1 = sum((x[i] - mean)(x[i+1] - mean), i = 1..n-1) / sum((x[i] - mean)^2),
//
// the estimator of Box and Jenkins with the one mean and the whole sum of
// squares (NIST/SEMATECH e-Handbook, 1.3.5.12). Values that are all equal have
// none: [ErrNoSpread].
func Lag1(x []float64) (float64, error) {
	s, err := Summarise(x)
	if err != nil {
		return 0, err
	}
	if !s.Lag1Known {
		return 0, fmt.Errorf("autocorrelation: %w", ErrNoSpread)
	}
	return s.Lag1, nil
}
