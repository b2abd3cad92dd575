package monitor_test

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// 24 weeks of two wheels each; in the ninth one of them is ticked no. Of 48 wheels
// 1 is a no: the centre is 1/48, 2.08 %, and two in a week are so few that the limit
// is an exact tail: P(X > 1) = (1/48)^2 = 0.00043 is below 0.00135, so one of two,
// 50 %, is still inside, and nothing signals.
func TestTicksAreChartedByWeek(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		h.Now = h.Now.AddDate(0, 0, -7*24)
		var no models.Submission
		for week := range 24 {
			for i := range 2 {
				sub := h.Extremes()
				sub.Serial, sub.Place = *h.AnotherWheel().Serial, "stand 1"
				if week == 8 && i == 0 {
					for n, set := range sub.Sets {
						if set.Characteristic == "cable_sound" {
							sub.Sets[n].Values = []string{"no"}
						}
					}
					no = sub
				}
				h.MustRecord(sub)
			}
			h.Now = h.Now.AddDate(0, 0, 7)
		}
		q := lateral(h)
		q.Result = "cable_sound"
		v, err := s.Chart(t.Context(), q)
		h.Must(err)
		if len(v.Points) != 24 || v.Kind != "p" || v.Grouped != monitor.ByWeek || v.KindReason != "ticked_one" {
			t.Fatalf("%d points, %s because %s", len(v.Points), v.Kind, v.KindReason)
		}
		odd := v.Points[8]
		if odd.Count != 1 || odd.Size != 2 || odd.ValueF != 50 || odd.InspectionID != no.ID {
			t.Errorf("the ninth week %+v", odd)
		}
		ph := v.Present()
		if math.Abs(ph.Values.Centre[0]-100.0/48) > 1e-9 || ph.Values.High[8] != 50 || ph.Values.Points[8] != 50 {
			t.Errorf("centre %v, limit %v, point %v", ph.Values.Centre[0], ph.Values.High[8], ph.Values.Points[8])
		}
		if len(v.Signals) != 0 || v.Finding.Title.Code != "chart.steady_all" {
			t.Errorf("signals %+v, finding %+v", v.Signals, v.Finding)
		}
	})
}
