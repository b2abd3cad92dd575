package app

import (
	"context"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/work/monitor"
	workreview "tracewright/models/work/review"
	"tracewright/reports/review"
)

// drawReview hands a drawing to the report that makes paper of it.
func drawReview(d workreview.Drawing) ([]byte, error) {
	return review.Draw(d.Content, review.Options{Hash: d.Hash, Edition: d.Edition, Made: d.Made})
}

// signalled draws the watched charts that signalled in a time, small.
type signalled struct {
	between func(ctx context.Context, from, to time.Time) ([]models.ChartSignal, error)
	chart   func(context.Context, monitor.ChartQuery) (monitor.ChartView, error)
}

func (s signalled) source() workreview.Source {
	return workreview.Source{About: models.AskCharts, Plots: s.plots}
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
		out = append(out, controlPlot(view))
	}
	return out, nil
}

// controlPlot is the strip of the values of a chart, its newest points.
func controlPlot(v monitor.ChartView) models.Plot {
	code := "plot_chart"
	if v.Query.Place != "" {
		code = "plot_chart_at"
	}
	plot := models.Plot{Shape: models.PlotDots, Unit: v.Unit, Decimals: v.Decimals, Title: models.NewRemark(code, "result", v.Query.Result, "family", v.Family.Name, "place", v.Query.Place), Points: []models.PlotPoint{}}
	beyond := map[int]bool{}
	for _, g := range v.Signals {
		if g.Panel == spc.PanelValues {
			beyond[g.Point] = true
		}
	}
	at := slices.IndexFunc(v.Panels, func(p spc.Panel) bool { return p.Name == spc.PanelValues })
	for i := max(0, len(v.Points)-pointsDrawn); i < len(v.Points); i++ {
		pt := models.PlotPoint{Label: models.NewRemark("label_day", "date", v.Points[i].MeasuredAt.Format(time.DateOnly)), Value: &v.Points[i].ValueF, Signal: beyond[i]}
		if at >= 0 {
			p := v.Panels[at]
			pt.Centre, pt.Lower, pt.Upper = level(p.Centre, i-p.First), level(p.Low, i-p.First), level(p.High, i-p.First)
		}
		plot.Points = append(plot.Points, pt)
	}
	return plot
}

// level is a line of a panel at a point; nil where it has none there.
func level(line []float64, i int) *float64 {
	if i < 0 || i >= len(line) {
		return nil
	}
	return &line[i]
}
