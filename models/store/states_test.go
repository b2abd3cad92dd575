package store_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

func state(h *worktest.Shop, t *testing.T, id string) string {
	t.Helper()
	return must(h.Store.Item(t.Context(), id)).State
}

func certify(h *worktest.Shop, t *testing.T, stamp models.Stamp, i models.Inspection) models.Certificate {
	t.Helper()
	return must(h.Store.AddCertificate(t.Context(), stamp, 31, i.ItemID, func(number string, revision int, replaces *models.Certificate) (models.Certificate, error) {
		c := models.Certificate{ID: models.NewID(), Number: number, Revision: revision, ItemID: i.ItemID, InspectionID: i.ID, Content: "{}", ContentHash: "h",
			IssuedBy: h.Owner.PersonID, IssuedAt: moment}
		if replaces != nil {
			c.Replaces, c.Reason = &replaces.ID, "again"
		}
		return c, nil
	}))
}

// A second hold remembers what was before the first, in whichever order they
// are lifted.
func TestHoldsLiftedInEitherOrder(t *testing.T) {
	for name, order := range map[string][]int{"first raised, first lifted": {0, 1}, "last raised, first lifted": {1, 0}} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				stamp, ctx := models.NewStamp(h.Owner, moment), t.Context()
				item := h.MustRecord(h.Extremes()).Item.ID
				var holds []models.Hold
				for range 2 {
					holds = append(holds, must(h.Store.AddHold(ctx, stamp, models.Hold{ID: models.NewID(), ItemID: &item, Code: "W01", Reason: "r", RaisedBy: h.Operator.PersonID, RaisedAt: moment})))
				}
				for n, k := range order {
					if got := state(h, t, item); got != models.StateHeld {
						t.Errorf("with %d holds lifted the item is %s", n, got)
					}
					h.Must(h.Store.LiftHold(ctx, stamp, models.HoldLift{HoldID: holds[k].ID, Code: "corrected", Reason: "r", LiftedBy: h.Owner.PersonID, LiftedAt: moment}))
				}
				if got := state(h, t, item); got != models.StateConforming {
					t.Errorf("with no hold left the item is %s, want conforming as before", got)
				}
			})
		})
	}
}

// A certificate voided while its item is on hold does not come back with the
// lifting.
func TestVoidedUnderAHold(t *testing.T) {
	for _, c := range []struct {
		name string
		void bool
		want string
	}{{"certificate stands", false, models.StateReleased}, {"certificate voided", true, models.StateConforming}} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				stamp, ctx := models.NewStamp(h.Owner, moment), t.Context()
				out := h.MustRecord(h.Extremes())
				certificate := certify(h, t, stamp, out.Inspection)
				hold := must(h.Store.AddHold(ctx, stamp, models.Hold{ID: models.NewID(), ItemID: &out.Item.ID, Code: "W01", Reason: "r", RaisedBy: h.Operator.PersonID, RaisedAt: moment}))
				if c.void {
					h.Must(h.Store.VoidCertificate(ctx, stamp, models.CertificateChange{CertificateID: certificate.ID, State: models.Void, Reason: "v", ChangedBy: h.Owner.PersonID, ChangedAt: moment}))
				}
				h.Must(h.Store.LiftHold(ctx, stamp, models.HoldLift{HoldID: hold.ID, Code: "corrected", Reason: "r", LiftedBy: h.Owner.PersonID, LiftedAt: moment}))
				if got := state(h, t, out.Item.ID); got != c.want {
					t.Errorf("after lifting the item is %s, want %s", got, c.want)
				}
			})
		})
	}
}

// Eight people release eight wheels at once, and one of them twice: the numbers
// of the year follow each other without a gap, the second paper of one wheel is
// the next revision under the same number, and one certificate is in force.
func TestCertificatesAreCountedWithoutGaps(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp := models.NewStamp(h.Owner, moment)
		inspections := []models.Inspection{h.MustRecord(h.Extremes()).Inspection}
		for range 7 {
			sub := h.Extremes()
			sub.Serial = *h.AnotherWheel().Serial
			inspections = append(inspections, h.MustRecord(sub).Inspection)
		}
		var (
			wait    sync.WaitGroup
			mu      sync.Mutex
			numbers []string
		)
		for _, i := range append(inspections, inspections[0]) {
			wait.Go(func() {
				c := certify(h, t, stamp, i)
				mu.Lock()
				defer mu.Unlock()
				if c.Revision == 1 {
					numbers = append(numbers, c.Number)
				}
			})
		}
		wait.Wait()
		slices.Sort(numbers)
		var want []string
		for n := range 8 {
			want = append(want, fmt.Sprintf("C31-%05d", n+1))
		}
		if !slices.Equal(numbers, want) {
			t.Errorf("numbers %v, want %v", numbers, want)
		}
		views := must(h.Store.CertificatesOf(t.Context(), inspections[0].ItemID))
		if len(views) != 2 || views[0].Number != views[1].Number || views[0].Revision+views[1].Revision != 3 {
			t.Fatalf("the wheel released twice has %+v", views)
		}
		for _, v := range views {
			want := map[int]string{1: models.Superseded, 2: models.Issued}[v.Revision]
			if v.State != want {
				t.Errorf("revision %d is %s, want %s", v.Revision, v.State, want)
			}
		}
	})
}

