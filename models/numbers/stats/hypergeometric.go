package stats

import "math"

// HypergeometricBelow returns the probability of k or fewer marked things among
// drawn that are taken without replacement out of lot, of which marked are
// marked.
func HypergeometricBelow(k, lot, marked, drawn float64) (float64, error) {
	below, _, err := hypergeometricTails(k, lot, marked, drawn)
	return below, err
}

// HypergeometricAbove returns the probability of more than k.
func HypergeometricAbove(k, lot, marked, drawn float64) (float64, error) {
	_, above, err := hypergeometricTails(k, lot, marked, drawn)
	return above, err
}

func hypergeometricTails(k, lot, marked, drawn float64) (below, above float64, err error) {
	for _, count := range []struct {
		name  string
		value float64
	}{{"lot", lot}, {"marked", marked}, {"drawn", drawn}} {
		if err := checkCount(count.name, count.value); err != nil {
			return 0, 0, err
		}
	}
	switch k = math.Floor(k); {
	case math.IsNaN(k):
		return 0, 0, about("k", ErrNotFinite)
	case marked > lot:
		return 0, 0, outside("marked", marked, "must not be above the lot")
	case drawn > lot:
		return 0, 0, outside("drawn", drawn, "must not be above the lot")
	case k < max(0, drawn-(lot-marked)):
		return 0, 1, nil
	case k >= min(drawn, marked):
		return 1, 0, nil
	}
	rest := lot - marked - drawn // Unmarked things that stay behind, less the marked drawn.
	// Summed from the side of k that is away from the middle, so that the terms
	// fall off, by the ratios of neighbours.
	if k < (drawn+1)*(marked+1)/(lot+2) {
		sum, term := 1., 1.
		for x := k; x > 0 && rest+x > 0 && term > 1e-17*sum; x-- {
			term *= x * (rest + x) / ((marked - x + 1) * (drawn - x + 1))
			sum += term
		}
		below = min(hypergeometric(k, lot, marked, drawn)*sum, 1)
		return below, 1 - below, nil
	}
	sum, term := 1., 1.
	for x := k + 1; x < min(drawn, marked) && term > 1e-17*sum; x++ {
		term *= (marked - x) * (drawn - x) / ((x + 1) * (rest + x + 1))
		sum += term
	}
	above = min(hypergeometric(k+1, lot, marked, drawn)*sum, 1)
	return 1 - above, above, nil
}

// hypergeometric returns the probability of exactly x marked things, which is
//
//	b(x; marked, f) b(drawn-x; lot-marked, f) / b(drawn; lot, f), f = drawn/lot,
//
// with the binomial probabilities b written by deviances as in Loader, 2000, so
// that no large logarithms are subtracted.
func hypergeometric(x, lot, marked, drawn float64) float64 {
	taken, left := drawn/lot, (lot-drawn)/lot
	return math.Exp(logBinomial(x, marked, taken, left) + logBinomial(drawn-x, lot-marked, taken, left) -
		logBinomial(drawn, lot, taken, left))
}

// logBinomial returns the logarithm of the probability of exactly x of n at
// chance p each, with q = 1 - p given exactly.
func logBinomial(x, n, p, q float64) float64 {
	switch {
	case x == 0 && n == 0:
		return 0
	case x == 0:
		return n * logOf(q, p)
	case x == n:
		return n * logOf(p, q)
	}
	return stirlingError(n) - stirlingError(x) - stirlingError(n-x) -
		deviance(x, n*p) - deviance(n-x, n*q) + math.Log(n/x/(n-x))/2 - halfLog2Pi
}

// logOf returns ln p for p = 1 - q from the smaller of the two.
func logOf(p, q float64) float64 {
	if q < p {
		return math.Log1p(-q)
	}
	return math.Log(p)
}
