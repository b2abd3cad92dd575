package spc

import (
	"fmt"

	"tracewright/models/numbers/stats"
)

// Definition is one line of the table of charts.
type Definition struct {
	Kind  string
	Scale Scale // The scale it prefers.
	Draw  func(Data) (Chart, error)
}

// charts is every chart there is: one line here and one file of its own.
var charts = []Definition{
	{"individuals", AsMeasured, Individuals},
	{"individuals_log", Logarithmic, IndividualsLog},
}

// Charts returns the table of charts.
func Charts() []Definition { return append([]Definition(nil), charts...) }

// Plot draws the chart of the given kind. The error wraps [ErrKind] when there
// is none of that name.
func Plot(kind string, data Data) (Chart, error) {
	for _, definition := range charts {
		if definition.Kind == kind {
			return definition.Draw(data)
		}
	}
	return Chart{}, fmt.Errorf("%q: %w", kind, ErrKind)
}

// finished returns a chart with its signals, or an error when one of its lines
// lies beyond what a double can hold.
func finished(c Chart) (Chart, error) {
	for i, p := range c.Panels {
		for _, line := range [][]float64{p.Points, p.Centre, p.Low, p.High} {
			if err := stats.Check(line, 0); err != nil {
				return Chart{}, fmt.Errorf("%s, %s: %w", c.Kind, p.Name, err)
			}
		}
		c.Panels[i] = signalled(p)
	}
	return c, nil
}
