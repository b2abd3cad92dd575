package gauge

import (
	"fmt"

	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

// Steadiness says what a series of checks shows of a gauge.
type Steadiness string

// The words of [Stability].
const (
	Steady   Steadiness = "steady"   // Limits are drawn, no signal, no drift.
	Unsteady Steadiness = "unsteady" // A signal, or a drift.
	Unknown  Steadiness = "unknown"  // The chart draws no limits; its facts say why.
)

// StabilityStudy is a gauge over time by its checks of a reference part.
type StabilityStudy struct {
	Chart spc.Chart
	// Drift is the change from one check to the next by the least squares line
	// through all of them, DriftSignificant its test at 95 %. A slow drift shows
	// here long before it carries a single check beyond the limits.
	Drift            float64
	DriftSignificant bool
	Verdict          Steadiness
}

// Stability draws the checks of one reference part, one value each in the order
// of time, as a chart of individual values, and looks for a drift. Where a check
// takes several readings its value is their mean: their range tells of the
// repeats, not of the days, and limits from it would be too narrow.
//
// At least three checks are needed, [spc.FewestForLimits] for limits. The
// resolution is that of the values, 0 when unknown; the baseline says which of
// the checks the limits rest on.
func Stability(checks []float64, resolution float64, baseline spc.Baseline) (StabilityStudy, error) {
	if len(checks) < 3 {
		return StabilityStudy{}, about("checks", fmt.Errorf("%d values where 3 are needed: %w", len(checks), stats.ErrTooFew))
	}
	chart, err := spc.Plot("individuals", spc.Data{Values: checks, Resolution: resolution, Baseline: baseline})
	if err != nil {
		return StabilityStudy{}, about("checks", err)
	}
	order := make([]float64, len(checks))
	for i := range order {
		order[i] = float64(i)
	}
	line, err := Linearity(order, checks)
	if err != nil {
		return StabilityStudy{}, about("checks", err)
	}
	s := StabilityStudy{Chart: chart, Drift: line.Slope, DriftSignificant: line.SlopeSignificant, Verdict: Steady}
	signals := 0
	for _, p := range chart.Panels {
		signals += len(p.Signals)
	}
	switch {
	case chart.Facts.NoLimits:
		s.Verdict = Unknown
	case signals > 0 || s.DriftSignificant:
		s.Verdict = Unsteady
	}
	return s, nil
}
