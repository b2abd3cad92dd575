package spc

import (
	"errors"
	"slices"
)

// The run rules by name. Each name says what has to be seen.
const (
	// BeyondLimit is the code of the rule that one point lies outside a limit;
	// strictly outside, since a point on its limit is inside.
	BeyondLimit         = "beyond_limit"
	EightOneSide        = "eight_one_side"
	NineOneSide         = "nine_one_side"
	TwoOfThreeBeyondTwo = "two_of_three_beyond_two_sigma"
	FourOfFiveBeyondOne = "four_of_five_beyond_one_sigma"
	FifteenWithinOne    = "fifteen_within_one_sigma"
	EightOutsideOne     = "eight_outside_one_sigma"
	SixTrending         = "six_trending"
	FourteenAlternating = "fourteen_alternating"
)

var (
	// ErrRule: no run rule of that name.
	ErrRule = errors.New("unknown run rule")
	// ErrRuleTwice: a run rule is named twice.
	ErrRuleTwice = errors.New("run rule named twice")
	// ErrNoRules: no run rule is named.
	ErrNoRules = errors.New("no run rule is named")
)

// RunRule is one line of the table of run rules: Need of Of points in a row
// that have Pattern in common.
type RunRule struct {
	Name     string
	Need, Of int
	Pattern  Pattern
	// Line is the zone line that Pattern speaks of, in sigma from the centre: 0 is
	// the centre line itself.
	Line float64
}

// Pattern is what the points of a pattern have in common.
type Pattern string

// The patterns. A point on a line is not beyond it, within it or outside it; a
// point on the centre line belongs to neither side.
const (
	PatternBeyond      Pattern = "beyond_one_side" // Beyond the line, all on the same side.
	PatternWithin      Pattern = "within"          // Nearer to the centre than the line.
	PatternOutside     Pattern = "outside"         // Farther from the centre than the line, on either side.
	PatternTrend       Pattern = "trending"        // Each above the one before, or each below.
	PatternAlternation Pattern = "alternating"     // By turns above and below the one before.
)

// runRules is every run rule there is, in the order in which signals on one
// point are given.
//
// Sources: Western Electric, Statistical Quality Control Handbook, 1956; Nelson,
// Journal of Quality Technology 16, 1984.
var runRules = []RunRule{
	{BeyondLimit, 1, 1, PatternBeyond, 3},
	{TwoOfThreeBeyondTwo, 2, 3, PatternBeyond, 2},
	{FourOfFiveBeyondOne, 4, 5, PatternBeyond, 1},
	{EightOneSide, 8, 8, PatternBeyond, 0},
	{NineOneSide, 9, 9, PatternBeyond, 0},
	{SixTrending, 6, 6, PatternTrend, 0},
	{FourteenAlternating, 14, 14, PatternAlternation, 0},
	{FifteenWithinOne, 15, 15, PatternWithin, 1},
	{EightOutsideOne, 8, 8, PatternOutside, 1},
}

// RunRules returns the table of run rules.
func RunRules() []RunRule { return slices.Clone(runRules) }

// FourRules names the set of Western Electric, 1956: a point beyond a limit, two
// of three beyond two sigma, four of five beyond one, eight on one side.
func FourRules() []string {
	return []string{BeyondLimit, TwoOfThreeBeyondTwo, FourOfFiveBeyondOne, EightOneSide}
}

// EightRules names the set of Nelson, 1984. It sees more kinds of pattern than
// [FourRules], and cries wolf more often: [RuleDesign] tells how often.
func EightRules() []string {
	return []string{BeyondLimit, NineOneSide, SixTrending, FourteenAlternating, TwoOfThreeBeyondTwo,
		FourOfFiveBeyondOne, FifteenWithinOne, EightOutsideOne}
}

// rulesNamed returns the rules of the given names in the order of the names. The
// error wraps [ErrNoRules], [ErrRule] or [ErrRuleTwice].
func rulesNamed(names []string) ([]RunRule, error) {
	if len(names) == 0 {
		return nil, at("rules", ErrNoRules)
	}
	var rules []RunRule
	for n, name := range names {
		known := func(r RunRule) bool { return r.Name == name }
		i := slices.IndexFunc(runRules, known)
		switch {
		case i < 0:
			return nil, wrong(element("rules", n), ErrRule, "%.60q", name)
		case slices.ContainsFunc(rules, known):
			return nil, wrong(element("rules", n), ErrRuleTwice, "%q", name)
		}
		rules = append(rules, runRules[i])
	}
	return rules, nil
}
