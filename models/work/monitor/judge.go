package monitor

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// data gives the points as a chart takes them.
func (r *reader) data(kind string, points []Point, baseline spc.Baseline) spc.Input {
	values, groups, counts := make([]float64, len(points)), make([]string, len(points)), make([]int, len(points))
	for i, p := range points {
		values[i], groups[i], counts[i] = r.lifted(kind, p.ValueF), p.ProductID, int(math.Round(p.ValueF))
	}
	switch {
	case strings.HasPrefix(kind, "short_run"):
		return spc.ShortRun{Values: values, Groups: groups, Resolution: r.resolution, Baseline: baseline}
	case kind == "c":
		return spc.Counts{Counts: counts, Baseline: baseline}
	case kind == "p", kind == "three_way":
		return grouped(kind, points, r.resolution, baseline)
	}
	return spc.Data{Values: values, Resolution: r.resolution, Baseline: baseline}
}

// lifted is the value as the scale takes it. There is no logarithm of 0: what a
// gauge shows as 0 is less than half its step, and stands as that. Results are stored
// to two decimals more than gauges show; see models.Characteristic.Printed.
func (r *reader) lifted(kind string, x float64) float64 {
	logarithmic := kind == "individuals_log" || kind == "short_run_ratio"
	switch {
	case logarithmic && x <= 0:
		return math.Pow10(-max(0, r.v.Limit.Decimals-2)) / 2
	case kind == "individuals_root" || kind == "short_run_root":
		return max(x, 0)
	}
	return x
}

// judge holds the points of a phase against its limits and adds it with its
// signals to the view.
func (r *reader) judge(ph *Phase, points []Point) error {
	v, kind := r.v, ph.Limits.Kind
	data := r.data(kind, points, spc.Baseline{})
	for _, p := range points {
		if p.ValueF <= 0 && r.lifted(kind, p.ValueF) != p.ValueF {
			v.Lifted++
		}
	}
	var extra spc.Chart
	var err error
	if kind == "c" || kind == "p" {
		if extra, err = r.countChart(ph, data); err != nil {
			return err
		}
	} else {
		chart, err := watchOf(v.Nature, v.Design.Watch).Judge(ph.Limits, data)
		if err != nil {
			return fmt.Errorf("chart of %s: %w", v.Query.Result, err)
		}
		ph.Values = chart.Panels[0]
		if !ph.Limits.Facts.NoLimits { // Without a centre there is nothing to begin a mean from.
			ph.Smoothed = chart.Panels[1]
		}
		if kind == "three_way" || len(v.Query.Rules) > 0 && !ph.Limits.Facts.NoLimits {
			if extra, err = spc.Judge(ph.Limits, data); err != nil {
				return fmt.Errorf("rules on the chart of %s: %w", v.Query.Result, err)
			}
		}
		if kind == "three_way" {
			if ph.Within = within(extra); ph.Limits.Facts.NoLimits { // The points alone.
				ph.Within.Centre = nil
			}
		}
	}
	v.Phases = append(v.Phases, *ph)
	r.signals(ph, ph.Values, len(points))
	r.signals(ph, ph.Smoothed, len(points))
	r.signals(ph, ph.Within, len(points))
	rules := slices.DeleteFunc(slices.Clone(v.Query.Rules), func(name string) bool { return name == spc.BeyondLimit })
	if len(rules) > 0 && len(extra.Panels) > 0 && !ph.Limits.Facts.NoLimits {
		asked, err := extra.WithRules(rules)
		if err != nil {
			return models.Invalid("rules", "unknown_choice", "typed", models.Shortened(strings.Join(rules, " ")))
		}
		r.signals(ph, asked.Panels[0], len(points))
	}
	slices.SortStableFunc(v.Signals, func(a, b Signal) int { return a.Point - b.Point })
	return nil
}

// within is the strip of the spread within lots of a three-way chart.
func within(c spc.Chart) spc.Panel {
	p := c.Panels[slices.IndexFunc(c.Panels, func(p spc.Panel) bool { return p.Name == spc.PanelWithinItems })]
	for i := range p.Signals {
		p.Signals[i].Rule = SpreadWithin
	}
	return p
}

// countChart judges counts and shares: the exact tails of their distribution where
// they are small, and no smoothed mean.
func (r *reader) countChart(ph *Phase, data spc.Input) (spc.Chart, error) {
	chart, err := spc.Judge(ph.Limits, data)
	if err != nil {
		return chart, fmt.Errorf("chart of %s: %w", r.v.Query.Result, err)
	}
	ph.Values = chart.Panels[0]
	if ph.Limits.Kind == "p" { // Shares are shown in per cent.
		for _, line := range [][]float64{ph.Values.Points, ph.Values.Centre, ph.Values.Low, ph.Values.High} {
			for i := range line {
				line[i] *= 100
			}
		}
		for _, g := range ph.Values.Signals {
			for name := range g.Values {
				g.Values[name] *= 100
			}
		}
	}
	return chart, nil
}

// signals adds those of a panel, whose points are those of the phase.
func (r *reader) signals(ph *Phase, panel spc.Panel, n int) {
	v := r.v
	for _, s := range panel.Signals {
		decimals := max(v.Decimals+2, 4)
		texts := asText(s.Values, decimals)
		for more := 1; more <= 6 && texts["value"] != "" && texts["value"] == texts["limit"]; more++ { // No value lies beyond itself.
			texts = asText(s.Values, decimals+more)
		}
		g := Signal{Phase: len(v.Phases) - 1, Panel: panel.Name, Point: ph.From + s.Index, First: ph.From + s.First, Last: ph.From + s.Last, Side: s.Side,
			Open: s.Last == n-1, Reason: models.Remark{Code: s.Rule, Values: texts}}
		v.Signals = append(v.Signals, g)
	}
}
