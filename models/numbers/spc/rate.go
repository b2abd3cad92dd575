package spc

// Rates computes the lines of a u chart: nonconformities on so many units,
// which need be neither whole nor the same each time (ISO 7870-2; ASTM MNL 7).
//
//	centre u = all counts / all units, limits u -+ 3 sqrt(u / units)
//
// not below 0, or the exact Poisson tails (counts.go).
func Rates(counts []int, units []float64) (CountLimits, error) { return ofRates.of(counts, units) }

// The chart "u".
func rateLimits(data Counts) (Limits, error)            { return ofRates.limits(data) }
func ratePanels(data Counts, l Limits) ([]Panel, error) { return ofRates.panels(data, l) }
