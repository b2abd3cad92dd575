package spc

// Proportions computes the lines of a p chart: the share nonconforming of the
// items inspected each time, whose numbers may differ (NIST/SEMATECH
// e-Handbook, 6.3.3.2; ISO 7870-2).
//
//	centre p = all counts / all items, limits p -+ 3 sqrt(p (1-p) / n)
//
// within 0 and 1, or the exact binomial tails (counts.go).
func Proportions(counts []int, n []float64) (CountLimits, error) { return ofProportions.of(counts, n) }

// The chart "p".
func proportionLimits(data Counts) (Limits, error)            { return ofProportions.limits(data) }
func proportionPanels(data Counts, l Limits) ([]Panel, error) { return ofProportions.panels(data, l) }
