package spc

import (
	"errors"
	"fmt"
	"math"
)

// A Design is a way of watching a process whose run length can be worked out:
// [RuleDesign], [EWMADesign] or [CUSUMDesign].
//
// The run length is the number of points up to and with the first signal, of
// independent normal points whose centre and sigma are known. Limits estimated
// from few points, neighbours that resemble each other and a coarse gauge make
// it another one, mostly a shorter one.
type Design interface {
	// RunLengths returns the mean run length for each shift of the process, in
	// sigma of a single value, present from the first point on; a shift of 0 gives
	// the mean distance of false alarms. The error wraps [ErrDesign] when the
	// design itself is impossible, [ErrShift] for a shift that cannot be used and
	// [ErrNeverSignals] when no signal is to be expected.
	RunLengths(shifts ...float64) ([]float64, error)
	// Within returns the chance of a signal among the first n points after a shift,
	// with the same errors, and [ErrPoints] for an n that cannot be used.
	Within(shift float64, n int) (float64, error)
}

var (
	// ErrDesign: a constant of the design lies outside what it may be.
	ErrDesign = errors.New("design that cannot be")
	// ErrShift: a shift that is no number or larger than [MaxShift].
	ErrShift = fmt.Errorf("shift outside -%d to %[1]d sigma", MaxShift)
	// ErrPoints: a number of points below 1 or above [MaxPoints].
	ErrPoints = fmt.Errorf("number of points outside 1 to %d", MaxPoints)
	// ErrNeverSignals: the mean run length is above [MaxRunLength].
	ErrNeverSignals = errors.New("hardly ever a signal: mean run length above 1e12")

	errUnsettled = fmt.Errorf("run length not settled after %d points", longestWalk)
)

const (
	// MaxShift is the largest shift of a process that is followed.
	MaxShift = 50
	// MaxPoints is the largest number of points that [Design] speaks of.
	MaxPoints = 1_000_000_000
	// MaxRunLength is the longest mean run length that is given.
	MaxRunLength = 1e12
)

func checkShift(shift float64) error {
	if !(math.Abs(shift) <= MaxShift) {
		return wrong("shifts", ErrShift, "%v", shift)
	}
	return nil
}

func checkPoints(n int) error {
	if n < 1 || n > MaxPoints {
		return wrong("points", ErrPoints, "%d", n)
	}
	return nil
}

// checkWithin returns an error about the argument, wrapping [ErrDesign], when x
// does not lie from low to high.
func checkWithin(argument string, x, low, high float64) error {
	if !(x >= low && x <= high) {
		return wrong(argument, ErrDesign, "%v is not from %v to %v", x, low, high)
	}
	return nil
}

// given returns a mean run length, or an error where it is no figure to go by.
func given(mean float64) (float64, error) {
	if !(mean <= MaxRunLength) {
		return 0, ErrNeverSignals
	}
	return mean, nil
}

// A walk follows a process that has not signalled yet. One call goes one point
// on and returns the chance that it was still without a signal before that point,
// and the chance that this point is the first signal.
type walk func() (before, signal float64)

const (
	// steadyFor is for how many points the share that signals must have been the
	// same before it is taken to stay so; longer than any rule remembers.
	steadyFor = 40
	// steadyForMean and steadyForChance are how nearly the same, relative: a mean
	// is wanted with all its digits, a chance with nine.
	steadyForMean, steadyForChance = 1e-12, 1e-9
	// goneForMean and goneForChance are chances of being without a signal that no
	// longer count.
	goneForMean, goneForChance = 1e-18, 1e-12
	// longestWalk is after how many points a walk is given up.
	longestWalk = 200_000
)

// settling watches the share of processes that signal at a point. It settles:
// from any start the states of a process without a signal tend to one mix
// (quasi-stationary distribution; Darroch and Seneta, Journal of Applied
// Probability 2, 1965), and from then on the run length is geometric.
type settling struct {
	low, high float64
	same      int
}

// see notes one share and reports whether it has settled, to a relative nearness.
func (s *settling) see(share, to float64) bool {
	if s.same > 0 && max(s.high, share)-min(s.low, share) <= to*share {
		s.low, s.high = min(s.low, share), max(s.high, share)
		s.same++
	} else {
		s.low, s.high, s.same = share, share, 1
	}
	return s.same >= steadyFor
}

// meanOf sums the chances of being without a signal before each point, which is
// the mean run length, with a geometric tail once the share has settled.
func meanOf(next walk) (float64, error) {
	var settled settling
	var mean float64
	for range longestWalk {
		before, signal := next()
		mean += before
		after := before - signal
		if after <= goneForMean*mean {
			return given(mean)
		}
		if share := signal / before; settled.see(share, steadyForMean) {
			// after/share is the mean of what is left, infinite if nothing signals.
			return given(mean + after/share)
		}
	}
	return 0, errUnsettled
}

// withinOf is the chance of a signal among the first n points.
func withinOf(next walk, n int) float64 {
	var settled settling
	var within float64
	for i := range n {
		before, signal := next()
		within += signal
		after := before - signal
		if after <= goneForChance {
			return min(within, 1)
		}
		if share := signal / before; settled.see(share, steadyForChance) {
			// 1 - (1-share)^rest of what is left.
			return min(within-after*math.Expm1(float64(n-i-1)*math.Log1p(-share)), 1)
		}
	}
	return min(within, 1)
}
