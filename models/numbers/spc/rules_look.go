package spc

import (
	"tracewright/models/numbers/stats"
)

// Match is one place of a series where a run rule is met.
type Match struct {
	Rule string
	// First and Last are the indices of the oldest point that counts and of the
	// point at which the rule is met, counted from 0.
	First, Last int
	// Side is high or low, or either for a pattern without a side; of a trend it
	// is the way the points move.
	Side Side
	// Newest: the point at Last counts itself. A window of two in three stays met
	// for one point more when the newest lies in the centre again.
	Newest bool
}

// Look returns every place where one of the named rules is met in the series z,
// in standard deviations from the centre, rule by rule in the order of the
// names and each in order of the points. It takes one pass a rule.
//
// Windows shorter than the rule speaks of are allowed at the start: two points
// beyond two sigma in the first two are two of three. Equal neighbours break a
// trend and an alternation.
//
// The error wraps [ErrNoRules], [ErrRule], [ErrRuleTwice], or
// [stats.ErrNotFinite] for a NaN or an infinity in z.
func Look(names []string, z []float64) ([]Match, error) {
	rules, err := rulesNamed(names)
	if err != nil {
		return nil, err
	}
	if err := stats.Check(z, 0); err != nil {
		return nil, at("z", err)
	}
	var found []Match
	for _, r := range rules {
		found = append(found, r.look(z)...)
	}
	return found, nil
}

// look finds every place where one rule is met.
func (r RunRule) look(z []float64) []Match {
	if r.Pattern == PatternTrend || r.Pattern == PatternAlternation {
		return r.moves(z)
	}
	return r.counts(z)
}

// counts slides a window of Of points along and counts those that have the
// shape, on each side for itself.
func (r RunRule) counts(z []float64) []Match {
	var found []Match
	sides := r.sides()
	counted := make([]int, len(sides))
	for i, x := range z {
		for s, side := range sides {
			newest := r.has(x, side)
			if newest {
				counted[s]++
			}
			if out := i - r.Of; out >= 0 && r.has(z[out], side) {
				counted[s]--
			}
			if counted[s] < r.Need {
				continue
			}
			first := max(0, i-r.Of+1)
			for !r.has(z[first], side) {
				first++
			}
			found = append(found, Match{r.Name, first, i, side, newest})
		}
	}
	return found
}

// sides are the sides on which points are counted apart.
func (r RunRule) sides() []Side {
	if r.Pattern == PatternBeyond {
		return []Side{SideHigh, SideLow}
	}
	return []Side{SideEither}
}

// has says whether one point at x counts on a side.
func (r RunRule) has(x float64, side Side) bool {
	switch {
	case r.Pattern == PatternWithin:
		return -r.Line < x && x < r.Line
	case r.Pattern == PatternOutside:
		return x < -r.Line || x > r.Line
	case side == SideHigh:
		return x > r.Line
	}
	return x < -r.Line
}

// moves follows how many moves in a row went on in the way of the rule: the same
// way as the one before for a trend, against it for an alternation.
func (r RunRule) moves(z []float64) []Match {
	var found []Match
	run := 0
	var way Side
	for i := 1; i < len(z); i++ {
		now := moved(z[i-1], z[i])
		switch {
		case now == SideEither:
			run = 0
		case run > 0 && (now == way) == (r.Pattern == PatternTrend):
			run++
		default:
			run = 1
		}
		way = now
		if run < r.Need-1 {
			continue
		}
		match := Match{r.Name, i - r.Need + 1, i, SideEither, true}
		if r.Pattern == PatternTrend {
			match.Side = way
		}
		found = append(found, match)
	}
	return found
}

// moved is the way from one point to the next; either when they are equal.
func moved(from, to float64) Side {
	switch {
	case to > from:
		return SideHigh
	case to < from:
		return SideLow
	}
	return SideEither
}
