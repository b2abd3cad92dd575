package web

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// OpenChart is a watched chart with signals that nobody has given a cause for.
type OpenChart struct {
	Path, Words, When string
	Here              bool // it is the chart that is shown
}

// openCharts lists the watched charts with signals without a cause, the one with the
// newest signal first: whoever asks whether the work is in control sees all of it, and
// not one chart alone.
func (s *site) openCharts(ctx context.Context, shown models.ChartKey) ([]OpenChart, error) {
	if s.services.Watch == nil {
		return nil, nil
	}
	open, err := s.services.Watch.Open(ctx)
	if err != nil {
		return nil, err
	}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, f := range families {
		names[f.ID] = f.Name
	}
	type standing struct {
		newest string // name of its newest signal
		first  time.Time
		count  int
	}
	var order []models.ChartKey
	by := map[models.ChartKey]*standing{}
	for _, g := range open { // newest first
		if by[g.ChartKey] == nil {
			by[g.ChartKey], order = &standing{newest: g.Name(), first: g.MeasuredAt}, append(order, g.ChartKey)
		}
		at := by[g.ChartKey]
		at.count++
		if g.MeasuredAt.Before(at.first) {
			at.first = g.MeasuredAt
		}
	}
	list := make([]OpenChart, len(order))
	for i, key := range order {
		code := "chart.open_signals"
		if key.Place != "" {
			code += "_at"
		}
		if by[key].count == 1 {
			code += "_one"
		}
		list[i] = OpenChart{Path: signalPath(key, by[key].newest), When: s.day(by[key].first), Here: key == shown,
			Words: say(models.NewRemark(code, "result", key.Result, "place", key.Place, "family", names[key.FamilyID], "n", fmt.Sprint(by[key].count)))}
	}
	return list, nil
}
