package spc

import "math"

// Degrees of freedom of a spread that is no plain standard deviation: those of
// the one with the same relative variance, 1/(2 var(sigma)/sigma^2).

// MovingRangeDegrees returns the degrees of freedom of the mean moving range of
// n values over d2(2), n at least 2,
//
//	(n-1)^2 / (2 (0.8264 n - 1.082)),
//
// about 0.6 of the n-1 that a standard deviation has (the constants follow from
// the covariance of neighbouring ranges, (4/pi)(sqrt(3)/2 + pi/12 - 1); Cryer
// and Ryan, Journal of Quality Technology 22, 1990).
func MovingRangeDegrees(n int) (float64, error) {
	if n < 2 {
		return 0, wrong("n", ErrSetting, "%d must be at least 2", n)
	}
	ranges := float64(n - 1)
	const d2 = 2 / 1.7724538509055160273 // 2/sqrt(pi)
	variance := 2 - 4/math.Pi
	covariance := 4 / math.Pi * (math.Sqrt(3)/2 + math.Pi/12 - 1)
	return d2 * d2 * ranges * ranges / (2 * (ranges*variance + 2*(ranges-1)*covariance)), nil
}

// MeanRangeDegrees returns the degrees of freedom of the mean range of that
// many subgroups of n over d2(n): groups d2^2/(2 d3^2).
func MeanRangeDegrees(n, groups int) (float64, error) {
	return groupDegrees(n, groups, func(c Constants) float64 { return (c.D3 / c.D2) * (c.D3 / c.D2) })
}

// MeanSDDegrees returns the degrees of freedom of the mean standard deviation of
// that many subgroups of n over c4(n): groups c4^2/(2 (1 - c4^2)).
func MeanSDDegrees(n, groups int) (float64, error) {
	return groupDegrees(n, groups, func(c Constants) float64 { return (1 - c.C4*c.C4) / (c.C4 * c.C4) })
}

// groupDegrees turns the relative variance of one subgroup's spread into the
// degrees of freedom of the mean of many.
func groupDegrees(n, groups int, variance func(Constants) float64) (float64, error) {
	if groups < 1 {
		return 0, wrong("groups", ErrSetting, "%d must be at least 1", groups)
	}
	c, err := For(n)
	if err != nil {
		return 0, at("n", err)
	}
	return float64(groups) / (2 * variance(c)), nil
}
