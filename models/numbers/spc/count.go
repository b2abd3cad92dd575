package spc

// CountsOnUnit computes the lines of a c chart: nonconformities on one and the
// same unit each time (NIST/SEMATECH e-Handbook, 6.3.3.1; ISO 7870-2).
//
//	centre c = mean count, limits c -+ 3 sqrt(c)
//
// not below 0, or the exact Poisson tails (counts.go).
func CountsOnUnit(counts []int) (CountLimits, error) { return ofCounts.of(counts, nil) }

// The chart "c".
func countLimits(data Counts) (Limits, error)            { return ofCounts.limits(data) }
func countPanels(data Counts, l Limits) ([]Panel, error) { return ofCounts.panels(data, l) }
