package calc

import (
	"errors"
	"math"
	"slices"
	"strings"

	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/stats"
)

// gaugeKinds are uncertainty, gauge studies and calibration.
var gaugeKinds = slices.Concat(uncertaintyKinds, runoutNoiseKinds, crossedKinds, gaugeStudyKinds, calibrationKinds)

// gaugeFailure turns an error of the package gauge into a failure that names
// the field of the input: pairs of a word there and the field here. A word is
// the first or the last part of a place such as readings[0][1] or
// measurements[3].at.
func gaugeFailure(field string, err error, renamed ...string) error {
	failure := &Failure{Field: field, Problem: err.Error()}
	var named *stats.ArgumentError
	if errors.As(err, &named) {
		failure.Field, failure.Problem = named.Argument, named.Err.Error()
	}
	parts := strings.Split(failure.Field, ".")
	for _, i := range []int{0, len(parts) - 1} {
		word, place, indexed := strings.Cut(parts[i], "[")
		if at := slices.Index(renamed, word); at >= 0 && at%2 == 0 {
			parts[i] = renamed[at+1]
			if indexed {
				parts[i] += "[" + place
			}
		}
	}
	failure.Field = strings.Join(parts, ".")
	if errors.Is(err, gauge.ErrOutOfCalibratedRange) {
		failure.Code = "OUT_OF_CALIBRATED_RANGE"
	}
	return failure
}

// threeDecimals is how percentages and effective degrees of freedom are
// answered: nobody reads more of them, and the worked cases have that many.
func threeDecimals(v float64) float64 {
	if math.Abs(v) > 1e12 {
		return v // Has no third decimal.
	}
	return math.RoundToEven(v*1000) / 1000
}
