package monitor

import "tracewright/models/trade/kinds"

// kindOf names the chart that suits a result, from the table in numbers/spc. What
// is skewed has its limits found on logarithms.
func kindOf(result string) string {
	if kinds.Skewed(result) {
		return "individuals_log"
	}
	return "individuals"
}
