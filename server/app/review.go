package app

import (
	"context"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/attention"
	"tracewright/models/work/effect"
	"tracewright/models/work/failures"
	"tracewright/models/work/finder"
	"tracewright/models/work/goodness"
	"tracewright/models/work/monitor"
	"tracewright/models/work/returns"
	workreview "tracewright/models/work/review"
	"tracewright/models/work/watch"
	"tracewright/reports/review"
)

// drawReview hands a drawing to the report that makes paper of it.
func drawReview(d workreview.Drawing) ([]byte, error) {
	return review.Draw(d.Content, review.Options{Hash: d.Hash, Edition: d.Edition, Made: d.Made})
}

// questions are the services that answer the owner's questions, each for a review
// too.
type questions struct {
	store     *store.Store
	zone      func(context.Context) *time.Location
	attention *attention.Service
	charts    *monitor.Service
	watch     *watch.Service
	goodness  *goodness.Service
	failures  *failures.Service
	finder    *finder.Service
	effect    *effect.Service
	returns   *returns.Service
}

// sources are what a review asks.
func (q questions) sources() []workreview.Source {
	return []workreview.Source{
		// What was settled comes first: what waits may fill the room.
		workreview.Settled(q.store),
		{About: models.AskAttention, Said: q.attention.Said},
		{About: models.AskCharts, Said: q.watch.Said, Plots: signalled{q.watch.Between, q.charts.Chart, q.zone}.plots},
		{About: models.AskHowGood, Said: q.goodness.Said},
		{About: models.AskFailures, Said: q.failures.Said, Plots: q.failures.Plots},
		workreview.Work(q.store),
		{About: models.AskFinder, Said: q.finder.Said},
		{About: models.AskEffect, Said: q.effect.Said},
		{About: models.AskReturns, Said: q.returns.Said, Plots: q.returns.Plots},
		workreview.Claims(q.store),
	}
}

// signalled draws the watched charts that signalled in a time, small.
type signalled struct {
	between func(ctx context.Context, from, to time.Time) ([]models.ChartSignal, error)
	chart   func(context.Context, monitor.ChartQuery) (monitor.ChartView, error)
	zone    func(context.Context) *time.Location
}

// groups are the signals of a time by chart, the chart with most first.
func (s signalled) groups(ctx context.Context, from, to time.Time) ([][]models.ChartSignal, error) {
	list, err := s.between(ctx, from, to)
	if err != nil {
		return nil, err
	}
	at := map[models.ChartKey]int{}
	var groups [][]models.ChartSignal
	for _, g := range list {
		i, seen := at[g.ChartKey]
		if !seen {
			i = len(groups)
			at[g.ChartKey], groups = i, append(groups, nil)
		}
		groups[i] = append(groups[i], g)
	}
	slices.SortStableFunc(groups, func(a, b []models.ChartSignal) int { return len(b) - len(a) })
	return groups, nil
}

const (
	chartsDrawn = 4  // control charts in a review
	pointsDrawn = 60 // of each, the newest
)

func (s signalled) plots(ctx context.Context, from, to time.Time) ([]models.Plot, error) {
	groups, err := s.groups(ctx, from, to)
	if err != nil {
		return nil, err
	}
	var out []models.Plot
	for _, group := range groups[:min(len(groups), chartsDrawn)] {
		key := group[0].ChartKey
		view, err := s.chart(ctx, monitor.ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result, To: to})
		if err != nil {
			return nil, err
		}
		out = append(out, view.Plot(pointsDrawn, s.zone(ctx)))
	}
	return out, nil
}
