package monitor

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// judgeAll judges the points that were read. Where a drift was there before them it
// looks farther back, step by step, as far as a chart goes: a drift began when it did,
// whatever part of the chart is looked at, and its cause stays with it.
func (r *reader) judgeAll(ctx context.Context, baselines []models.ChartBaseline) error {
	for {
		read, before := r.v.Points, r.before
		if err := r.phases(ctx, baselines); err != nil {
			return err
		}
		if r.whole || len(read) >= mostPoints || r.v.Grouped != "" || !slices.ContainsFunc(r.v.Signals, r.begunEarlier) {
			return nil
		}
		r.v.Points, r.before = read, before
		if err := r.readEarlier(ctx, min(before*2, mostPoints-len(read))); err != nil {
			return err
		}
		r.v.Phases, r.v.Signals, r.v.Lifted = nil, nil, 0
		clear(r.v.Waiting)
	}
}

// begunEarlier says whether a signal was there at the first shown point and may have
// begun before the points that were read, or been raised where the smoothed mean still
// knew too little of those.
func (r *reader) begunEarlier(g Signal) bool {
	if g.Reason.Code == spc.BeyondLimit || g.Last < r.before {
		return false // The point alone is the signal, or it was over by then.
	}
	return g.First == 0 || g.Panel == spc.PanelSmoothed && g.Point < settled
}
