package failures

import (
	"context"
	"time"

	"tracewright/models"
)

// causesDrawn is how many bars a picture of what failed has.
const causesDrawn = 8

// Plots draws for a review, of each kind of item that had first sets in the time, the
// weeks up to its end with the limits that the page of this question has, and what
// failed in the time itself with its intervals. One bar is a sentence and no picture.
func (s *Service) Plots(ctx context.Context, from, to time.Time) ([]models.Plot, error) {
	zone := s.zone(ctx)
	first, last := from.In(zone).Format(time.DateOnly), to.Add(-time.Millisecond).In(zone).Format(time.DateOnly)
	var out []models.Plot
	for _, kind := range []string{models.KindWheel, models.KindPack} {
		around, err := s.Ask(ctx, models.Actor{}, Query{What: kind, To: s.until(ctx, last)})
		if err != nil {
			return nil, err
		}
		if around.Inspected > 0 {
			out = append(out, around.weeksPlot())
		}
		v, err := s.Ask(ctx, models.Actor{}, Query{What: kind, From: first, To: last})
		if err != nil {
			return nil, err
		}
		if len(v.Causes) > 1 {
			out = append(out, v.causesPlot())
		}
	}
	return out, nil
}

func (v *View) weeksPlot() models.Plot {
	plot := models.Plot{Shape: models.PlotDots, Unit: "%", Decimals: 1, Title: models.NewRemark("plot_yield_" + v.Kind), Query: map[string]string{"what": v.Kind}, Points: []models.PlotPoint{}}
	for _, w := range v.Weeks {
		pt := models.PlotPoint{Label: models.NewRemark("label_week", "date", w.Monday), K: w.Share.K, N: w.Share.N, Signal: w.Signal != ""}
		if w.Share.N > 0 {
			pt.Value = inPercent(w.Share.Value)
			if w.Limited {
				n := float64(w.Share.N)
				pt.Centre, pt.Lower, pt.Upper = inPercent(v.Usual), inPercent(float64(w.Low)/n), inPercent(float64(w.High)/n)
			}
		}
		plot.Points = append(plot.Points, pt)
	}
	return plot
}

func (v *View) causesPlot() models.Plot {
	plot := models.Plot{Shape: models.PlotBars, Unit: "%", Decimals: 1, Zero: true, Title: models.NewRemark("plot_failed_" + v.Kind), Query: map[string]string{"what": v.Kind, "from": v.Query.From, "to": v.Query.To}, Points: []models.PlotPoint{}}
	for _, c := range v.Causes[:min(len(v.Causes), causesDrawn)] {
		plot.Points = append(plot.Points, models.PlotPoint{Label: models.NewRemark("label_fault", "fault", v.fault(c.Code)), K: c.Share.K, N: c.Share.N,
			Value: inPercent(c.Share.Value), Low: inPercent(c.Share.Low), High: inPercent(c.Share.High)})
	}
	return plot
}

func inPercent(share float64) *float64 {
	v := 100 * share
	return &v
}
