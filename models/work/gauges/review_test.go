package gauges_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store"
	"tracewright/models/work/gauges"
	"tracewright/models/work/recall"
	"tracewright/models/work/worktest"
)

// Four wheels read with a dial that reads too little, one of them good all the same:
// one here that passes no longer, one here beyond what the calibration knows, one that
// was shipped. What is here is decided about once it was held, what was shipped once it
// is called back; a failure with nothing left is not listed.
func TestWhatAFailedGaugeLeavesUndecided(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx := t.Context()
		want := func(when string, count int, here, shipped int) {
			t.Helper()
			found, err := r.s.Undecided(ctx)
			r.Must(err)
			if len(found) != count {
				t.Fatalf("%s: %d failures, want %d", when, len(found), count)
			}
			if count == 1 {
				if u := found[0]; u.Instrument.Code != "D-1" || u.Judged != 4 || u.NoLonger != 3 || u.Here != here || u.Shipped != shipped {
					t.Errorf("%s: %+v", when, u)
				}
			}
		}
		want("before anything failed", 0, 0, 0)
		r.wheel("D-1", "0.14", "-0.14")
		r.wheel("D-1", "0.05", "-0.05")
		r.wheel("D-1", "0.30", "0.02")
		shipped := r.wheel("D-1", "0.14", "-0.14")
		r.wheel("D-2", "0.14", "-0.14")
		_, err := r.Store.AddShipment(ctx, models.NewStamp(r.Owner, r.Now), 31, models.Shipment{Items: []string{shipped.ItemID}, Against: []models.Remark{models.NewRemark("not_released")}})
		r.Must(err)
		r.Now = r.Now.Add(time.Hour)
		out, err := r.s.Calibrate(ctx, r.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{
			{Reference: "0.32", AsFound: "0.22", Tolerance: "0.02"}, {Reference: "-0.32", AsFound: "-0.22", Tolerance: "0.02"}}})
		r.Must(err)
		want("after it failed", 1, 2, 1)
		_, err = r.s.HoldTraced(ctx, r.Owner, "D-1", out.Trace.ID)
		r.Must(err)
		want("with what is here on hold", 1, 0, 1)
		_, err = recall.New(r.Store, r.Clock, worktest.Zone).Make(ctx, r.Owner, recall.NewRecall{Ask: recall.Ask{Trace: out.Trace.ID}, Reason: "the dial read too little"})
		r.Must(err)
		want("with what was shipped called back", 0, 0, 0)
	})
}

// Readings that were taken before a gauge failed and come after what it had measured was
// judged again are judged again too, once no more have come for a while: the answer that
// there is lacks them.
func TestReadingsThatComeAfterATraceAreTraced(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx := t.Context()
		offline := r.Extremes()
		offline.Serial, offline.FinishedAt = *r.AnotherWheel().Serial, r.Now
		offline.Sets[0].Values, offline.Sets[1].Values = []string{"0.14", "-0.14"}, []string{"0.14", "-0.14"}
		other := r.Extremes()
		other.Serial = *r.AnotherWheel().Serial
		for i := range 2 {
			other.Sets[i].Instrument = "D-2"
		}
		r.Now = r.Now.Add(time.Hour)
		check, err := r.s.AddCheck(ctx, r.Owner, "D-2", gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0.02", High: "0.02"})
		r.Must(err)
		failed, err := r.s.Check(ctx, r.Owner, "D-2", check.ID, models.NewID(), "0.5")
		r.Must(err)
		out, err := r.s.Calibrate(ctx, r.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{
			{Reference: "0.32", AsFound: "0.22", Tolerance: "0.02"}, {Reference: "-0.32", AsFound: "-0.22", Tolerance: "0.02"}}})
		r.Must(err)
		answers := func(when string, code string, count int) models.TraceContent {
			t.Helper()
			_, err := r.s.Undecided(ctx)
			r.Must(err)
			traces, err := r.s.Traces(ctx, code)
			r.Must(err)
			if len(traces) != count {
				t.Fatalf("%s: %d answers for %s, want %d", when, len(traces), code, count)
			}
			newest, err := r.s.Traced(ctx, code, traces[0].ID)
			r.Must(err)
			return newest.Content
		}
		r.Now = r.Now.Add(time.Hour)
		if c := answers("before they come", "D-1", 1); len(c.Sets) != 0 || len(content(t, out.Trace).Sets) != 0 || len(content(t, failed.Trace).Sets) != 0 {
			t.Errorf("before they come: %+v", c.Sets)
		}
		got := r.MustRecord(offline)
		if got.Inspection.Verdict != models.VerdictPass {
			t.Errorf("read while it was in use: %s, %+v", got.Inspection.Verdict, got.Inspection.Remarks)
		}
		r.MustRecord(other)
		answers("at once, since more may come", "D-1", 1)
		r.Now = r.Now.Add(3 * time.Minute)
		sets := answers("a while later", "D-1", 2).Sets
		if len(sets) != 2 || sets[0].Inspection != got.Inspection.ID || sets[0].Effect != models.SetNoLonger {
			t.Errorf("a while later: %+v", sets)
		}
		if sets := answers("a while later", "D-2", 2).Sets; len(sets) != 2 || sets[0].Inspection != other.ID {
			t.Errorf("of the check: %+v", sets)
		}
		undecided, err := r.s.Undecided(ctx)
		r.Must(err)
		if len(undecided) != 1 || undecided[0].Here != 1 || undecided[0].Instrument.Code != "D-1" { // A zero takes nothing from a run-out.
			t.Errorf("to be decided: %+v", undecided)
		}
		later := r.Extremes() // Read since it failed.
		later.Serial = *r.AnotherWheel().Serial
		r.MustRecord(later)
		others := r.Extremes() // Read before, with another gauge.
		others.Serial, others.StartedAt, others.FinishedAt = *r.AnotherWheel().Serial, offline.StartedAt, offline.FinishedAt
		others.Sets = others.Sets[2:]
		r.MustRecord(others)
		r.Now = r.Now.Add(time.Hour)
		answers("after others", "D-1", 2)
		answers("after others", "D-2", 2)
	})
}

