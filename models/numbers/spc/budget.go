package spc

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// Budget is how many false alarms somebody is ready to look into, and among how
// many points; both of the same span, such as a month.
type Budget struct{ Points, Alarms float64 }

var (
	// ErrBudget: a budget of no points, of no alarms, or of more alarms than points.
	ErrBudget = errors.New("budget of false alarms that cannot be")
	// ErrOutOfReach: no limits within what is allowed have the wanted run length.
	ErrOutOfReach = errors.New("run length that no limits reach")
)

// RunLength is the mean run length in control at which a chart that is begun
// anew after each signal gives the allowed number of false alarms in the long
// run: points over alarms (the elementary renewal theorem). The error wraps
// [ErrBudget].
func (b Budget) RunLength() (float64, error) {
	wanted := b.Points / b.Alarms
	if !(b.Points > 0 && b.Alarms > 0 && wanted > 1 && wanted <= MaxRunLength) {
		return 0, fmt.Errorf("%v false alarms in %v points: %w", b.Alarms, b.Points, ErrBudget)
	}
	return wanted, nil
}

// RulesFor returns the narrowest limits at which the rules have the wanted mean
// run length in control. With rules that look at the centre line or at the order
// of points there is a longest run length that no width goes beyond; with rules
// of points close to the centre there is a width from which it falls again. The
// error wraps [ErrOutOfReach], or is one of the names as in [Look].
func RulesFor(names []string, wanted float64) (RuleDesign, error) {
	d := RuleDesign{Rules: names}
	w, err := d.watch()
	if err != nil {
		return RuleDesign{}, err
	}
	if err := withinReach(names, wanted); err != nil {
		return RuleDesign{}, err
	}
	d.Width, err = narrowest(wanted, 0.5, widestWidth, func(width float64) (float64, error) {
		w.Width = width
		next, err := w.walk(0)
		if err != nil {
			return 0, err
		}
		return meanOf(next)
	})
	if err != nil {
		return RuleDesign{}, fmt.Errorf("width of the limits: %w", err)
	}
	return d, nil
}

// withinReach returns an error when the rules that no width changes, those of the
// centre line and of the order of points, signal too often by themselves.
func withinReach(names []string, wanted float64) error {
	fixed := slices.DeleteFunc(slices.Clone(names), func(name string) bool {
		return slices.ContainsFunc(runRules, func(r RunRule) bool { return r.Name == name && r.Line > 0 })
	})
	if len(fixed) == 0 {
		return nil
	}
	longest, err := inControl(RuleDesign{Rules: fixed})
	if err == nil && longest < wanted {
		return fmt.Errorf("%v points where %v alone signal once in %.4g: %w", wanted, fixed, longest, ErrOutOfReach)
	}
	return err
}

// EWMAFor returns the limits at which an exponentially weighted mean has the
// wanted mean run length in control. The error wraps [ErrDesign] for a lambda
// that cannot be, or [ErrOutOfReach].
func EWMAFor(lambda, wanted float64) (EWMADesign, error) {
	limit, err := narrowest(wanted, leastEWMALimit, largestEWMALimit, func(limit float64) (float64, error) {
		return inControl(EWMADesign{lambda, limit})
	})
	if err != nil {
		return EWMADesign{}, fmt.Errorf("limit: %w", err)
	}
	return EWMADesign{lambda, limit}, nil
}

// CUSUMFor returns the decision interval at which two cumulative sums with the
// given slack have the wanted mean run length in control, begun at the given
// share of the interval: 0 without head start, at most a half. The error wraps
// [ErrDesign] for a slack or a share that cannot be, or [ErrOutOfReach].
func CUSUMFor(slack, headStart, wanted float64) (CUSUMDesign, error) {
	if err := checkWithin("head_start", headStart, 0, 0.5); err != nil {
		return CUSUMDesign{}, err
	}
	with := func(interval float64) CUSUMDesign {
		return CUSUMDesign{Slack: slack, Interval: interval, HeadStart: headStart * interval}
	}
	interval, err := narrowest(wanted, leastInterval, largestInterval, func(interval float64) (float64, error) {
		return inControl(with(interval))
	})
	if err != nil {
		return CUSUMDesign{}, fmt.Errorf("decision interval: %w", err)
	}
	return with(interval), nil
}

// inControl is the mean run length without a shift.
func inControl(d Design) (float64, error) {
	means, err := d.RunLengths(0)
	if err != nil {
		return 0, err
	}
	return means[0], nil
}

const (
	// widerBy is the step by which limits are widened until the wanted run length
	// lies between two of them.
	widerBy = 1.3
	// exactTo is how near the run length of the limits found is to the wanted.
	exactTo = 1e-7
)

// narrowest finds the smallest limit from low to high whose run length is as
// wanted. Wider limits are tried step by step until one has a longer run length,
// and the place between it and the last is then closed in on by the secant of the
// logarithms, with halving where that lags (Illinois method; Dowell and Jarratt,
// BIT 11, 1971).
func narrowest(wanted, low, high float64, runLength func(float64) (float64, error)) (float64, error) {
	if !(wanted > 1 && wanted <= MaxRunLength) {
		return 0, fmt.Errorf("%v points: %w", wanted, ErrOutOfReach)
	}
	// Above 0 for limits that are too wide.
	off := func(limit float64) (float64, error) {
		mean, err := runLength(limit)
		if errors.Is(err, ErrNeverSignals) {
			mean, err = 10*MaxRunLength, nil
		}
		return math.Log(mean / wanted), err
	}
	offA, err := off(low)
	if err != nil {
		return 0, err
	}
	if offA > 0 {
		return 0, fmt.Errorf("%v points, fewer than at %v: %w", wanted, low, ErrOutOfReach)
	}
	a, b, offB := low, low, offA
	for offB < 0 {
		if b >= high {
			return 0, fmt.Errorf("%v points: %w", wanted, ErrOutOfReach)
		}
		a, offA = b, offB
		b = min(high, b*widerBy)
		if offB, err = off(b); err != nil {
			return 0, err
		}
	}
	return closeIn(a, offA, b, offB, off)
}

// closeIn finds where off is 0 between a, where it is not above 0, and b, where
// it is not below.
func closeIn(a, offA, b, offB float64, off func(float64) (float64, error)) (float64, error) {
	for range 200 {
		if offA > -exactTo {
			return a, nil
		}
		if offB < exactTo || b-a <= 1e-14*b {
			return b, nil
		}
		x := b - offB*(b-a)/(offB-offA)
		offX, err := off(x)
		if err != nil {
			return 0, err
		}
		if offX > 0 {
			b, offB = x, offX
			offA /= 2
		} else {
			a, offA = x, offX
			offB /= 2
		}
	}
	return b, nil
}
