package spc

import (
	"fmt"
	"math"
	"sync"
)

// MaxSubgroup is the largest subgroup size with constants.
const MaxSubgroup = 100

// ErrSubgroupSize: a subgroup size without constants.
var ErrSubgroupSize = fmt.Errorf("subgroup size outside 2 to %d", MaxSubgroup)

// Constants are the factors of control charts for subgroups of N independent
// normal values with standard deviation sigma, in the usual letters (ASTM
// manual MNL 7, presentation of data and control chart analysis).
type Constants struct {
	N int

	D2 float64 // d2: mean of the range over sigma.
	D3 float64 // d3: standard deviation of the range over sigma.
	C4 float64 // c4: mean of the sample standard deviation (n-1) over sigma.
	// MedianRange is the median of the range over sigma.
	MedianRange float64
}

// allConstants is the whole set, found at the first use of any: the sizes share
// nearly all of the work (a benchmark keeps it under 50 ms).
var allConstants = sync.OnceValue(computeConstants)

func computeConstants() *[MaxSubgroup + 1]Constants {
	var all [MaxSubgroup + 1]Constants
	for n, of := range allRangeFigures() {
		if n >= 2 {
			all[n] = Constants{N: n, D2: of.mean, D3: of.sd, C4: c4(n), MedianRange: of.median}
		}
	}
	return &all
}

// For returns the constants for subgroups of n values, 2 to [MaxSubgroup].
//
// d2, d3 and the median range come from the distribution of the range by
// quadrature (range_distribution.go), c4 from the gamma function.
func For(n int) (Constants, error) {
	if n < 2 || n > MaxSubgroup {
		return Constants{}, fmt.Errorf("%d: %w", n, ErrSubgroupSize)
	}
	return allConstants()[n], nil
}

// c4 = sqrt(2/(n-1)) Gamma(n/2) / Gamma((n-1)/2), the mean of the chi
// distribution with n-1 degrees of freedom over the root of n-1.
func c4(n int) float64 {
	upper, _ := math.Lgamma(float64(n) / 2)
	lower, _ := math.Lgamma(float64(n-1) / 2)
	return math.Sqrt(2/float64(n-1)) * math.Exp(upper-lower)
}

func (c Constants) root() float64 { return math.Sqrt(float64(c.N)) }

// A = 3/sqrt(n): mean limits from a known sigma.
func (c Constants) A() float64 { return 3 / c.root() }

// A1 = 3/(c2 sqrt(n)), c2 = c4 sqrt((n-1)/n): mean limits from the mean of root
// mean square deviations taken with n instead of n-1.
func (c Constants) A1() float64 { return 3 / (c.C4 * math.Sqrt(float64(c.N-1))) }

// A2 = 3/(d2 sqrt(n)): mean limits from the mean range.
func (c Constants) A2() float64 { return 3 / (c.D2 * c.root()) }

// A3 = 3/(c4 sqrt(n)): mean limits from the mean standard deviation.
func (c Constants) A3() float64 { return 3 / (c.C4 * c.root()) }

// spreadC4 is the standard deviation of s over sigma, sqrt(1 - c4^2).
func (c Constants) spreadC4() float64 { return math.Sqrt(1 - c.C4*c.C4) }

// B3 = max(0, 1 - 3 sqrt(1-c4^2)/c4): low limit of s from its mean.
func (c Constants) B3() float64 { return max(0, 1-3*c.spreadC4()/c.C4) }

// B4 = 1 + 3 sqrt(1-c4^2)/c4: high limit of s from its mean.
func (c Constants) B4() float64 { return 1 + 3*c.spreadC4()/c.C4 }

// B5 = max(0, c4 - 3 sqrt(1-c4^2)): low limit of s from a known sigma.
func (c Constants) B5() float64 { return max(0, c.C4-3*c.spreadC4()) }

// B6 = c4 + 3 sqrt(1-c4^2): high limit of s from a known sigma.
func (c Constants) B6() float64 { return c.C4 + 3*c.spreadC4() }

// RangeLow is D1 = max(0, d2 - 3 d3): low limit of the range from a known sigma.
func (c Constants) RangeLow() float64 { return max(0, c.D2-3*c.D3) }

// RangeHigh is D2 = d2 + 3 d3: high limit of the range from a known sigma.
func (c Constants) RangeHigh() float64 { return c.D2 + 3*c.D3 }

// RangeLowFromMean is D3 = max(0, 1 - 3 d3/d2): low limit of the range from the
// mean range.
func (c Constants) RangeLowFromMean() float64 { return max(0, 1-3*c.D3/c.D2) }

// RangeHighFromMean is D4 = 1 + 3 d3/d2: high limit of the range from the mean
// range.
func (c Constants) RangeHighFromMean() float64 { return 1 + 3*c.D3/c.D2 }

// E2 = 3/d2: limits of single values from the mean range.
func (c Constants) E2() float64 { return 3 / c.D2 }

// E3 = 3/c4: limits of single values from the mean standard deviation.
func (c Constants) E3() float64 { return 3 / c.C4 }
