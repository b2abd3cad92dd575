package gauges_test

import (
	"testing"
	"time"

	"tracewright/models"
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
