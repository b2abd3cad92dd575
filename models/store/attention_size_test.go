package store_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/worktest"
)

// The holds that wait are found as quickly among twenty thousand that were lifted as
// among two hundred: the least of some times, for what else the machine does only adds.
func TestHoldsThatEndedCostNothing(t *testing.T) {
	storetest.EachDSN(t, func(t *testing.T, dsn string) {
		few, many := 200, 20_000
		least := func(dsn string, lifted int) time.Duration {
			liftedHolds(t, dsn, lifted)
			s := storetest.Open(t, dsn)
			best := time.Hour
			for range 60 {
				best = min(best, timeOf(func() {
					if got := must(s.HoldsWaiting(t.Context())); len(got) != 1 {
						t.Fatalf("%d wait, want one", len(got))
					}
				}))
			}
			return best
		}
		small, large := least(dsn, few), least(another(t, dsn), many)
		t.Logf("%v among %d, %v among %d", small, few, large, many)
		if large > 3*small {
			t.Errorf("%v among %d that were lifted, %v among %d", small, few, large, many)
		}
	})
}

// liftedHolds fills a database with holds that were lifted, past the program, and one
// that was not.
func liftedHolds(t *testing.T, dsn string, n int) {
	t.Helper()
	s := storetest.Open(t, dsn)
	h := worktest.On(t, s)
	item, by := h.Item[models.KindWheel].ID, h.Owner.PersonID
	must(s.AddHold(t.Context(), models.NewStamp(h.Owner, moment), models.Hold{ItemID: &item, Code: "W13", Reason: "a step", RaisedBy: by}))
	put, done := bulk(t, dsn)
	holds := table{"holds", []string{"id", "item_id", "code", "reason", "state_before", "raised_by", "raised_at", "lifted"}, nil}
	lifts := table{"hold_lifts", []string{"hold_id", "code", "reason", "lifted_by", "lifted_at"}, nil}
	for i := range n {
		at := moment.Add(-time.Duration(i) * time.Minute)
		holds.rows = append(holds.rows, []any{keyOf('7', i), item, "W01", "r", "in_process", by, at, true})
		lifts.rows = append(lifts.rows, []any{keyOf('7', i), "corrected", "trued", by, at})
	}
	h.Must(put(holds))
	h.Must(put(lifts))
	h.Must(done())
}
