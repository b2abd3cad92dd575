package spc

import (
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

// EWMADesign watches single values x by their exponentially weighted mean
//
//	z = Lambda x + (1-Lambda) z before,  z = target at the start
//
// with the limits it has after many points, Limit sqrt(Lambda/(2-Lambda)) sigma
// from the target; a signal is a z strictly beyond one of them.
type EWMADesign struct {
	Lambda float64 // Weight of the newest value, 0.005 to 1.
	Limit  float64 // Limits in standard deviations of z, 0.1 to 6.
}

const (
	leastLambda      = 0.005
	leastEWMALimit   = 0.1
	largestEWMALimit = 6
)

func (d EWMADesign) check() error {
	if err := checkWithin("lambda", d.Lambda, leastLambda, 1); err != nil {
		return err
	}
	return checkWithin("limit", d.Limit, leastEWMALimit, largestEWMALimit)
}

// RunLengths returns the mean run length for each shift by the integral equation
// of the chart (Crowder, Technometrics 29, 1987; Lucas and Saccucci,
// Technometrics 32, 1990):
//
//	L(u) = 1 + 1/Lambda Int L(v) phi((v - (1-Lambda) u)/Lambda - shift) dv
//
// over v between the limits, with sigma 1 and the target at 0. The errors are
// those of [Design].
func (d EWMADesign) RunLengths(shifts ...float64) ([]float64, error) {
	means := make([]float64, len(shifts))
	for i, shift := range shifts {
		c, err := d.chain(shift)
		if err != nil {
			return nil, err
		}
		if means[i], err = given(c.meanSteps()[0]); err != nil {
			return nil, fmt.Errorf("shift of %v: %w", shift, err)
		}
	}
	return means, nil
}

// Within returns the chance of a signal among the first n points.
func (d EWMADesign) Within(shift float64, n int) (float64, error) {
	if err := checkPoints(n); err != nil {
		return 0, err
	}
	c, err := d.chain(shift)
	if err != nil {
		return 0, err
	}
	return withinOf(c.walk(0), n), nil
}

// chain has the target as node 0, at which no path arrives again exactly, and
// then the nodes between the limits.
func (d EWMADesign) chain(shift float64) (chain, error) {
	if err := d.check(); err != nil {
		return chain{}, err
	}
	if err := checkShift(shift); err != nil {
		return chain{}, err
	}
	limit := d.Limit * math.Sqrt(d.Lambda/(2-d.Lambda))
	nodes, weights := axis(-limit, limit, d.Lambda)
	nodes, weights = append([]float64{0}, nodes...), append([]float64{0}, weights...)
	c := chain{make([][]float64, len(nodes)), make([]float64, len(nodes))}
	for i, u := range nodes {
		// The mean of the next z, and z is normal about it with sigma Lambda.
		mean := (1-d.Lambda)*u + d.Lambda*shift
		c.step[i] = make([]float64, len(nodes))
		for j, v := range nodes {
			c.step[i][j] = weights[j] * stats.NormalDensity((v-mean)/d.Lambda) / d.Lambda
		}
		c.signal[i] = stats.NormalBelow((-limit-mean)/d.Lambda) + stats.NormalBelow((mean-limit)/d.Lambda)
	}
	return c, nil
}
