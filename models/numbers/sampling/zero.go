package sampling

import (
	"sort"

	"tracewright/models/numbers/stats"
)

// ZeroPlan is a sample from one lot that may hold no nonconforming piece.
type ZeroPlan struct {
	Size int
	// Accepts is the probability of finding none although the lot holds the
	// number of nonconforming pieces it was made for.
	Accepts float64
}

// slack lets a probability that equals the wanted one in exact arithmetic pass,
// whatever the last bits of it are.
const slack = 1e-12

// ZeroAcceptance returns the smallest accept-on-zero sample from a lot that
// finds at least one of the given number of nonconforming pieces with
// probability 1 - risk or more: the least n with
//
//	C(lot - nonconforming, n) / C(lot, n) <= risk
//
// (hypergeometric, drawn without replacement). For an isolated lot this says
// what an AQL does not.
func ZeroAcceptance(lot, nonconforming int, risk float64) (ZeroPlan, error) {
	if err := checkLot(lot, nonconforming); err != nil {
		return ZeroPlan{}, err
	}
	if nonconforming == 0 {
		return ZeroPlan{}, refuse("nonconforming", 0, "must be 1 or more, or there is nothing to find")
	}
	if err := checkRisk("risk", risk); err != nil {
		return ZeroPlan{}, err
	}
	var failed error
	none := func(n int) float64 {
		p, err := stats.HypergeometricBelow(0, float64(lot), float64(nonconforming), float64(n))
		if err != nil {
			failed = err
		}
		return p
	}
	// All but the good ones and one more always find something.
	n := sort.Search(lot-nonconforming+1, func(n int) bool { return none(n) <= risk*(1+slack) })
	plan := ZeroPlan{Size: n, Accepts: none(n)}
	return plan, failed
}
