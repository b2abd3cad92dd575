package monitor

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

const (
	// warmUp is how many points before the first shown one go into the smoothed
	// mean, and how far behind the first of those that were read something has to
	// begin to be told exactly: of where the mean stood before them 0.95^300, two in
	// ten million, is left. So each signal is raised by the same point, and began with
	// the same, whatever part of the chart is looked at, and its cause stays with it.
	warmUp = 300
	// mostBack is how many points before the shown ones are read for a drift that is
	// older than they are. One that goes on for longer is told as if it had begun
	// there; its cause stays with it even so (see [ChartView.explain]).
	mostBack = 20_000
	// longestPattern is more than the points of which a run rule tells.
	longestPattern = 20
)

// judgeAll judges the points that were read. Where something was there before them it
// looks farther back, in steps that grow: a drift began when it did, whatever part of
// the chart is looked at.
func (r *reader) judgeAll(ctx context.Context, baselines []models.ChartBaseline) error {
	for {
		read, before := r.v.Points, r.before
		if err := r.phases(ctx, baselines); err != nil {
			return err
		}
		if r.whole || before >= mostBack || r.v.Grouped != "" || !slices.ContainsFunc(r.v.Signals, r.unsure) {
			return nil
		}
		r.v.Points, r.before = read, before
		if err := r.readEarlier(ctx, min(before*2, mostBack-before)); err != nil {
			return err
		}
		r.v.Phases, r.v.Signals, r.v.Lifted = nil, nil, 0
		clear(r.v.Waiting)
	}
}

// unsure says whether more points may tell another beginning of a signal that reaches
// into the shown ones.
func (r *reader) unsure(g Signal) bool {
	switch {
	case g.alone() || g.Last < r.before:
		return false // The point alone is the signal, or it was over by then.
	case g.Panel != spc.PanelSmoothed:
		return g.First < longestPattern
	}
	// Of a phase that begins among the points that were read nothing is missing.
	return g.First < warmUp && r.v.Phases[g.Phase].From == 0
}
