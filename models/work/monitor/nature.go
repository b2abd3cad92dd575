package monitor

import (
	"strings"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// Nature is what a result is by itself; it decides the chart.
type Nature string

// The natures of results.
const (
	// Skewed: above 0 and never near it, with a long upper tail, and spread in
	// proportion to the size: a run-out.
	Skewed Nature = "skewed"
	// FromZero: an amount that is often near 0: a spread, a distance from a target.
	FromZero Nature = "from_zero"
	// Level: far from 0, as often above its middle as below: a tension.
	Level Nature = "level"
	// Signed: to either side of 0.
	Signed Nature = "signed"
	// LongTail: level but for a few that lie far off on one side, and belong to how
	// the work runs: one block that was not full makes the lowest voltage of its
	// pack.
	LongTail Nature = "long_tail"
	// CountedThings: whole numbers from 0.
	CountedThings Nature = "counted"
	// Ticked: yes or no; a point is a week, with the share of no.
	Ticked Nature = "ticked"
	// OfLots: measured on blocks that come in by lots; a point is a lot.
	OfLots Nature = "of_lots"
)

// natures are those of the shipped results. Run-outs fit a logarithm: the skewness
// of their logarithms is near 0. Deviations, spreads and distances are folded at
// 0 or go as a root of chi-square: there the square root is the nearest to
// symmetric, and the logarithm cries wolf on small values.
var natures = map[string]Nature{
	"lateral_tir": Skewed, "radial_tir": Skewed, "ocv_spread": Skewed, "string_difference": Skewed,
	"lateral_h1": FromZero, "lateral_h2": FromZero, "lateral_h3": FromZero, "radial_h1": FromZero, "radial_h2": FromZero, "radial_h3": FromZero,
	"dish_abs": FromZero, "series_difference": FromZero,
	"dish_offset": Signed, "lateral_mean": Signed, "radial_mean": Signed,
	"tension_mean_tight": Level, "tension_mean_loose": Level, "tension_lowest": Level, "side_ratio": Level, "temperature": Level,
	"ocv_lowest": LongTail,
}

// natureKnown says whether the nature of a result does not depend on its values.
func natureKnown(result string, counted bool) bool {
	_, shipped := natures[result]
	return shipped || counted || strings.Contains(result, "_pct")
}

// natureOf is the nature of a result. Of one that the shop made itself the values
// decide, as far as there are any.
func natureOf(result string, counted bool, values []float64) Nature {
	if n, ok := natures[result]; ok {
		return n
	}
	switch {
	case counted:
		return CountedThings
	case strings.Contains(result, "_pct"):
		return FromZero
	}
	zero, below := false, false
	for _, x := range values {
		zero, below = zero || x == 0, below || x < 0
	}
	m, err := stats.MomentsOf(values)
	switch {
	case below:
		return Signed
	case zero:
		return FromZero
	case err == nil && len(values) >= spc.FewestForLimits && m.Skewness > mostSymmetric:
		return Skewed
	}
	return Level
}

// mostSymmetric is the skewness of a sample up to which its values count as
// symmetric. Of 20 normal values one in 40 has more than 1.0 (standard error of a
// skewness: sqrt(6 n (n-1) / ((n-2)(n+1)(n+3))) = 0.51 for 20).
const mostSymmetric = 1.0

// charted is the chart of a nature: of one product, and of several together. The
// code of the reason, with the word for one product or several behind it, has
// words in the catalogue.
var charted = map[Nature]struct{ one, several, reason string }{
	Skewed:        {"individuals_log", "short_run_ratio", "skewed"},
	FromZero:      {"individuals_root", "short_run_root", "from_zero"},
	Level:         {"individuals", "short_run_ratio", "level"},
	Signed:        {"individuals", "short_run_standardised", "signed"},
	LongTail:      {"individuals", "short_run_ratio", "long_tail"},
	CountedThings: {"c", "c", "counted"},
	Ticked:        {"p", "p", "ticked"},
	OfLots:        {"three_way", "three_way", "of_lots"},
}

// chartFor names the chart and the reason for it.
func chartFor(n Nature, several bool) (kind, reason string) {
	c := charted[n]
	if several {
		return c.several, c.reason + "_several"
	}
	return c.one, c.reason + "_one"
}

// clipped is how far from the centre a point of a long tail is taken to lie at
// most, in sigma: beyond two, a point says that its pack has a weak block, which
// the verdict says already.
const clipped = 2

// watchOf is the watch of a nature.
func watchOf(n Nature, w spc.Watch) spc.Watch {
	if n == LongTail {
		w.Clip = clipped
	}
	return w
}
