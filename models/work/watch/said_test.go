package watch_test

import (
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
)

func TestWhatAReviewIsTold(t *testing.T) {
	english := words.In("en")
	each(t, func(t *testing.T, h *shop) {
		s := h.watch()
		from := h.Now
		said := func() string {
			t.Helper()
			list, err := s.Said(t.Context(), from, h.Now.Add(time.Hour))
			h.Must(err)
			var lines []string
			for _, sentence := range list {
				if sentence.About != models.AskCharts {
					t.Errorf("it is about %q", sentence.About)
				}
				lines = append(lines, english.Remark(sentence.Remark))
			}
			return strings.Join(lines, "\n")
		}
		want := func(name, text string) {
			t.Helper()
			if got := said(); got != text {
				t.Errorf("%s:\n%s\nwant\n%s", name, got, text)
			}
		}
		want("nothing computed", "No chart is watched: nothing was measured in the last 90 days.")
		h.steady(55, "stand 1")
		h.catchUp(s)
		want("a steady process", "No new signal on any of the 6 watched charts, and none from before is without a cause.")
		high := h.wheel(95, "stand 1")
		h.catchUp(s)
		want("a signal", "Lateral run-out, full reading, wheels, all places: a signal on 12 May 2031, without a cause yet.\n"+
			"Lateral run-out, full reading, wheels, stand 1: a signal on 12 May 2031, without a cause yet.")
		h.Must(h.Store.AddSignalCause(t.Context(), models.NewStamp(h.Operator, h.Now), models.SignalCause{FamilyID: h.charts.family, Place: "stand 1", Result: "lateral_tir", Rule: spc.BeyondLimit, Side: "high",
			InspectionID: high.ID, Code: "misread"}))
		want("with a cause on one chart", "Lateral run-out, full reading, wheels, all places: a signal on 12 May 2031, without a cause yet.\n"+
			"Lateral run-out, full reading, wheels, stand 1: a signal on 12 May 2031, and its cause is known.")
		open, err := s.Open(t.Context())
		h.Must(err)
		if len(open) != 1 || open[0].Place != "" || open[0].Settled {
			t.Errorf("open %+v", open)
		}
		if of, err := s.Of(t.Context(), h.key("stand 1")); err != nil || len(of) != 1 || !of[0].Settled {
			t.Errorf("of its chart %+v, %v", of, err)
		}
		h.Now = h.Now.Add(24 * time.Hour)
		low := h.wheel(3, "stand 1")
		h.catchUp(s)
		want("two of them", "Lateral run-out, full reading, wheels, all places: 2 signals, the first on 12 May 2031, and 2 without a cause.\n"+
			"Lateral run-out, full reading, wheels, stand 1: 2 signals, the first on 12 May 2031, and 1 without a cause.")
		from = h.Now.Add(time.Minute)
		want("nothing measured since", "Nothing was measured in this time, so nothing can be said of control.")
		// What signalled before and has no cause is out still, whether or not the rules
		// signal anew: nobody is told that all is in control.
		h.steady(2, "stand 2")
		h.catchUp(s)
		want("nothing new since", "No new signal on any of the 6 watched charts. 2 of them have one from before without a cause yet, the oldest of 12 May 2031.")
		h.Must(h.Store.AddSignalCause(t.Context(), models.NewStamp(h.Operator, h.Now), models.SignalCause{FamilyID: h.charts.family, Place: "stand 1", Result: "lateral_tir", Rule: spc.BeyondLimit, Side: "low",
			InspectionID: low.ID, Code: "misread"}))
		want("one is left", "No new signal on any of the 6 watched charts. One of them has one from before without a cause yet, the oldest of 12 May 2031.")
		from = h.Now.Add(-time.Minute)
		h.wheel(95, "stand 2")
		h.catchUp(s)
		if got := said(); !strings.Contains(got, "all places: a signal on 13 May 2031") || strings.Contains(got, "from before") {
			t.Errorf("the chart of all places signals anew, and is told so:\n%s", got)
		}
	})
}
