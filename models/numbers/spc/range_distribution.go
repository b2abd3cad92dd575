package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// The range W of n independent standard normal values has the distribution
//
//	P(W <= w) = n Int phi(x) [Phi(x+w) - Phi(x)]^(n-1) dx
//
// and so E W = Int (1 - P) dw and E W^2 = 2 Int w (1 - P) dw, both from 0
// (Tippett, Biometrika 17, 1925; Harter, Annals of Mathematical Statistics 31,
// 1960). The smallest value x lies in [-reach, reach]; what is left of its
// place in the sample is n-1 values between x and x+w. Both integrals are done
// by Gauss-Legendre quadrature; the integrands are smooth, and nothing of them
// above 1e-16 lies outside the intervals for n up to 100.
const (
	reach      = 9.0  // Single values lie within this many sigma.
	widest     = 18.0 // Ranges lie below this many sigma.
	panels     = 6
	panelNodes = 36
)

// rangeFigures are the figures of W for one size.
type rangeFigures struct{ mean, sd, median float64 }

// allRangeFigures returns the figures for every size from 2 to [MaxSubgroup],
// in its place.
//
// The differences Phi(x+w) - Phi(x) do not depend on n: they are found once for
// every pair of nodes, and their power goes up by one from size to size.
func allRangeFigures() [MaxSubgroup + 1]rangeFigures {
	singles, ranges := newLegendre(-reach, reach), newLegendre(0, widest)
	below := make([]float64, len(singles.nodes)) // Phi(x)
	for i, x := range singles.nodes {
		below[i] = stats.NormalBelow(x)
	}
	var all [MaxSubgroup + 1]rangeFigures
	var mean, square [MaxSubgroup + 1]float64
	between, power := make([]float64, len(below)), make([]float64, len(below))
	for j, w := range ranges.nodes {
		for i, x := range singles.nodes {
			between[i] = stats.NormalBelow(x+w) - below[i]
			power[i] = singles.weights[i] * stats.NormalDensity(x)
		}
		for n := 2; n <= MaxSubgroup; n++ {
			var p float64
			for i, b := range between {
				power[i] *= b
				p += power[i]
			}
			beyond := ranges.weights[j] * (1 - float64(n)*p)
			mean[n] += beyond
			square[n] += 2 * w * beyond
		}
	}
	median := 0.9 // Near that of two; each size starts from the one before.
	for n := 2; n <= MaxSubgroup; n++ {
		median = rangeMedian(n, median, singles, below)
		all[n] = rangeFigures{mean[n], math.Sqrt(square[n] - mean[n]*mean[n]), median}
	}
	return all
}

// rangeMedian returns the w with P(W <= w) = 1/2 by Newton's method from a guess
// below it; the density of W is
//
//	n (n-1) Int phi(x) phi(x+w) [Phi(x+w) - Phi(x)]^(n-2) dx.
func rangeMedian(n int, guess float64, singles legendre, below []float64) float64 {
	w := guess
	for range 30 { // Five or six steps do; the bound only keeps the loop finite.
		var p, density float64
		for i, x := range singles.nodes {
			between := stats.NormalBelow(x+w) - below[i]
			part := singles.weights[i] * stats.NormalDensity(x) * math.Pow(between, float64(n-2))
			p += part * between
			density += part * stats.NormalDensity(x+w)
		}
		step := (float64(n)*p - 0.5) / (float64(n) * float64(n-1) * density)
		w -= step
		if math.Abs(step) < 1e-14*w {
			break
		}
	}
	return w
}

// legendre holds nodes and weights of a composite Gauss-Legendre rule.
type legendre struct{ nodes, weights []float64 }

func newLegendre(from, to float64) legendre {
	var l legendre
	width := (to - from) / panels
	for i := range panels {
		low := from + float64(i)*width
		nodes, weights := stats.GaussLegendre(panelNodes, low, low+width)
		l.nodes, l.weights = append(l.nodes, nodes...), append(l.weights, weights...)
	}
	return l
}