// stopped is a store that keeps no traces: the program stops in between.
type stopped struct {
	*store.Store
	on bool
}

func (s *stopped) AddGaugeTrace(ctx context.Context, stamp models.Stamp, t models.GaugeTrace) (models.GaugeTrace, error) {
	if s.on {
		return t, errors.New("stopped")
	}
	return s.Store.AddGaugeTrace(ctx, stamp, t)
}

// A failure that was kept while its trace was not, by a calibration and by a short
// check, is traced by itself once somebody looks at what needs somebody.
func TestAFailureWithoutItsTraceIsTraced(t *testing.T) {
	eachRoom(t, func(t *testing.T, r *room) {
		ctx, s := t.Context(), &stopped{Store: r.Store}
		r.s = gauges.New(s, r.Capture, r.Clock, worktest.Zone)
		zero, err := r.s.AddCheck(ctx, r.Owner, "D-2", gauges.NewCheck{What: models.CheckZero, Reference: "0", Low: "-0.02", High: "0.02"})
		r.Must(err)
		r.wheel("D-1", "0.14", "-0.14")
		r.wheel("D-2", "0.28", "-0.02")
		r.Now = r.Now.Add(time.Hour)
		s.on = true
		if _, err := r.s.Calibrate(ctx, r.Owner, "D-1", gauges.NewCalibration{By: "lab", Standard: "gauge blocks", Points: []models.CalibrationPoint{
			{Reference: "0.32", AsFound: "0.22", Tolerance: "0.02"}, {Reference: "-0.32", AsFound: "-0.22", Tolerance: "0.02"}}}); err == nil {
			t.Fatal("a trace was kept")
		}
		if _, err := r.s.Check(ctx, r.Operator, "D-2", zero.ID, models.NewID(), "-0.10"); err == nil {
			t.Fatal("a trace was kept")
		}
		want := func(when string, failures, traces int) {
			t.Helper()
			found, err := r.s.Undecided(ctx)
			r.Must(err)
			n := 0
			for _, code := range []string{"D-1", "D-2"} {
				list, err := r.s.Traces(ctx, code)
				r.Must(err)
				n += len(list)
			}
			if len(found) != failures || n != traces {
				t.Errorf("%s: %d failures and %d traces, want %d and %d", when, len(found), n, failures, traces)
			}
		}
		want("while whoever entered it may still be at it", 0, 0)
		r.Now = r.Now.Add(3 * time.Minute)
		want("while no trace can be kept", 0, 0)
		s.on = false
		r.Now = r.Now.Add(11 * time.Minute)
		want("once one can", 1, 2) // An error that is the same everywhere makes no run-out.
		want("looked at again", 1, 2)
	})
}
