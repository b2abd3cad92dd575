package app

import (
	"context"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/work/monitor"
)

// Two charts signalled, one of them twice: that one comes first, and is drawn with its
// newest points.
func TestChartsThatSignalledAreDrawn(t *testing.T) {
	day := time.Date(2031, 5, 12, 9, 0, 0, 0, time.UTC)
	one, two := models.ChartKey{FamilyID: "f", Result: "dish_abs"}, models.ChartKey{FamilyID: "f", Place: "stand 2", Result: "lateral_tir"}
	view := monitor.ChartView{Query: monitor.ChartQuery{Place: "stand 2", Result: "lateral_tir"}, Unit: "mm", Decimals: 2, Signals: []monitor.Signal{{Panel: spc.PanelValues, Point: 69}, {Panel: spc.PanelMovingRange, Point: 68}}}
	panel := spc.Panel{Name: spc.PanelValues}
	for i := range 70 {
		view.Points = append(view.Points, monitor.Point{MeasuredAt: day.AddDate(0, 0, i-70), ValueF: float64(i)})
		panel.Points, panel.Centre, panel.High = append(panel.Points, float64(i)), append(panel.Centre, 5), append(panel.High, 9)
	}
	view.Panels = []spc.Panel{panel}
	s := signalled{
		between: func(context.Context, time.Time, time.Time) ([]models.ChartSignal, error) {
			return []models.ChartSignal{{ChartKey: one, MeasuredAt: day}, {ChartKey: two, MeasuredAt: day.AddDate(0, 0, 2)}, {ChartKey: two, MeasuredAt: day.AddDate(0, 0, 1), Settled: true}}, nil
		},
		chart: func(_ context.Context, q monitor.ChartQuery) (monitor.ChartView, error) {
			view.Query = q
			return view, nil
		},
	}
	plots, err := s.plots(t.Context(), day, day)
	if err != nil || len(plots) != 2 || plots[0].Title.Values["place"] != "stand 2" || len(plots[0].Points) != pointsDrawn {
		t.Fatalf("%d plots, %v", len(plots), err)
	}
	last, before := plots[0].Points[59], plots[0].Points[58]
	if *last.Value != 69 || !last.Signal || before.Signal || *last.Centre != 5 || *last.Upper != 9 || last.Lower != nil || last.Label.Values["date"] != "2031-05-11" {
		t.Errorf("the newest point is %+v, the one before %+v", last, before)
	}
}
