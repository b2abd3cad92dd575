package models

import "strconv"

// Percent is a share in per cent as it stands in a sentence: with one decimal, with two
// below 1 and four below 0.01, so that a share above 0 never reads as none.
func Percent(share float64) string {
	decimals := 1
	switch {
	case share == 0:
		return "0"
	case share > 0 && share < 1e-6:
		return "0.0001" // Less cannot be told from it.
	case share > 0 && share < 0.0001:
		decimals = 4
	case share < 0.01:
		decimals = 2
	}
	return strconv.FormatFloat(100*share, 'f', decimals, 64)
}
