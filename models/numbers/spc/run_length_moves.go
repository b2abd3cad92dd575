package spc

import (
	"math"

	"tracewright/models/numbers/stats"
)

// Rules of moves ask whether the next point lies above or below the last, so a
// state goes together with the place of the last point in its zone. Places are
// taken by chance: t from 0 at the foot of the zone to 1 at its head, so that a
// point in the zone is even over t. If g(t) is how the chance of a state lies
// over the places and p the chance of its zone, then the next point lies
//
//	in another zone q          with the chance q Int g,  even over its places
//	in the same, above the last, with p Int_0^t g(s) ds  over the places t
//	in the same, below the last, with p Int_t^1 g(s) ds
//
// g is kept at Gauss-Legendre nodes, and the integrals to t are those of the
// polynomial through them: g is one, or the limit of ones whose terms fall off
// like a power series of the exponential function, so that few nodes give
// all digits.

// places are nodes in a zone with their weights, and the integral up to each
// node: below[i][j] is the integral from 0 to node i of the polynomial that is 1
// at node j and 0 at the others.
type places struct {
	weights []float64
	below   [][]float64
}

// placesFor returns enough nodes for a zone with the given chance.
func placesFor(chance float64) places {
	nodes, weights := stats.GaussLegendre(3+int(math.Ceil(8*chance)), 0, 1)
	n := len(nodes)
	p := places{weights: weights, below: make([][]float64, n)}
	for i, t := range nodes {
		p.below[i] = make([]float64, n)
		// n nodes integrate the polynomials of degree n-1 exactly.
		inner, innerWeights := stats.GaussLegendre(n, 0, t)
		for k, s := range inner {
			for j := range nodes {
				p.below[i][j] += innerWeights[k] * lagrange(nodes, j, s)
			}
		}
	}
	return p
}

// lagrange is the polynomial that is 1 at node j and 0 at the others, at s.
func lagrange(nodes []float64, j int, s float64) float64 {
	value := 1.0
	for i, node := range nodes {
		if i != j {
			value *= (s - node) / (nodes[j] - node)
		}
	}
	return value
}

// walkMoves follows the chances of the states where moves count.
func (c states) walkMoves(chances []float64) walk {
	within := make([]places, len(c.zones))
	for z, p := range chances {
		within[z] = placesFor(p)
	}
	now, then := c.noMass(within), c.noMass(within)
	now.even[0] = 1
	return func() (before, signal float64) {
		then.clear()
		before = now.even[0]
		signal = then.scatter(c.next[0], chances, noZone, before)
		for s, row := range c.next[1:] {
			last := c.last[s+1]
			p, g := within[last], now.over[s+1]
			mass := 0.0
			for j, w := range p.weights {
				g[j] += now.even[s+1]
				mass += w * g[j]
			}
			if mass == 0 {
				continue
			}
			before += mass
			signal += then.scatter(row[:len(c.zones)], chances, last, mass)
			signal += then.move(row[last], row[len(c.zones)], p, g, chances[last], mass)
		}
		now, then = then, now
		return before, signal
	}
}

// noZone is the zone of the last point before there is one.
const noZone = -1

// scatter sends a mass on to the states of the zones, except for one zone, and
// returns how much of it signals.
func (m *spread) scatter(row []int32, chances []float64, except int, mass float64) (signal float64) {
	for z, to := range row {
		switch {
		case z == except:
		case to == alarm:
			signal += mass * chances[z]
		default:
			m.even[to] += mass * chances[z]
		}
	}
	return signal
}

// move sends the mass that lies as g over the places of a zone on to the states
// above and under the last point in the same zone, and returns how much of it
// signals.
func (m *spread) move(above, under int32, p places, g []float64, chance, mass float64) (signal float64) {
	for i, part := range p.below {
		var below float64
		for j, weight := range part {
			below += weight * g[j]
		}
		up, down := chance*below, chance*(mass-below)
		if above == alarm {
			signal += p.weights[i] * up
		} else {
			m.over[above][i] += up
		}
		if under == alarm {
			signal += p.weights[i] * down
		} else {
			m.over[under][i] += down
		}
	}
	return signal
}

// spread is the chance of each state, part even over the places of its zone and
// part as it lies over them at the nodes.
type spread struct {
	even []float64
	over [][]float64
	all  []float64 // What over is cut from.
}

func (c states) noMass(within []places) *spread {
	var size int
	for _, last := range c.last {
		if last >= 0 {
			size += len(within[last].weights)
		}
	}
	m := &spread{make([]float64, len(c.next)), make([][]float64, len(c.next)), make([]float64, size)}
	at := 0
	for s, last := range c.last {
		if last >= 0 {
			n := len(within[last].weights)
			m.over[s], at = m.all[at:at+n], at+n
		}
	}
	return m
}

func (m *spread) clear() {
	clear(m.even)
	clear(m.all)
}
