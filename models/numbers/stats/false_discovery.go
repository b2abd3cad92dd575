package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Discovery is one of many tests judged beside the others.
type Discovery struct {
	P float64
	// Adjusted is the least rate of false discoveries at which the test would be
	// a discovery; Found, that it is one at the rate asked for.
	Adjusted float64
	Found    bool
}

// FalseDiscovery judges many tests at once so that of those found the expected
// share without a cause is at most rate (Benjamini and Hochberg, Journal of the
// Royal Statistical Society B 57, 1995). With the p of m tests sorted,
//
//	found are the first k, k the largest with p(k) <= k rate/m,
//	adjusted(i) = min over j >= i of m p(j)/j.
//
// It holds for tests that are independent or go along with each other. The answer
// is in the order of p.
func FalseDiscovery(p []float64, rate float64) ([]Discovery, error) {
	if err := checkOpen("rate", rate); err != nil {
		return nil, err
	}
	if len(p) == 0 {
		return nil, about("p", Check(p, 1))
	}
	order := make([]int, len(p))
	for i, v := range p {
		if math.IsNaN(v) || v < 0 || v > 1 {
			return nil, outside(fmt.Sprintf("p[%d]", i), v, "must lie from 0 to 1")
		}
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(p[a], p[b]) })
	found := make([]Discovery, len(p))
	m, least, below := float64(len(p)), 1., false
	for place, i := range slices.Backward(order) {
		rank := float64(place + 1)
		least = min(least, p[i]*(m/rank))
		below = below || p[i] <= rank*rate/m
		found[i] = Discovery{P: p[i], Adjusted: least, Found: below}
	}
	return found, nil
}
