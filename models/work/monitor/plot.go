package monitor

import (
	"time"

	"tracewright/models"
)

// Plot is the chart as a review draws it small: its newest points in the scale that
// they are judged in, with the limits of their phases, and a square on each that
// signals. The smoothed mean is not drawn: a point where it signals has its square.
func (v ChartView) Plot(most int, zone *time.Location) models.Plot {
	code := "plot_chart"
	if v.Query.Place != "" {
		code = "plot_chart_at"
	}
	plot := models.Plot{Shape: models.PlotDots, Decimals: v.Decimals, Title: models.NewRemark(code, "result", v.Query.Result, "family", v.Family.Name, "place", v.Query.Place), Points: []models.PlotPoint{},
		Query: map[string]string{"family": v.Query.FamilyID, "result": v.Query.Result}}
	if v.Query.Place != "" {
		plot.Query["place"] = v.Query.Place
	}
	if v.Query.ProductID != "" {
		plot.Query["product"] = v.Query.ProductID
	}
	if v.Present().Scaled() {
		plot.Unit = v.Unit
	} else {
		plot.Unit = v.Present().Counted()
		plot.Decimals = max(plot.Decimals, 2)
	}
	signals := map[int]bool{}
	for _, g := range v.Signals {
		signals[g.Point] = true
	}
	for _, phase := range v.Phases {
		for i := max(phase.From, len(v.Points)-most); i < phase.To; i++ {
			at := i - phase.From - phase.Values.First
			plot.Points = append(plot.Points, models.PlotPoint{Label: models.NewRemark("label_day", "date", v.Points[i].MeasuredAt.In(zone).Format(time.DateOnly)), Signal: signals[i],
				Value: level(phase.Values.Points, at), Centre: level(phase.Values.Centre, at), Lower: level(phase.Values.Low, at), Upper: level(phase.Values.High, at)})
		}
	}
	return plot
}

// level is a line of a panel at a point; nil where it has none there.
func level(line []float64, at int) *float64 {
	if at < 0 || at >= len(line) {
		return nil
	}
	return &line[at]
}