// A certificate that was signed by a key that is retired before it is stored is
// not stored, and takes no number.
func TestCertificateOfARetiredKey(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp, ctx := models.NewStamp(h.Owner, moment), t.Context()
		out := h.MustRecord(h.Extremes())
		beginLog(t, h.Store)
		key, signature := must(h.Store.ServerKeys(ctx))[0].ID, strings.Repeat("ab", 64)
		issue := func() (models.Certificate, error) {
			return h.Store.AddCertificate(ctx, stamp, 31, out.Item.ID, func(number string, revision int, _ *models.Certificate) (models.Certificate, error) {
				return models.Certificate{ID: models.NewID(), Number: number, Revision: revision, ItemID: out.Item.ID, InspectionID: out.Inspection.ID, Content: "{}", ContentHash: "h",
					KeyID: &key, Signature: &signature, IssuedBy: h.Owner.PersonID, IssuedAt: moment}, nil
			})
		}
		h.Must(h.Store.RetireKey(ctx, stamp, key))
		if _, err := issue(); !errors.Is(err, models.ErrStale) {
			t.Errorf("by a retired key: %v, want it stale", err)
		}
		if got := state(h, t, out.Item.ID); got != models.StateConforming {
			t.Errorf("the item is %s, want it conforming still", got)
		}
		key = must1(sealingKey(9)).ID
		if c := must(issue()); c.Number != "C31-00001" {
			t.Errorf("the first certificate that is stored is %s", c.Number)
		}
	})
}

// What left, came back or was scrapped between the search of a recall and its answer is
// kept as it was when it was stopped.
func TestARecallSaysWhereEachWasWhenItWasStopped(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp, ctx := models.NewStamp(h.Owner, moment), t.Context()
		stays, left, back := h.AnotherWheel(), h.AnotherWheel(), h.AnotherWheel()
		ship := func(item models.Item) models.Shipment {
			return must(h.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{item.ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
		}
		sent := ship(back)
		found := []models.RecallItem{{Item: stays.ID, Where: models.RecallHere}, {Item: left.ID, Where: models.RecallHere, Possibly: true}, {Item: back.ID, Where: models.RecallShipped}}
		ship(left)
		h.Must(h.Store.VoidShipment(ctx, stamp, models.ShipmentVoid{ShipmentID: sent.ID, Reason: "not fetched"}))
		r := must(h.Store.AddRecall(ctx, stamp, 31, models.Recall{Reason: "cracks"}, models.RecallRun{Items: found}))
		wantWhere := func(n int, want map[string]string) {
			t.Helper()
			runs := must(h.Store.RecallNumbered(ctx, r.Number)).Runs
			for _, x := range runs[n].Items {
				if x.Where != want[x.Item] || x.Possibly != (x.Item == left.ID) {
					t.Errorf("answer %d: %+v, want it %s", n+1, x, want[x.Item])
				}
			}
		}
		first := map[string]string{stays.ID: models.RecallHere, left.ID: models.RecallShipped, back.ID: models.RecallHere}
		wantWhere(0, first)
		if stays, left := state(h, t, stays.ID), state(h, t, left.ID); stays != models.StateHeld || left != models.StateRecalled {
			t.Errorf("what is here is %s, what left %s", stays, left)
		}
		ship(stays)
		h.Must(h.Store.AddRecallRun(ctx, stamp, r, models.RecallRun{RecallID: r.ID, N: 2, Items: found}))
		wantWhere(0, first)
		wantWhere(1, map[string]string{stays.ID: models.RecallShipped, left.ID: models.RecallShipped, back.ID: models.RecallHere})
	})
}

// The certificate of what is scrapped, or goes back to its supplier, is in force no
// longer, with the nonconformity as its reason; until that is confirmed it stays.
func TestTheCertificateOfWhatIsGoneEnds(t *testing.T) {
	for name, steps := range map[string][]string{"scrapped": {"dispose_scrap", "confirm_scrap"}, "sent back": {"dispose_return_supplier", "confirm_return"}} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				stamp, ctx := models.NewStamp(h.Owner, moment), t.Context()
				i := h.MustRecord(h.Extremes()).Inspection
				c := certify(h, t, stamp, i)
				n := must(h.Store.AddNonconformity(ctx, stamp, 31, models.Nonconformity{ItemID: i.ItemID, Code: "W14", Severity: models.Major, Note: "bent"}, models.Hold{Code: "W14", Reason: "bent"}))
				for at, want := range []string{models.Issued, models.Issued, models.Void} {
					got := must(h.Store.CertificatesOf(ctx, i.ItemID))[0]
					if got.ID != c.ID || got.State != want {
						t.Errorf("after %d steps it is %s, want %s", at, got.State, want)
					}
					if want == models.Void {
						if got.Change == nil || got.Change.Reason != n.Number || got.Change.ChangedBy != h.Owner.String() || !got.Change.ChangedAt.Equal(models.Moment(moment)) {
							t.Errorf("it ended by %+v", got.Change)
						}
						break
					}
					h.Must(h.Store.AddNonconformityStep(ctx, stamp, n.ID, models.NonconformityStep{What: steps[at], Supplier: "Corran", Note: "bent"}))
				}
			})
		})
	}
}
