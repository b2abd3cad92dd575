package spc

// Nonconforming computes the lines of an np chart: the number nonconforming of
// the same number of items each time (NIST/SEMATECH e-Handbook, 6.3.3.2;
// ISO 7870-2).
//
//	centre n p, limits n p -+ 3 sqrt(n p (1-p))
//
// within 0 and n, or the exact binomial tails (counts.go).
func Nonconforming(counts []int, n float64) (CountLimits, error) {
	return ofNonconforming.of(counts, level(n, len(counts)))
}

// The chart "np".
func nonconformingLimits(data Counts) (Limits, error) { return ofNonconforming.limits(data) }
func nonconformingPanels(data Counts, l Limits) ([]Panel, error) {
	return ofNonconforming.panels(data, l)
}
