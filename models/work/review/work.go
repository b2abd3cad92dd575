package review

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// WorkStore is what the sources of this package read.
type WorkStore interface {
	Families(ctx context.Context) ([]models.Family, error)
	FirstVerdicts(ctx context.Context, familyID string, from, to time.Time) ([]models.FirstVerdict, error)
	FailedResults(ctx context.Context, familyID string, from, to time.Time) (map[string]int, error)
	WorkCounts(ctx context.Context, from, to time.Time) (models.WorkCounts, error)
}

// weeksShown is how many weeks a picture of yield looks back: a quarter of a year.
const weeksShown = 13

// fewest is how many items a share needs before it has an interval and is drawn with
// limits; fewer are counted only.
const fewest = 20

// Yield says which part of the first sets passed at once, and what failed most, with
// a picture of the weeks and one of what failed.
func Yield(store WorkStore, zone func(context.Context) *time.Location) Source {
	y := yield{store, zone}
	return Source{About: models.AskFailures, Said: y.said, Plots: y.plots}
}

type yield struct {
	store WorkStore
	zone  func(context.Context) *time.Location
}

// kindsShown are the kinds that are built here.
var kindsShown = []string{models.KindWheel, models.KindPack}

// first lists the first sets of a kind in a time, over all its families.
func (y yield) first(ctx context.Context, families []models.Family, kind string, from, to time.Time) ([]models.FirstVerdict, error) {
	var all []models.FirstVerdict
	for _, f := range families {
		if f.Kind != kind {
			continue
		}
		sets, err := y.store.FirstVerdicts(ctx, f.ID, from, to)
		if err != nil {
			return nil, err
		}
		all = append(all, sets...)
	}
	return all, nil
}

func (y yield) said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	families, err := y.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	var out []models.Sentence
	for _, kind := range kindsShown {
		sets, err := y.first(ctx, families, kind, from, to)
		if err != nil {
			return nil, err
		}
		before, err := y.first(ctx, families, kind, from.AddDate(0, 0, -7*(weeksShown-1)), from)
		if err != nil {
			return nil, err
		}
		says, err := passedAtOnce(kind, sets, before)
		if err != nil {
			return nil, err
		}
		out = append(out, says...)
	}
	worst, err := y.failed(ctx, families, from, to)
	if err != nil || len(worst) == 0 {
		return out, err
	}
	code := "review_failed_most"
	if worst[0].OverlapsNext {
		code = "review_failed_unsettled"
	}
	if len(worst) == 1 {
		code = "review_failed_only"
	}
	values := []string{"failing", worst[0].Code, "count", strconv.Itoa(int(worst[0].Count))}
	if len(worst) > 1 {
		values = append(values, "next", worst[1].Code, "more", strconv.Itoa(int(worst[1].Count)))
	}
	return append(out, models.Sentence{Remark: models.NewRemark(code, values...), About: models.AskFailures}), nil
}

// passedAtOnce is the share of a kind with its exact interval, beside that of the
// weeks before; of fewer than twenty it counts only.
func passedAtOnce(kind string, sets, before []models.FirstVerdict) ([]models.Sentence, error) {
	n, k := len(sets), passed(sets)
	sentence := func(code string, values ...string) []models.Sentence {
		values = append(values, "item_kind", kind, "k", strconv.Itoa(k), "n", strconv.Itoa(n))
		return []models.Sentence{{Remark: models.NewRemark(code, values...), About: models.AskFailures}}
	}
	switch {
	case n == 0 && len(before) == 0:
		return nil, nil
	case n == 0:
		return sentence("review_none_read_" + kind), nil
	case n < fewest:
		return sentence("review_passed_few_" + kind), nil
	}
	share, err := stats.ProportionIntervalsOf(k, n, 0.95)
	if err != nil {
		return nil, fmt.Errorf("share of %s that passed at once: %w", kind, err)
	}
	values := []string{"share", percent(share.Estimate), "from", percent(share.Exact.Low), "to", percent(share.Exact.High)}
	if m := len(before); m >= fewest {
		return sentence("review_passed_"+kind, append(values, "earlier", strconv.Itoa(passed(before)), "of", strconv.Itoa(m), "was", percent(float64(passed(before))/float64(m)))...), nil
	}
	return sentence("review_passed_first_"+kind, values...), nil
}

func passed(sets []models.FirstVerdict) int {
	n := 0
	for _, s := range sets {
		if s.Passed {
			n++
		}
	}
	return n
}

// percent is a share with one decimal, as it is read.
func percent(share float64) string { return strconv.FormatFloat(100*share, 'f', 1, 64) }

// failed counts the results that failed in first sets, the most often first.
func (y yield) failed(ctx context.Context, families []models.Family, from, to time.Time) ([]stats.ParetoRow, error) {
	sum := map[string]int{}
	for _, f := range families {
		if f.Kind != models.KindWheel && f.Kind != models.KindPack {
			continue
		}
		counts, err := y.store.FailedResults(ctx, f.ID, from, to)
		if err != nil {
			return nil, err
		}
		for code, n := range counts {
			sum[code] += n
		}
	}
	tallies := make([]stats.Tally, 0, len(sum))
	for code, n := range sum {
		tallies = append(tallies, stats.Tally{Code: code, Count: n})
	}
	if len(tallies) == 0 {
		return nil, nil
	}
	return stats.Pareto(tallies)
}

