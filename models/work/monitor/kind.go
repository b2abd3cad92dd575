package monitor

import "strings"

// skewed are the results that cannot be negative and pile up near zero with a
// long upper tail: run-outs, waves, distances from a target, spreads. Their
// charts find limits on logarithms.
var skewed = map[string]bool{
	"lateral_tir": true, "lateral_h1": true, "lateral_h2": true, "lateral_h3": true,
	"radial_tir": true, "radial_h1": true, "radial_h2": true, "radial_h3": true,
	"dish_abs": true, "ocv_spread": true,
}

// kindOf names the chart that suits a result, from the table in numbers/spc.
func kindOf(result string) string {
	if skewed[result] || strings.Contains(result, "_pct") {
		return "individuals_log"
	}
	return "individuals"
}
