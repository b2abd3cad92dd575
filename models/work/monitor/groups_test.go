package monitor_test

import (
	"errors"
	"math"
	"slices"
	"testing"
	"time"

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

// 21 weeks of two wheels, one of the 42 a no, are chosen for a baseline: the centre is
// 1/42, and stays it when six weeks follow in which everything is a no. Those are a
// phase of the same limits, and each signals: P(X > 1) of two is (1/42)^2 = 0.0006, so
// one of two is inside, and two are not. A week in the middle of which a period begins
// is shown whole.
func TestABaselineOfWeeks(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *monitor.Service) {
		h.Now = h.Now.AddDate(0, 0, -7*40)
		var sent []models.Submission
		week := func(no ...bool) {
			for _, no := range no {
				h.Now = h.Now.Add(time.Hour)
				sub := h.Extremes()
				sub.Serial, sub.Place = *h.AnotherWheel().Serial, "stand 1"
				for n, set := range sub.Sets {
					if no && set.Characteristic == "cable_sound" {
						sub.Sets[n].Values = []string{"no"}
					}
				}
				h.MustRecord(sub)
				sent = append(sent, sub)
			}
			h.Now = h.Now.AddDate(0, 0, 7)
		}
		for i := range 6 { // Before the baseline: by their own limits, the first weeks'.
			week(i%2 == 0, true)
		}
		for i := range 21 {
			week(i == 9, false)
		}
		q := lateral(h)
		q.Result = "cable_sound"
		for _, c := range []struct {
			name        string
			first, last int
			code        string
		}{{"nineteen weeks", 12, 50, "baseline_short"}, {"the end before the start", 52, 13, "end_before_start"}} {
			_, err := s.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: sent[c.first].ID, Last: sent[c.last-1].ID})
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Code != c.code {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		b, err := s.AddBaseline(t.Context(), h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: sent[13].ID, Last: sent[52].ID})
		h.Must(err)
		for range 6 {
			week(true, true)
		}
		v, err := s.Chart(t.Context(), q)
		h.Must(err)
		ph := v.Present()
		if len(v.Phases) != 2 || ph.From != 6 || ph.To != 33 || ph.Baseline == nil || ph.Baseline.ID != b.ID || math.Abs(ph.Limits.Centre-1./42) > 1e-12 || math.Abs(ph.Values.Centre[0]-100./42) > 1e-9 {
			t.Fatalf("%d phases, the last %d to %d, centre %v", len(v.Phases), ph.From, ph.To, ph.Limits.Centre)
		}
		if b.HoldsFrom.Weekday() != time.Monday || len(v.Signals) != 6 || v.Signals[0].Point != 27 || v.Signals[0].Side != "high" {
			t.Errorf("from a %s; signals %+v", b.HoldsFrom.Weekday(), v.Signals)
		}
		signals, err := s.Signals(t.Context(), q.Key())
		h.Must(err)
		watched, err := s.Watched(t.Context())
		h.Must(err)
		if len(signals) != 6 || !slices.Contains(watched, q.Key()) {
			t.Errorf("%d signals for those who watch; watched %v", len(signals), slices.Contains(watched, q.Key()))
		}
		q.From, q.To = v.Points[30].Ended, v.Points[31].MeasuredAt.Add(time.Minute)
		part, err := s.Chart(t.Context(), q)
		h.Must(err)
		if len(part.Points) != 2 || part.Points[0].Size != 2 || part.Points[1].Size != 2 || len(part.Signals) != 2 {
			t.Errorf("a part has %d points, %+v", len(part.Points), part.Points)
		}
	})
}