// barsShown is how many bars a picture of what failed has.
const barsShown = 8

func (y yield) plots(ctx context.Context, from, to time.Time) ([]models.Plot, error) {
	families, err := y.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	var plots []models.Plot
	for _, kind := range kindsShown {
		plot, err := y.weeks(ctx, families, kind, to)
		if err != nil {
			return nil, err
		}
		if plot != nil {
			plots = append(plots, *plot)
		}
	}
	worst, err := y.failed(ctx, families, from, to)
	if err != nil || len(worst) < 2 { // One bar is a sentence.
		return plots, err
	}
	bars := models.Plot{Shape: models.PlotBars, Title: models.NewRemark("plot_failed"), Zero: true}
	for _, row := range worst[:min(len(worst), barsShown)] {
		value, low, high := float64(row.Count), row.Interval.Low, row.Interval.High
		bars.Points = append(bars.Points, models.PlotPoint{Label: models.NewRemark("label_result", "result", row.Code), Value: &value, Low: &low, High: &high, K: int(row.Count)})
	}
	return append(plots, bars), nil
}

// weeks is the yield of each of the last weeks up to the end of the period, against
// the limits that the binomial distribution gives the pooled share (stats.ExactFunnel):
// a week outside, by Bonferroni for all weeks shown, is a signal.
func (y yield) weeks(ctx context.Context, families []models.Family, kind string, to time.Time) (*models.Plot, error) {
	zone := y.zone(ctx)
	end := to.In(zone)
	for end.Weekday() != time.Monday { // A month may end within a week: that week is whole.
		end = end.AddDate(0, 0, 1)
	}
	starts := make([]time.Time, weeksShown)
	for i := range starts {
		starts[i] = end.AddDate(0, 0, -7*(weeksShown-i))
	}
	sets, err := y.first(ctx, families, kind, starts[0], end)
	if err != nil || len(sets) == 0 {
		return nil, err
	}
	k, n := make([]int, weeksShown), make([]int, weeksShown)
	for _, s := range sets {
		for i := weeksShown - 1; i >= 0; i-- {
			if !s.MeasuredAt.Before(starts[i]) {
				n[i]++
				if s.Passed {
					k[i]++
				}
				break
			}
		}
	}
	plot := &models.Plot{Shape: models.PlotDots, Title: models.NewRemark("plot_yield_" + kind), Unit: "%", Decimals: 1}
	var at, x, of []int
	for i := range starts {
		p := models.PlotPoint{Label: models.NewRemark("label_week", "date", starts[i].Format(time.DateOnly)), K: k[i], N: n[i]}
		if n[i] > 0 {
			share, err := stats.ProportionIntervalsOf(k[i], n[i], 0.95)
			if err != nil {
				return nil, err
			}
			p.Value = in(share.Estimate)
			at, x, of = append(at, i), append(x, k[i]), append(of, n[i])
		}
		plot.Points = append(plot.Points, p)
	}
	if len(at) < 2 {
		return plot, nil
	}
	pooled, rows, err := stats.ExactFunnel(x, of)
	if err != nil {
		return nil, fmt.Errorf("limits of the weeks of %s: %w", kind, err)
	}
	for i, row := range rows {
		p := &plot.Points[at[i]]
		p.Centre, p.Lower, p.Upper = in(pooled), in(row.Counts.Low/float64(of[i])), in(row.Counts.High/float64(of[i]))
		p.Signal = row.Flagged
	}
	return plot, nil
}

// in is a share in per cent, where a plot holds it.
func in(share float64) *float64 {
	v := 100 * share
	return &v
}

// Work says what the period brought: papers, shipments, what was stopped.
func Work(store WorkStore) Source {
	return Source{About: models.AskFailures, Said: func(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
		c, err := store.WorkCounts(ctx, from, to)
		if err != nil {
			return nil, err
		}
		var out []models.Sentence
		if c.Certificates+c.Shipments > 0 {
			out = append(out, models.Sentence{Remark: models.NewRemark("review_out", "count", strconv.Itoa(c.Certificates), "more", strconv.Itoa(c.Shipments)), About: models.AskFailures})
		}
		if c.Nonconformities+c.Holds > 0 {
			out = append(out, models.Sentence{Remark: models.NewRemark("review_stopped", "count", strconv.Itoa(c.Nonconformities), "more", strconv.Itoa(c.Holds)), About: models.AskFailures})
		}
		return out, nil
	}}
}

// Claims says how many claims were opened in the period.
func Claims(store WorkStore) Source {
	return Source{About: models.AskReturns, Said: func(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
		c, err := store.WorkCounts(ctx, from, to)
		if err != nil || c.Claims == 0 {
			return nil, err
		}
		code := "review_claims_many"
		if c.Claims == 1 {
			code = "review_claims_one"
		}
		return []models.Sentence{{Remark: models.NewRemark(code, "count", strconv.Itoa(c.Claims)), About: models.AskReturns}}, nil
	}}
}
