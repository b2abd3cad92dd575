package stats

import (
	"fmt"
	"math"
	"slices"
)

// Distinct returns how many different values x holds. Few of them in a long
// series say that the gauge is too coarse for the process.
func Distinct(x []float64) int {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	return len(slices.Compact(sorted))
}

// Median returns the middle of at least one value by size, the mean of the two
// middle ones when their number is even.
func Median(x []float64) (float64, error) {
	if err := Check(x, 1); err != nil {
		return 0, err
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	return middleOf(sorted), nil
}

func middleOf(sorted []float64) float64 {
	middle := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[middle]
	}
	// Half each first, so that two large values do not overflow.
	return sorted[middle-1]/2 + sorted[middle]/2
}

// QuantileRule says which place among the sorted values x(1) to x(n) a fraction
// p of them stands for; between two places the line joins them. The numbers are
// those of Hyndman and Fan (The American Statistician 50, 1996).
type QuantileRule int

const (
	// QuantileMean is definition 6: the place is (n+1)p, so that the ends are the
	// expected fractions below x(1) and x(n). The e-Handbook uses it (7.2.6.2).
	QuantileMean QuantileRule = 6
	// QuantileMode is definition 7: the place is 1 + (n-1)p, so that 0 is the
	// least value and 1 the greatest.
	QuantileMode QuantileRule = 7
)

// Quantile returns the value with a fraction p of at least one value below it,
// by the rule given. Places beyond the ends are the ends.
func Quantile(x []float64, p float64, rule QuantileRule) (float64, error) {
	if err := Check(x, 1); err != nil {
		return 0, err
	}
	if !(p >= 0 && p <= 1) {
		return 0, outside("p", p, "must lie from 0 to 1")
	}
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	n := float64(len(x))
	var place float64 // From 0.
	switch rule {
	case QuantileMean:
		place = (n+1)*p - 1
	case QuantileMode:
		place = (n - 1) * p
	default:
		return 0, &ArgumentError{Argument: "rule", Err: fmt.Errorf("%d is neither 6 nor 7: %w", rule, ErrOutOfRange)}
	}
	place = min(max(place, 0), n-1)
	low := math.Floor(place)
	part := place - low
	a, b := sorted[int(low)], sorted[int(min(low+1, n-1))]
	return a*(1-part) + b*part, nil
}
