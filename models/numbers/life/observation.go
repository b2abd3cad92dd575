package life

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/numbers/stats"
)

const (
	// MaxObservations bounds the lines of a sample, MaxUnits the units in it.
	MaxObservations = 1_000_000
	MaxUnits        = 1_000_000_000
)

// Observation is one life, or several alike.
type Observation struct {
	Time   float64 // Age at failure, or now; from 0.
	Failed bool    // Else it was still running at Time: censored.
	Count  int     // How many units; a line of 0 counts for nothing.
}

// ErrNoFailures: nothing has failed, so that there is nothing to fit.
var ErrNoFailures = errors.New("no failures")

// totals are what a sample holds.
type totals struct {
	units, failures int
}

// count checks a sample and counts it.
func count(lives []Observation) (totals, error) {
	var t totals
	if len(lives) > MaxObservations {
		return t, refuse("time", len(lives), fmt.Sprintf("lives must be %d or fewer", MaxObservations))
	}
	for i, l := range lives {
		if math.IsNaN(l.Time) || math.IsInf(l.Time, 0) {
			return t, &stats.ArgumentError{Argument: fmt.Sprintf("time[%d]", i), Err: stats.ErrNotFinite}
		}
		if l.Time < 0 {
			return t, refuse(fmt.Sprintf("time[%d]", i), l.Time, "must not be negative")
		}
		if l.Count < 0 || l.Count > MaxUnits {
			return t, refuse(fmt.Sprintf("frequency[%d]", i), l.Count, fmt.Sprintf("must lie from 0 to %d", MaxUnits))
		}
		t.units += l.Count
		if t.units > MaxUnits {
			return t, refuse("frequency", t.units, fmt.Sprintf("units must be %d or fewer", MaxUnits))
		}
		if l.Failed {
			t.failures += l.Count
		}
	}
	if t.units == 0 {
		return t, &stats.ArgumentError{Argument: "time", Err: stats.ErrTooFew}
	}
	return t, nil
}

// refuse makes the error about one argument: a [stats.ArgumentError] that wraps
// [stats.ErrOutOfRange].
func refuse(argument string, value any, must string) error {
	return &stats.ArgumentError{Argument: argument, Err: fmt.Errorf("%v %s: %w", value, must, stats.ErrOutOfRange)}
}

// finite returns x, or an error about what it is.
func finite(what string, x float64) (float64, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return 0, fmt.Errorf("%s: %w", what, stats.ErrNotFinite)
	}
	return x, nil
}

// bothSides returns the normal quantile of a two-sided interval.
func bothSides(confidence float64) (float64, error) {
	if !(confidence > 0 && confidence < 1) {
		return 0, refuse("confidence", confidence, "must lie between 0 and 1")
	}
	z, err := stats.NormalQuantile((1 - confidence) / 2)
	return -z, err
}
