package returns

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/numbers/stats"
)

// Of fourteen months the newest twelve are drawn: 6 of 40 are 15 %, 1.2 expected of 40
// are 3 %; nine units are counted only.
func TestMonthsAreDrawnWithTheirShare(t *testing.T) {
	v := View{Family: models.Family{ID: "f", Name: "Rear wheels"}}
	for range 13 {
		v.Months = append(v.Months, Month{Month: "2031-04", Excess: Excess{Share: Share{K: 2, N: 9, Few: true}}})
	}
	v.Months = append(v.Months, Month{Month: "2031-05", Excess: Excess{Share: Share{K: 6, N: 40, Interval: stats.Interval{Low: 0.057, High: 0.298}}, Expected: 1.2, Known: true, More: true}})
	plot := v.plot()
	if len(plot.Points) != 12 || plot.Title.Values["name"] != "Rear wheels" || plot.Query["family"] != "f" {
		t.Fatalf("%+v", plot)
	}
	if p := plot.Points[11]; !same(p.Value, 15) || !same(p.Centre, 3) || !same(p.Low, 5.7) || !same(p.High, 29.8) || !p.Signal || p.K != 6 || p.N != 40 || p.Label.Values["month"] != "2031-05" {
		t.Errorf("the newest month is %+v", p)
	}
	if p := plot.Points[0]; p.Value != nil || p.K != 2 || p.N != 9 || p.Signal {
		t.Errorf("a month of nine is %+v", p)
	}
	few := View{Months: v.Months[:13]}
	if !valued(plot) || valued(few.plot()) {
		t.Error("a picture is drawn for what has a value in it, and for nothing else")
	}
}

func same(v *float64, want float64) bool { return v != nil && math.Abs(*v-want) < 1e-9 }
