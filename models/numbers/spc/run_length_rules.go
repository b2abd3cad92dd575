package spc

import (
	"fmt"
	"math"
)

// RuleDesign watches single values, or means of subgroups, by run rules: the
// first point at which one of them is met is the signal.
type RuleDesign struct {
	Rules []string
	// Width is how many sigma of what is plotted the limits lie from the centre;
	// the zone lines of the rules lie at thirds of it. 0 stands for the usual 3.
	Width float64
	// Size is how many values each point is the mean of; 0 stands for 1. A shift
	// is counted in sigma of a single value and is sqrt(Size) times as many sigma
	// of such a mean.
	Size int
}

const (
	usualWidth  = 3
	leastWidth  = 0.25
	widestWidth = 8
	// largestSize is the largest subgroup that a design speaks of.
	largestSize = 1_000_000
)

// normal returns the design with what 0 stands for, or an error wrapping
// [ErrDesign].
func (d RuleDesign) normal() (RuleDesign, error) {
	if d.Width == 0 {
		d.Width = usualWidth
	}
	if d.Size == 0 {
		d.Size = 1
	}
	if err := checkWithin("width", d.Width, leastWidth, widestWidth); err != nil {
		return d, err
	}
	return d, checkWithin("size", float64(d.Size), 1, largestSize)
}

// RunLengths returns the mean run length for each shift, by following the Markov
// chain of the rules point by point; exact but for rounding (zones: Champ and
// Woodall, Technometrics 29, 1987; rules of moves: run_length_moves.go). The
// errors are those of [Design] and of the names, as in [Look].
func (d RuleDesign) RunLengths(shifts ...float64) ([]float64, error) {
	w, err := d.watch()
	if err != nil {
		return nil, err
	}
	means := make([]float64, len(shifts))
	for i, shift := range shifts {
		next, err := w.walk(shift)
		if err != nil {
			return nil, err
		}
		if means[i], err = meanOf(next); err != nil {
			return nil, fmt.Errorf("shift of %v: %w", shift, err)
		}
	}
	return means, nil
}

// Within returns the chance of a signal among the first n points.
func (d RuleDesign) Within(shift float64, n int) (float64, error) {
	w, err := d.watch()
	if err != nil {
		return 0, err
	}
	if err := checkPoints(n); err != nil {
		return 0, err
	}
	next, err := w.walk(shift)
	if err != nil {
		return 0, err
	}
	return withinOf(next, n), nil
}

// watched is a design with the chain of its rules.
type watched struct {
	RuleDesign
	states
}

func (d RuleDesign) watch() (watched, error) {
	rules, err := rulesNamed(d.Rules)
	if err != nil {
		return watched{}, err
	}
	if d, err = d.normal(); err != nil {
		return watched{}, err
	}
	return watched{d, statesOf(rules)}, nil
}

// walk begins a run with the process shifted.
func (w watched) walk(shift float64) (walk, error) {
	if err := checkShift(shift); err != nil {
		return nil, err
	}
	chances := make([]float64, len(w.zones))
	for i, z := range w.zones {
		chances[i] = z.chance(shift*math.Sqrt(float64(w.Size)), w.Width/3)
	}
	if w.moves {
		return w.walkMoves(chances), nil
	}
	return w.walkZones(chances), nil
}

// walkZones follows the chance of each state where only the zone of a point
// counts.
func (c states) walkZones(chances []float64) walk {
	now, then := make([]float64, len(c.next)), make([]float64, len(c.next))
	now[0] = 1
	return func() (before, signal float64) {
		clear(then)
		for s, mass := range now {
			if mass == 0 {
				continue
			}
			before += mass
			for z, to := range c.next[s] {
				if to == alarm {
					signal += mass * chances[z]
				} else {
					then[to] += mass * chances[z]
				}
			}
		}
		now, then = then, now
		return before, signal
	}
}
