package spc

import (
	"errors"
	"fmt"

	"tracewright/models/numbers/stats"
)

const (
	// FewestForCapability is how many values an index asks for. From 20 on its
	// interval reaches from about two thirds of it to four thirds; below that
	// an index says nothing that a dot beside the limit does not.
	FewestForCapability = 20
	// FewestForFittedTails is how many values a fitted distribution asks for
	// before the share that it puts outside a limit is worth showing: a tail is
	// where the shape is least known. Below that what was counted stands alone.
	FewestForFittedTails = 300
	// UsualConfidence is the confidence of an interval where none is asked for.
	UsualConfidence = 0.95
)

// Index is a capability index with its two-sided interval. No interval could be
// found where Interval is nil.
type Index struct {
	Value    float64
	Interval *stats.Interval
}

// CapabilityQuestion asks how a process compares with its limits.
type CapabilityQuestion struct {
	Values    []float64 // In the order in time, at least [FewestForCapability].
	Tolerance Tolerance
	Control   Control
	// Shape is set with the characteristic; left out it is the normal one.
	Shape stats.Shape
	// Within is the spread of the process by its chart, for the indices of what
	// it could do; nil where there is none. It goes with the normal shape only.
	Within *ChartSpread
	// Confidence of the intervals, 0 for [UsualConfidence].
	Confidence float64
}

// ChartSpread is the spread inside subgroups or between neighbours, as a chart found
// it. Degrees are its degrees of freedom, see [MovingRangeDegrees],
// [MeanRangeDegrees] and [MeanSDDegrees].
type ChartSpread struct {
	Sigma   float64
	Degrees float64
}

// CapabilityReport is the answer.
type CapabilityReport struct {
	N       int
	Control Control
	// Provisional: fewer than [FewestForFirmLimits] values.
	Provisional bool
	// Fitted is the distribution that the values were taken for, and Goodness
	// how well it does; a doubtful fit is a warning beside the indices.
	Fitted   stats.Distribution
	Goodness stats.Goodness
	// Performance of the process as it ran, Pp and Ppk: by the overall standard
	// deviation for the normal shape, by percentiles for every other one.
	Pp  *Index // nil where a limit is missing.
	Ppk Index
	// Cpm, of the normal shape, where there are two limits and a target.
	Cpm *Index
	// Potential of the process as the chart knows it, Cp and Cpk.
	Cp, Cpk *Index
	Outside Outside
}

// Capability compares a process with its limits.
func Capability(q CapabilityQuestion) (CapabilityReport, error) {
	if err := q.Tolerance.check(); err != nil {
		return CapabilityReport{}, err
	}
	if !q.Control.Known() {
		return CapabilityReport{}, wrong("control", ErrSetting, "%.40q", string(q.Control))
	}
	if err := stats.Check(q.Values, FewestForCapability); err != nil {
		return CapabilityReport{}, at("values", err)
	}
	if q.Shape == "" {
		q.Shape = stats.ShapeNormal
	}
	if q.Confidence == 0 {
		q.Confidence = UsualConfidence
	}
	if !q.Shape.Known() {
		return CapabilityReport{}, wrong("shape", stats.ErrShape, "%.40q", string(q.Shape))
	}
	fitted, err := stats.Fit(q.Shape, q.Values)
	if err != nil {
		return CapabilityReport{}, aboutValues(err)
	}
	report := CapabilityReport{
		N: len(q.Values), Control: q.Control, Provisional: len(q.Values) < FewestForFirmLimits, Fitted: fitted,
	}
	if report.Goodness, err = fitted.Goodness(q.Values); err != nil {
		return CapabilityReport{}, aboutValues(err)
	}
	if report.Outside, err = outsideOf(q.Values, fitted, q.Tolerance, q.Confidence); err != nil {
		return CapabilityReport{}, err
	}
	if q.Shape == stats.ShapeNormal {
		return report, report.normal(q)
	}
	if q.Within != nil {
		return CapabilityReport{}, wrong("within", ErrSetting, "the spread of a chart says nothing of the percentiles of the %s shape", q.Shape)
	}
	p, err := PercentileCapability(fitted, q.Tolerance)
	if err != nil {
		return CapabilityReport{}, err
	}
	report.Pp, report.Ppk, err = p.indices(fitted, q)
	return report, err
}

// aboutValues gives an error the name that the values have here.
func aboutValues(err error) error {
	var named *stats.ArgumentError
	if errors.As(err, &named) {
		err = named.Err
	}
	return at("values", err)
}

// normal fills in the indices of the normal shape.
func (r *CapabilityReport) normal(q CapabilityQuestion) error {
	mean, err := stats.Mean(q.Values)
	if err != nil {
		return at("values", err)
	}
	sd, err := stats.SD(q.Values)
	if err != nil {
		return at("values", err)
	}
	overall, err := NormalCapabilityOf(NormalProcess{Mean: mean, SD: sd, N: r.N}, q.Tolerance, q.Confidence)
	if err != nil {
		return fmt.Errorf("overall: %w", err)
	}
	r.Pp, r.Ppk, r.Cpm = overall.Cp, overall.Cpk, overall.Cpm
	if q.Within == nil {
		return nil
	}
	within, err := NormalCapabilityOf(
		NormalProcess{Mean: mean, SD: q.Within.Sigma, N: r.N, Degrees: q.Within.Degrees}, q.Tolerance, q.Confidence)
	if err != nil {
		return fmt.Errorf("within: %w", err)
	}
	r.Cp, r.Cpk = within.Cp, &within.Cpk
	return nil
}
