package returns

import (
	"context"
	"slices"
	"time"

	"tracewright/models"
)

const (
	monthsDrawn   = 12 // months of shipment in a picture
	familiesDrawn = 2  // pictures, of the families with most returns
)

// Plots draws for a review what had come back of each month's shipments at its end: the
// share with its exact interval, the line what would have come back by then if the month were like
// all others, and a square round a month that stands out among all months compared.
// A month of too few units has its counts and no share.
func (s *Service) Plots(ctx context.Context, _, to time.Time) ([]models.Plot, error) {
	at, _ := s.asOf(to)
	families, err := s.families(ctx, UsualMonths, at)
	if err != nil {
		return nil, err
	}
	var out []models.Plot
	for _, f := range families {
		if f.Share.K == 0 || len(out) == familiesDrawn {
			continue
		}
		v, err := s.view(ctx, Query{FamilyID: f.Family.ID}, at)
		if err != nil {
			return nil, err
		}
		if plot := v.plot(); valued(plot) {
			out = append(out, plot)
		}
	}
	return out, nil
}

// valued says whether a picture has anything to show: months of few units have none.
func valued(p models.Plot) bool {
	return slices.ContainsFunc(p.Points, func(pt models.PlotPoint) bool { return pt.Value != nil })
}

func (v View) plot() models.Plot {
	plot := models.Plot{Shape: models.PlotDots, Unit: "%", Decimals: 1, Zero: true, Title: models.NewRemark("plot_returns", "name", v.Family.Name), Query: map[string]string{"family": v.Family.ID}, Points: []models.PlotPoint{}}
	for _, m := range v.Months[max(0, len(v.Months)-monthsDrawn):] {
		pt := models.PlotPoint{Label: models.NewRemark("label_month", "month", m.Month), K: m.K, N: m.N, Signal: m.More}
		if !m.Few {
			pt.Value, pt.Low, pt.High = inPercent(float64(m.K)/float64(m.N)), inPercent(m.Interval.Low), inPercent(m.Interval.High)
			if m.Known {
				pt.Centre = inPercent(m.Expected / float64(m.N))
			}
		}
		plot.Points = append(plot.Points, pt)
	}
	return plot
}

func inPercent(share float64) *float64 {
	v := 100 * share
	return &v
}
