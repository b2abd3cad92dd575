package stats

import (
	"fmt"
	"math"
)

// Moments tell the shape of a sample by its third and fourth moments. All of
// them are near 0 for normal values.
type Moments struct {
	// Skewness is g1 = m3/m2^(3/2), with m_j = sum((x - mean)^j)/n.
	Skewness float64
	// AdjustedSkewness is G1 = g1 sqrt(n(n-1))/(n-2); it needs 3 values.
	AdjustedSkewness float64
	// Kurtosis is the excess g2 = m4/m2^2 - 3.
	Kurtosis float64
	// AdjustedKurtosis is G2 = ((n+1) g2 + 6)(n-1)/((n-2)(n-3)); it is unbiased
	// for normal values, needs 4 of them, and AdjustedKurtosisKnown says so.
	AdjustedKurtosis      float64
	AdjustedKurtosisKnown bool
}

// MomentsOf returns the shape of at least 3 values that are not all equal; the
// estimators are compared by Joanes and Gill (The Statistician 47, 1998).
func MomentsOf(x []float64) (Moments, error) {
	z, _, _, err := standardised(x, 3)
	if err != nil {
		return Moments{}, err
	}
	n := float64(len(x))
	cubes, fourths := make([]float64, len(z)), make([]float64, len(z))
	for i, v := range z {
		cubes[i], fourths[i] = v*v*v, v*v*v*v
	}
	// z is in units of the (n-1) standard deviation; m2 in them is (n-1)/n.
	m2 := (n - 1) / n
	m := Moments{Skewness: Sum(cubes) / n / math.Pow(m2, 1.5), Kurtosis: Sum(fourths)/n/(m2*m2) - 3}
	m.AdjustedSkewness = m.Skewness * math.Sqrt(n*(n-1)) / (n - 2)
	if m.AdjustedKurtosisKnown = len(x) > 3; m.AdjustedKurtosisKnown {
		m.AdjustedKurtosis = ((n+1)*m.Kurtosis + 6) * (n - 1) / ((n - 2) * (n - 3))
	}
	return m, nil
}

// standardised returns (x - mean)/sd of at least least values, which may not all
// be equal, in their order.
func standardised(x []float64, least int) (z []float64, mean, sd float64, err error) {
	if err := Check(x, least); err != nil {
		return nil, 0, 0, err
	}
	if mean, err = Mean(x); err != nil {
		return nil, 0, 0, err
	}
	if sd, err = SD(x); err != nil {
		return nil, 0, 0, err
	}
	if allEqual(x) || sd == 0 {
		return nil, 0, 0, fmt.Errorf("standardise: %w", ErrNoSpread)
	}
	z = make([]float64, len(x))
	for i, v := range x {
		z[i] = (v - mean) / sd
	}
	return z, mean, sd, nil
}

func allEqual(x []float64) bool {
	for _, v := range x {
		if v != x[0] {
			return false
		}
	}
	return true
}
