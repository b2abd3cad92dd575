package spc

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// Definition is one line of the table of charts.
type Definition struct {
	Kind  string
	Takes Family
	Scale Scale // The scale it prefers.

	limits func(Input) (Limits, error)
	panels func(Input, Limits) ([]Panel, error)
}

// charts is every chart there is: one line here and one file of its own.
var charts = []Definition{
	chart("individuals", AsMeasured, individualsLimits, individualsPanels),
	chart("individuals_log", Logarithmic, individualsLogLimits, individualsLogPanels),
	chart("individuals_root", SquareRoot, individualsRootLimits, individualsRootPanels),
	chart("mean_range", AsMeasured, meanRangeLimits, meanRangePanels),
	chart("mean_sd", AsMeasured, meanSDLimits, meanSDPanels),
	chart("mean_sd_unequal", AsMeasured, meanSDUnequalLimits, meanSDUnequalPanels),
	chart("median_range", AsMeasured, medianRangeLimits, medianRangePanels),
	chart("three_way", AsMeasured, threeWayLimits, threeWayPanels),
	chart("p", AsMeasured, proportionLimits, proportionPanels),
	chart("np", AsMeasured, nonconformingLimits, nonconformingPanels),
	chart("c", AsMeasured, countLimits, countPanels),
	chart("u", AsMeasured, rateLimits, ratePanels),
	chart("overdispersed_p", AsMeasured, overdispersedProportionLimits, overdispersedProportionPanels),
	chart("overdispersed_u", AsMeasured, overdispersedRateLimits, overdispersedRatePanels),
	chart("ewma", AsMeasured, ewmaLimits, ewmaPanels),
	chart("cusum", AsMeasured, cusumLimits, cusumPanels),
	chart("t2_individuals", AsMeasured, t2IndividualsLimits, t2IndividualsPanels),
	chart("t2_subgroups", AsMeasured, t2SubgroupsLimits, t2SubgroupsPanels),
	chart("short_run_ratio", Logarithmic, ratioLimits, ratioPanels),
	chart("short_run_root", SquareRoot, rootRatioLimits, rootRatioPanels),
	chart("short_run_deviation", AsMeasured, deviationLimits, deviationPanels),
	chart("short_run_standardised", AsMeasured, standardisedLimits, standardisedPanels),
	chart("probability_limits", AsMeasured, probabilityLimits, probabilityPanels),
}

// chart makes a line of the table from the two functions of a chart: what it
// keeps of the baseline, and the panels of all points.
func chart[T Input](kind string, scale Scale, limits func(T) (Limits, error), panels func(T, Limits) ([]Panel, error)) Definition {
	var takes T
	fits := func(in Input) (T, error) {
		data, ok := in.(T)
		switch {
		case in == nil:
			return data, wrong("data", ErrInput, "none for %s", kind)
		case !ok:
			return data, wrong("data", ErrInput, "%s is drawn from %s, not from %s", kind, takes.Family(), in.Family())
		}
		return data, nil
	}
	return Definition{
		Kind: kind, Takes: takes.Family(), Scale: scale,
		limits: func(in Input) (Limits, error) {
			data, err := fits(in)
			if err != nil {
				return Limits{}, err
			}
			return limits(data)
		},
		panels: func(in Input, l Limits) ([]Panel, error) {
			data, err := fits(in)
			if err != nil {
				return nil, err
			}
			return panels(data, l)
		},
	}
}

// tailsInstead names the exact limits that stand for three sigmas where counts
// are small.
var tailsInstead = map[string]string{BinomialSpread: BinomialTails, PoissonSpread: PoissonTails}

// Charts returns the table of charts.
func Charts() []Definition { return append([]Definition(nil), charts...) }

// ChartOf returns the line of the table. The error wraps [ErrKind] when there
// is none of that name.
func ChartOf(kind string) (Definition, error) {
	for _, definition := range charts {
		if definition.Kind == kind {
			return definition, nil
		}
	}
	return Definition{}, fmt.Errorf("%.60q: %w", kind, ErrKind)
}

// Plot draws the chart of that kind with limits from the baseline of the data.
func Plot(kind string, data Input) (Chart, error) {
	definition, err := ChartOf(kind)
	if err != nil {
		return Chart{}, err
	}
	return definition.Draw(data)
}

// Judge draws the chart of later points against limits frozen earlier; a
// baseline of the data is left out of account.
func Judge(limits Limits, data Input) (Chart, error) {
	definition, err := ChartOf(limits.Kind)
	if err != nil {
		return Chart{}, err
	}
	return definition.Judge(limits, data)
}

// Freeze returns the limits that the baseline of the data gives, to be stored
// and given to [Definition.Judge].
func (d Definition) Freeze(data Input) (Limits, error) {
	limits, err := d.limits(data)
	if err != nil {
		return Limits{}, fmt.Errorf("chart %s: %w", d.Kind, err)
	}
	limits.Kind = d.Kind
	limits.Facts.offer(d.Takes)
	if limits.Scale == "" {
		limits.Scale, limits.ScaleReason = d.Scale, ScaleAsAsked
	}
	baseline := data.baseline()
	limits.Points, limits.Excluded = limits.Facts.N+len(baseline.Excluded), baseline.Excluded
	if err := limits.usable(d.Kind); err != nil {
		return Limits{}, fmt.Errorf("chart %s: %w", d.Kind, err)
	}
	return limits, nil
}

// Draw draws the chart with limits from the baseline of the data.
func (d Definition) Draw(data Input) (Chart, error) {
	limits, err := d.Freeze(data)
	if err != nil {
		return Chart{}, err
	}
	limits.own = true
	return d.draw(limits, data)
}

// Judge draws the chart of later points against limits frozen earlier.
func (d Definition) Judge(limits Limits, data Input) (Chart, error) {
	if err := limits.usable(d.Kind); err != nil {
		return Chart{}, fmt.Errorf("chart %s: %w", d.Kind, err)
	}
	limits.own = false
	return d.draw(limits, data)
}

func (d Definition) draw(limits Limits, data Input) (Chart, error) {
	panels, err := d.panels(data, limits)
	if err != nil {
		return Chart{}, fmt.Errorf("chart %s: %w", d.Kind, err)
	}
	c := Chart{
		Kind: d.Kind, Scale: limits.Scale, ScaleReason: limits.ScaleReason, Panels: panels,
		Sigma: limits.Sigma, SigmaEstimator: limits.SigmaEstimator, Facts: limits.Facts,
	}
	for _, p := range panels {
		if tails, ok := tailsInstead[c.SigmaEstimator]; ok && p.exact {
			c.SigmaEstimator, c.Facts.SmallCounts = tails, true
		}
	}
	if limits.own {
		c.Baseline, c.Excluded = limits.Points, limits.Excluded
	}
	return finished(c)
}

// finished returns a chart with its signals, or an error when one of its lines
// lies beyond what a double can hold.
func finished(c Chart) (Chart, error) {
	for i, p := range c.Panels {
		for _, line := range [][]float64{p.Points, p.Centre, p.Low, p.High} {
			if !allFinite(line) {
				return Chart{}, fmt.Errorf("%s, %s: %w", c.Kind, p.Name, stats.ErrNotFinite)
			}
		}
		c.Panels[i] = signalled(p)
	}
	return c, nil
}
