package spc

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// The range W of n independent standard normal values has the distribution
//
//	P(W <= w) = n Int phi(x) [Phi(x+w) - Phi(x)]^(n-1) dx
//
// and so E W = Int (1 - P) dw and E W^2 = 2 Int w (1 - P) dw, both from 0
// (Tippett, Biometrika 17, 1925; Harter, Annals of Mathematical Statistics 31,
// 1960). Both integrals are done by Gauss-Legendre quadrature; the integrands
// are smooth, and nothing of them above 1e-16 lies outside the intervals for
// n up to 100.
const (
	reach      = 9.0  // Single values lie within this many sigma.
	widest     = 18.0 // Ranges lie below this many sigma.
	panels     = 6
	panelNodes = 40
)

// legendre holds nodes and weights of a composite Gauss-Legendre rule.
type legendre struct{ nodes, weights []float64 }

func newLegendre(from, to float64) legendre {
	l := legendre{make([]float64, panels*panelNodes), make([]float64, panels*panelNodes)}
	width := (to - from) / panels
	for i := range panels {
		low := from + float64(i)*width
		part := l.nodes[i*panelNodes : (i+1)*panelNodes]
		quad.Legendre{}.FixedLocations(part, l.weights[i*panelNodes:(i+1)*panelNodes], low, low+width)
	}
	return l
}

// rangeBelow returns P(W <= w) as a function of w for ranges of n values.
func rangeBelow(n int) func(w float64) float64 {
	// The smallest value x lies in [-reach, reach]; what is left of its place in
	// the sample is n-1 values between x and x+w.
	rule := newLegendre(-reach, reach)
	density, below := make([]float64, len(rule.nodes)), make([]float64, len(rule.nodes))
	for i, x := range rule.nodes {
		density[i] = float64(n) * rule.weights[i] * math.Exp(-x*x/2) / math.Sqrt(2*math.Pi)
		below[i] = normalBelow(x)
	}
	return func(w float64) float64 {
		var p float64
		for i, x := range rule.nodes {
			p += density[i] * math.Pow(normalBelow(x+w)-below[i], float64(n-1))
		}
		return p
	}
}

// rangeMoments returns the mean and the standard deviation of W, d2 and d3.
func rangeMoments(n int) (mean, sd float64) {
	below := rangeBelow(n)
	rule := newLegendre(0, widest)
	var square float64
	for i, w := range rule.nodes {
		beyond := rule.weights[i] * (1 - below(w))
		mean += beyond
		square += 2 * w * beyond
	}
	return mean, math.Sqrt(square - mean*mean)
}

// rangeMedian returns the median of W by halving, to the last bit.
func rangeMedian(n int) float64 {
	below := rangeBelow(n)
	low, high := 0.0, widest
	for {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			return middle
		}
		if below(middle) < 0.5 {
			low = middle
		} else {
			high = middle
		}
	}
}

// normalBelow is the standard normal distribution function.
func normalBelow(x float64) float64 { return math.Erfc(-x/math.Sqrt2) / 2 }
