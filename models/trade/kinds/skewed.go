package kinds

import "strings"

// skewed are the results that cannot be negative and pile up near zero with a
// long upper tail: run-outs, waves, distances from a target, spreads.
var skewed = map[string]bool{
	"lateral_tir": true, "lateral_h1": true, "lateral_h2": true, "lateral_h3": true,
	"radial_tir": true, "radial_h1": true, "radial_h2": true, "radial_h3": true,
	"dish_abs": true, "ocv_spread": true,
}

// Skewed says whether a result is one of them, so that charts and comparisons
// take its logarithm.
func Skewed(result string) bool { return skewed[result] || strings.Contains(result, "_pct") }
