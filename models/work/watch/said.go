package watch

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models"
)

// mostSaid is how many charts a review names one by one.
const mostSaid = 6

// Said tells what the watched charts signalled of points that were measured in
// from <= t < to, one sentence a chart: those with the most signals that nobody
// has explained first. Where there was none it says so, in one
// sentence, and so it does where nothing was measured. A chart that signalled before and
// whose signal has no cause today was out then too: a rule that goes on being broken
// signals once, and so these are told beside.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	signals, err := s.Between(ctx, from, to)
	if err != nil {
		return nil, err
	}
	if len(signals) == 0 {
		n, err := s.Count(ctx)
		if err != nil {
			return nil, err
		}
		quiet := models.Sentence{Remark: models.NewRemark("watch_quiet", "watched_charts", strconv.Itoa(n)), About: models.AskCharts}
		measured, err := s.store.MeasuredBetween(ctx, from, to)
		switch {
		case err != nil:
			return nil, err
		case n == 0:
			quiet.Remark = models.NewRemark("watch_none")
		case !measured: // Nothing can be said of what nobody measured.
			quiet.Remark = models.NewRemark("watch_unmeasured")
		default:
			left, values, err := s.left(ctx, from, nil)
			if err != nil {
				return nil, err
			}
			if left > 0 {
				quiet.Remark = models.NewRemark(oneOr("watch_quiet_left", left), append(values, "watched_charts", strconv.Itoa(n))...)
			}
		}
		return []models.Sentence{quiet}, nil
	}
	type chart struct {
		models.ChartKey
		first      time.Time
		count, why int // signals, and those without a cause
	}
	var charts []*chart
	by := map[models.ChartKey]*chart{}
	for _, g := range signals { // oldest first
		c := by[g.ChartKey]
		if c == nil {
			c = &chart{ChartKey: g.ChartKey, first: g.MeasuredAt}
			by[g.ChartKey], charts = c, append(charts, c)
		}
		c.count++
		if !g.Settled {
			c.why++
		}
	}
	slices.SortStableFunc(charts, func(a, b *chart) int {
		return cmp.Or(b.why-a.why, b.count-a.count, a.Compare(b.ChartKey))
	})
	var said []models.Sentence
	zone := s.zone(ctx)
	for _, c := range charts[:min(len(charts), mostSaid)] {
		family, err := s.store.Family(ctx, c.FamilyID)
		if err != nil {
			return nil, fmt.Errorf("whose chart signalled: %w", err)
		}
		code := "watch_signalled"
		if c.count == 1 {
			code = "watch_one"
			if c.why == 1 {
				code = "watch_one_open"
			}
		}
		if c.Place == "" {
			code += "_all"
		}
		q := map[string]string{"family": c.FamilyID, "result": c.Result}
		if c.Place != "" {
			q["place"] = c.Place
		}
		if c.ProductID != "" {
			q["product"] = c.ProductID
		}
		said = append(said, models.Sentence{About: models.AskCharts, Query: q,
			Remark: models.Remark{Code: code, Values: map[string]string{"result": c.Result, "watched_family": family.Name, "place": c.Place, "count": strconv.Itoa(c.count),
				"date": c.first.In(zone).Format(time.DateOnly), "unexplained": strconv.Itoa(c.why)}}})
	}
	if more := len(charts) - mostSaid; more > 0 {
		said = append(said, models.Sentence{Remark: models.NewRemark("watch_more_signalled", "count", strconv.Itoa(more)), About: models.AskCharts})
	}
	left, values, err := s.left(ctx, from, func(k models.ChartKey) bool { return by[k] != nil })
	if err != nil {
		return nil, err
	}
	if left > 0 {
		said = append(said, models.Sentence{Remark: models.NewRemark(oneOr("watch_left", left), values...), About: models.AskCharts})
	}
	return said, nil
}

// left counts the charts that signalled before a moment and whose signal has no cause
// today, but for those that are told otherwise, with the values of a sentence about them.
func (s *Service) left(ctx context.Context, before time.Time, told func(models.ChartKey) bool) (int, []string, error) {
	signals, err := s.store.SignalsLeft(ctx, before, mostBetween)
	if err != nil {
		return 0, nil, fmt.Errorf("signals from before a period: %w", err)
	}
	if told != nil {
		signals = slices.DeleteFunc(signals, func(g models.ChartSignal) bool { return told(g.ChartKey) })
	}
	if len(signals) == 0 {
		return 0, nil, nil
	}
	charts := map[models.ChartKey]bool{}
	for _, g := range signals {
		charts[g.ChartKey] = true
	}
	return len(charts), []string{"count", strconv.Itoa(len(charts)), "date", signals[0].MeasuredAt.In(s.zone(ctx)).Format(time.DateOnly)}, nil
}

// oneOr is the code of a sentence in the singular, where it is about one.
func oneOr(code string, n int) string {
	if n == 1 {
		return code + "_one"
	}
	return code
}
