package gauge

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// The interval between two calibrations is kept within these months.
const (
	ShortestInterval = 1
	LongestInterval  = 24
)

// NextInterval offers the months until the next calibration from those of the
// last one and from how the instrument was found, oldest first:
//
//	found out of tolerance             half of it
//	in tolerance twice running         five quarters of it
//	in tolerance, for the first time   the same
//
// cut to whole months, at least 1 and at most 24. ILAC-G24/OIML D 10 leaves the
// way of adjusting to the user; the factors are our own. An offer, no rule.
func NextInterval(months int, inTolerance []bool) (int, error) {
	if months < 1 || months > 10*LongestInterval {
		return 0, outside("months", fmt.Sprint(months), "is no interval between calibrations")
	}
	n := len(inTolerance)
	if n == 0 {
		return 0, about("in_tolerance", fmt.Errorf("no calibration: %w", stats.ErrTooFew))
	}
	switch {
	case !inTolerance[n-1]:
		months /= 2
	case n > 1 && inTolerance[n-2]:
		months = months * 5 / 4
	}
	return min(max(months, ShortestInterval), LongestInterval), nil
}
