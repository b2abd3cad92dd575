package conformity

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// GuardBand returns the width w of the guard band, on each side that has a
// limit, with which no accepted value has a specific consumer's risk above the
// wanted one: the least w with
//
//	P(true value outside | y = TU - w) <= risk.
//
// With one limit w = u PhiInv(1 - risk) (JCGM 106:2012, 8.3.2). With two both
// tails count, which matters where u is not small against the tolerance; then w
// is searched for, and where even a value in the middle is too uncertain there is
// nothing left to accept: [ErrNoAcceptanceZone]. A risk above one half gives a
// negative w, limits moved outward.
func GuardBand(u, risk float64, t Range) (float64, error) {
	if err := t.check(); err != nil {
		return 0, err
	}
	if err := checkUncertainty(u); err != nil {
		return 0, err
	}
	if !(risk > 0 && risk < 1) {
		return 0, fmt.Errorf("risk %v must lie between 0 and 1: %w", risk, ErrRule)
	}
	one := -mathext.NormalQuantile(risk)
	width := t.widthIn(u)
	if math.IsInf(width, 1) {
		return finite("guard band", u*one+0) // A half gives 0, not -0.
	}
	at := func(w float64) float64 { return below(-w) + below(w-width) }
	if at(width/2) > risk {
		return 0, fmt.Errorf("a risk of %v at u = %v where the best value of all has %.3g: %w", risk, u, at(width/2), ErrNoAcceptanceZone)
	}
	// The risk falls from w = one, where the near tail alone is the risk wanted,
	// to the middle.
	low, high := min(one, width/2), width/2
	for range 200 {
		middle := low + (high-low)/2
		if middle <= low || middle >= high {
			break
		}
		if at(middle) > risk {
			low = middle
		} else {
			high = middle
		}
	}
	return finite("guard band", u*high+0)
}

// GuardFactor returns r = w/(k u), by which a guard band is stored with a
// decision rule.
func GuardFactor(w, u, k float64) (float64, error) {
	if err := checkUncertainty(u); err != nil {
		return 0, err
	}
	if !(k > 0) || math.IsInf(k, 0) {
		return 0, fmt.Errorf("coverage factor %v must be above 0: %w", k, ErrRule)
	}
	return finite("guard band factor", w/u/k)
}

// Inward returns the acceptance limits: the tolerance less the guard band on
// each side that has a limit. Limits that cross leave [ErrNoAcceptanceZone].
func (t Range) Inward(w float64) (Range, error) {
	if err := t.check(); err != nil {
		return Range{}, err
	}
	var inner Range
	if t.Low != nil {
		low, err := finite("low acceptance limit", *t.Low+w)
		if err != nil {
			return Range{}, err
		}
		inner.Low = &low
	}
	if t.High != nil {
		high, err := finite("high acceptance limit", *t.High-w)
		if err != nil {
			return Range{}, err
		}
		inner.High = &high
	}
	if inner.Low != nil && inner.High != nil && *inner.Low > *inner.High {
		return Range{}, fmt.Errorf("guard band %v: %w", w, ErrNoAcceptanceZone)
	}
	return inner, nil
}
