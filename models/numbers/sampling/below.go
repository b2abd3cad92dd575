package sampling

import "tracewright/models/numbers/stats"

// below is a binomial distribution function that keeps its first error, for
// searches and sums.
type below struct {
	n   int
	p   float64
	err error
}

// at returns the probability of c or fewer.
func (b *below) at(c int) float64 {
	below, err := stats.BinomialBelow(float64(c), float64(b.n), b.p)
	if err != nil && b.err == nil {
		b.err = err
	}
	return below
}

// firstOf returns the first error that is one.
func firstOf(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
