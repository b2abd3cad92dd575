package stats

import (
	"math"
	"testing"
)

// A rule of n nodes integrates every polynomial of degree 2n-1: the weights sum to
// the length, and x^20 has the integral 2/21 on [-1, 1] from 11 nodes on.
func TestGaussLegendreIsExactForPolynomials(t *testing.T) {
	for n := 1; n <= 400; n++ {
		nodes, weights := GaussLegendre(n, -1, 1)
		if len(nodes) < n || len(nodes) != len(weights) {
			t.Fatalf("%d nodes asked for: %d, and %d weights", n, len(nodes), len(weights))
		}
		var length, power float64
		for i, x := range nodes {
			length += weights[i]
			power += weights[i] * math.Pow(x, 20)
		}
		if math.Abs(length-2) > 1e-12 {
			t.Errorf("%d nodes: weights sum to %.12g; want 2", n, length)
		}
		if n >= 11 && math.Abs(power-2./21) > 1e-12 {
			t.Errorf("%d nodes: x^20 integrates to %.12g; want %.12g", n, power, 2./21)
		}
	}
}

func TestGaussLegendreBetweenOtherEnds(t *testing.T) {
	nodes, weights := GaussLegendre(5, 1, 3)
	var sum float64
	for i, x := range nodes {
		sum += weights[i] * x * x
	}
	if want := 26. / 3; math.Abs(sum-want) > 1e-12 {
		t.Errorf("x^2 from 1 to 3: %v; want %v", sum, want)
	}
}
