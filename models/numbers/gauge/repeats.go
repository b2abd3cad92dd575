package gauge

import (
	"math"

	"tracewright/models/numbers/stats"
)

// Mean is the mean of repeated readings with its type A uncertainty.
type Mean struct {
	N     int
	Value float64
	// S is the standard deviation (n-1) of single readings, U = S/sqrt(n) that of
	// the mean, with DoF = n-1. One reading has neither: SpreadKnown is false.
	S, U        float64
	DoF         int
	SpreadKnown bool
}

// MeanOf evaluates at least one reading (JCGM 100:2008, 4.2). Readings that never
// differ have U = 0 by this; the resolution of the gauge then has to stand in
// the budget.
func MeanOf(readings []float64) (Mean, error) {
	value, err := stats.Mean(readings)
	if err != nil {
		return Mean{}, about("readings", err)
	}
	m := Mean{N: len(readings), Value: value, DoF: len(readings) - 1}
	if m.N == 1 {
		return m, nil
	}
	if m.S, err = stats.SD(readings); err != nil {
		return Mean{}, about("readings", err)
	}
	m.U, m.SpreadKnown = m.S/math.Sqrt(float64(m.N)), true
	return m, nil
}
