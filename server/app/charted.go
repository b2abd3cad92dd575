package app

import (
	"context"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/work/goodness"
	"tracewright/models/work/monitor"
)

// charted lets whoever tells how good a process is ask the service of its charts
// whether it was in control: any signal is not, and a chart without limits shows
// nothing either way.
func charted(charts *monitor.Service) goodness.Chart {
	return func(ctx context.Context, key models.ChartKey, from, to time.Time) (goodness.Charted, error) {
		v, err := charts.Chart(ctx, monitor.ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result, From: from, To: to})
		switch {
		case err != nil:
			return goodness.Charted{}, err
		case v.Present().Limits.Facts.NoLimits:
			return goodness.Charted{Control: spc.ControlNotShown}, nil
		case len(v.Signals) > 0:
			return goodness.Charted{Control: spc.NotInControl, Signals: len(v.Signals)}, nil
		}
		return goodness.Charted{Control: spc.InControl}, nil
	}
}
