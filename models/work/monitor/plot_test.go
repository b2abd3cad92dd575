package monitor

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// Two phases, of 40 and 30 points, with limits of their own: the newest 60 are drawn,
// so the first ten of the first phase are not.
func TestAChartIsDrawnSmall(t *testing.T) {
	day := time.Date(2031, 5, 12, 23, 30, 0, 0, time.UTC)
	v := ChartView{Query: ChartQuery{FamilyID: "f", Place: "stand 2", Result: "lateral_tir"}, Unit: "mm", Decimals: 2, Signals: []Signal{{Point: 69}, {Point: 3}}}
	for i := range 70 {
		v.Points = append(v.Points, Point{MeasuredAt: day.AddDate(0, 0, i-69)})
	}
	phase := func(from, to int, centre float64) Phase {
		p := Phase{From: from, To: to, Values: spc.Panel{Name: spc.PanelValues}}
		for i := from; i < to; i++ {
			p.Values.Points, p.Values.Centre, p.Values.High = append(p.Values.Points, float64(i)), append(p.Values.Centre, centre), append(p.Values.High, centre+4)
		}
		return p
	}
	v.Phases = []Phase{phase(0, 40, 5), phase(40, 70, 8)}
	east := time.FixedZone("east", 3600) // It is the next day there.
	plot := v.Plot(60, east)
	if len(plot.Points) != 60 || plot.Unit != "mm" || plot.Title.Code != "plot_chart_at" || plot.Query["place"] != "stand 2" {
		t.Fatalf("%d points, %+v", len(plot.Points), plot)
	}
	if p := plot.Points[0]; *p.Value != 10 || *p.Centre != 5 || p.Signal || p.Lower != nil {
		t.Errorf("the first is %+v", p)
	}
	if p := plot.Points[59]; *p.Value != 69 || *p.Centre != 8 || *p.Upper != 12 || !p.Signal || p.Label.Values["date"] != "2031-05-13" {
		t.Errorf("the newest is %+v", p)
	}
	if empty := (ChartView{}).Plot(60, time.UTC); len(empty.Points) != 0 || empty.Shape != models.PlotDots {
		t.Errorf("of nothing %+v", empty)
	}
}
