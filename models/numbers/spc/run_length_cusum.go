package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// CUSUMDesign watches single values by two cumulative sums, in sigma from the
// target:
//
//	high = max(0, high before + x - Slack),  low = max(0, low before - x - Slack)
//
// a signal is a sum strictly above Interval.
type CUSUMDesign struct {
	Slack    float64 // The reference value k, half the shift to be found quickly; 0 to 10.
	Interval float64 // The decision interval h, 0.01 to 40.
	// HeadStart is where both sums begin, for a fast initial response (Lucas and
	// Crosier, Technometrics 24, 1982, take half of Interval). At most Interval/2 +
	// Slack: above that one sum could signal while the other is not at 0, and the
	// two would no longer come apart.
	HeadStart float64
}

const (
	largestSlack    = 10
	leastInterval   = 0.01
	largestInterval = 40
)

func (d CUSUMDesign) check() error {
	if err := checkWithin("slack", d.Slack, 0, largestSlack); err != nil {
		return err
	}
	if err := checkWithin("interval", d.Interval, leastInterval, largestInterval); err != nil {
		return err
	}
	return checkWithin("head_start", d.HeadStart, 0, min(d.Interval, d.Interval/2+d.Slack))
}

// RunLengths returns the mean run length for each shift. That of one sum alone,
// from where it begins, is the solution of Page's integral equation (Biometrika
// 41, 1954), here of the high one from u:
//
//	L(u) = 1 + L(0) Phi(Slack - u - shift) + Int_0^Interval L(v) phi(v - u + Slack - shift) dv
//
// When one sum signals the other is at 0, so that of both together is
//
//	(H(s) L(0) + H(0) L(s) - H(0) L(0)) / (H(0) + L(0))
//
// with H and L those of the high and the low sum and s the head start (Lucas and
// Crosier, Technometrics 24, 1982); without head start 1/(1/H + 1/L). The errors
// are those of [Design].
func (d CUSUMDesign) RunLengths(shifts ...float64) ([]float64, error) {
	means := make([]float64, len(shifts))
	for i, shift := range shifts {
		high, low, err := d.chains(shift)
		if err != nil {
			return nil, err
		}
		h, l := high.meanSteps(), low.meanSteps()
		if means[i], err = given(ofBoth(h[1], h[0], l[1], l[0])); err != nil {
			return nil, fmt.Errorf("shift of %v: %w", shift, err)
		}
	}
	return means, nil
}

// ofBoth is the mean run length of two sums together from those of each alone,
// from the head start and from 0. One of them may be beyond all numbers.
func ofBoth(startA, zeroA, startB, zeroB float64) float64 {
	if zeroA > zeroB {
		startA, zeroA, startB, zeroB = startB, zeroB, startA, zeroA
	}
	// The formula over zeroB, the larger.
	share := 1.0
	if !math.IsInf(zeroB, 1) {
		share = startB / zeroB
	}
	return (startA + zeroA*share - zeroA) / (1 + zeroA/zeroB)
}

// chains are those of the high and the low sum: node 0 is the sum at 0, node 1
// the head start, at which no path arrives again exactly, and then those up to
// Interval.
func (d CUSUMDesign) chains(shift float64) (high, low chain, err error) {
	if err := d.check(); err != nil {
		return chain{}, chain{}, err
	}
	if err := checkShift(shift); err != nil {
		return chain{}, chain{}, err
	}
	return d.chain(shift), d.chain(-shift), nil
}

// chain is that of the high sum. The low one is the high one of a process
// shifted the other way.
func (d CUSUMDesign) chain(shift float64) chain {
	nodes, weights := axis(0, d.Interval, 1)
	nodes, weights = append([]float64{0, d.HeadStart}, nodes...), append([]float64{0, 0}, weights...)
	c := chain{make([][]float64, len(nodes)), make([]float64, len(nodes))}
	for i, u := range nodes {
		mean := u + shift - d.Slack // Of the next sum before it is held at 0.
		c.step[i] = make([]float64, len(nodes))
		c.step[i][0] = stats.NormalBelow(-mean)
		for j := 2; j < len(nodes); j++ {
			c.step[i][j] = weights[j] * stats.NormalDensity(nodes[j]-mean)
		}
		c.signal[i] = stats.NormalBelow(mean - d.Interval)
	}
	return c
}

// Within returns the chance of a signal among the first n points.
func (d CUSUMDesign) Within(shift float64, n int) (float64, error) {
	if err := checkPoints(n); err != nil {
		return 0, err
	}
	high, low, err := d.chains(shift)
	if err != nil {
		return 0, err
	}
	return withinOf(both(high, low), n), nil
}

// both follows two sums of which one is at 0 when the other signals. Let f(n) be
// the chance that the high sum signals first of both, at point n, and g(n) the
// same of the low one. Left to run, the high sum signals for the first time at n
// either as the first of both, or after the low one did at some m, when it
// stood at 0: P(high, n) = f(n) + Sum g(m) P0(high, n-m), with P0 for a sum that
// begins at 0, and likewise for the low one. That gives f and g point by point,
// each after a sum over all points before. From followed points on the share that
// signals is taken to stay. Where it has not settled by then, with a slack near 0
// and a long Interval, fewer than one run in a hundred is left, and a chance is
// right to five digits.
func both(high, low chain) walk {
	const (
		rounding = 1e-13
		followed = 4000
	)
	type side struct {
		start, zero walk
		fromZero    []float64 // Chance that a sum from 0 signals at points 1, 2, ...
		first       []float64 // Chance that it is the first of both, at points 1, 2, ...
	}
	sides := [2]side{{start: high.walk(1), zero: high.walk(0)}, {start: low.walk(1), zero: low.walk(0)}}
	left, share := 1.0, 0.0
	return func() (before, signal float64) {
		if len(sides[0].first) == followed {
			before, signal = left, left*share
			left -= signal
			return before, signal
		}
		var now [2]float64
		for i := range sides {
			s, other := &sides[i], sides[1-i]
			_, now[i] = s.start()
			for m, g := range other.first {
				now[i] -= g * s.fromZero[len(other.first)-1-m]
			}
			now[i] = max(0, now[i])
		}
		for i := range sides {
			s := &sides[i]
			_, zero := s.zero()
			s.fromZero, s.first = append(s.fromZero, zero), append(s.first, now[i])
		}
		before, signal = left, min(left, now[0]+now[1])
		if left < rounding {
			signal = left // The differences above hold no digit of it any more.
		}
		left, share = left-signal, signal/left
		return before, signal
	}
}
