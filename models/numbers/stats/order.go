package stats

import "slices"

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
	middle := len(sorted) / 2
	if len(sorted)%2 == 1 {
		return sorted[middle], nil
	}
	// Half each first, so that two large values do not overflow.
	return sorted[middle-1]/2 + sorted[middle]/2, nil
}
