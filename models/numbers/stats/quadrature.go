package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// GaussLegendre returns the nodes and weights of a Gauss-Legendre rule between two
// ends, for all of the program: of n nodes, but of 27 where 26 are asked for. The
// library's rule of 26 is wrong (gonum v0.17.0: its weights sum to 1.97890 on
// [-1, 1], where every other n up to 400 gives 2), and one node more costs nothing.
func GaussLegendre(n int, from, to float64) (nodes, weights []float64) {
	const wrong = 26
	if n == wrong {
		n++
	}
	nodes, weights = make([]float64, n), make([]float64, n)
	quad.Legendre{}.FixedLocations(nodes, weights, from, to)
	return nodes, weights
}

// panelNodes is the order of the Gauss-Legendre rule laid on every panel.
const panelNodes = 20

// legendre holds the rule on [-1, 1].
var legendre = func() (rule struct{ at, weight [panelNodes]float64 }) {
	at, weight := GaussLegendre(panelNodes, -1, 1)
	copy(rule.at[:], at)
	copy(rule.weight[:], weight)
	return rule
}()

// node is one place of a quadrature with its weight.
type node struct{ at, weight float64 }

// nodesBetween lays the rule on panels between neighbouring breaks, which need
// not be sorted; breaks outside [from, to] are passed over.
func nodesBetween(from, to float64, panels int, breaks ...float64) []node {
	edges := []float64{from, to}
	for _, b := range breaks {
		if b > from && b < to {
			edges = append(edges, b)
		}
	}
	slices.Sort(edges)
	nodes := make([]node, 0, (len(edges)-1)*panels*panelNodes)
	for i := range len(edges) - 1 {
		half := (edges[i+1] - edges[i]) / float64(2*panels)
		for panel := range panels {
			middle := edges[i] + half*float64(2*panel+1)
			for j := range panelNodes {
				nodes = append(nodes, node{middle + half*legendre.at[j], half * legendre.weight[j]})
			}
		}
	}
	return nodes
}

// spreadNodes returns places and weights to average a function of s over the
// distribution of s = sqrt(chi-square/df), a standard deviation in units of the
// true one. The weights hold the density
//
//	f(s) = (df/s) K(df/2, df s^2/2),  K(a, x) = x^a e^-x / Gamma(a+1),
//
// and sum to 1. What the function does quickly is told by breaks.
func spreadNodes(df float64, panels int, breaks ...float64) []node {
	const tail = 1e-18
	a := df / 2
	from := math.Sqrt(gammaInverse(tail, 1, a) / a)
	to := math.Sqrt(gammaInverse(1, tail, a) / a)
	nodes := nodesBetween(from, to, panels, breaks...)
	for i, n := range nodes {
		nodes[i].weight *= df / n.at * gammaKernel(a, a*n.at*n.at)
	}
	return nodes
}
