package monitor_test

import (
	"testing"
	"time"

	"tracewright/models/work/monitor"
	"tracewright/models/work/worktest"
)

// Whoever chooses a baseline or names a cause is told the moment that is kept, on a
// clock that goes on meanwhile.
func TestTheMomentToldIsTheOneKept(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx := t.Context()
		s := monitor.New(h.Store, func() time.Time { h.Now = h.Now.Add(time.Millisecond); return h.Now }, worktest.Zone)
		made := wheels(h, 25, 30)
		wheels(h, 1, 90)
		q := lateral(h)
		baseline, err := s.AddBaseline(ctx, h.Owner, monitor.NewBaseline{ChartKey: q.Key(), First: made[0].ID, Last: made[24].ID})
		h.Must(err)
		kept, err := h.Store.ChartBaselines(ctx, q.Key())
		h.Must(err)
		if len(kept) != 1 || !kept[0].MadeAt.Equal(baseline.MadeAt) || kept[0].MadeBy != baseline.MadeBy {
			t.Errorf("a baseline of %s by %q is kept as %+v", baseline.MadeAt, baseline.MadeBy, kept)
		}
		v, err := s.Chart(ctx, q)
		h.Must(err)
		g := v.Signals[len(v.Signals)-1]
		cause, err := s.AddCause(ctx, h.Owner, monitor.NewCause{ChartKey: q.Key(), Rule: g.Reason.Code, Side: string(g.Side), InspectionID: g.Raised.InspectionID, Code: "tool"})
		h.Must(err)
		causes, err := h.Store.SignalCauses(ctx, q.Key())
		h.Must(err)
		if len(causes) != 1 || !causes[0].MadeAt.Equal(cause.MadeAt) || causes[0].MadeBy != cause.MadeBy {
			t.Errorf("a cause of %s by %q is kept as %+v", cause.MadeAt, cause.MadeBy, causes)
		}
	})
}
