package store_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// What is in the house, with its newest reading and charge; what is shipped is
// out of it, what lies in a kit says so.
func TestWhatIsInWork(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, h.Now)
		read := h.MustRecord(h.Extremes()).Inspection
		pack := h.Item[models.KindPack]
		charge := must(h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeFirst, StartedAt: h.Now.Add(-time.Hour)}))
		h.Must(h.Store.EndCharge(ctx, stamp, models.ChargeEnd{ChargeID: charge.ID, EndedAt: h.Now.Add(-time.Minute)}))
		gone := h.AnotherWheel()
		must(h.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{gone.ID}, Against: []models.Remark{models.NewRemark("not_released")}}))
		boxed := h.AnotherWheel()
		kit := must(h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindKit, FamilyID: pack.FamilyID, ProductID: pack.ProductID, Origin: "made"}, "K", 31, nil))
		h.Must(h.Store.PackKit(ctx, stamp, models.KitPacking{KitID: kit.ID, ItemID: &boxed.ID, Quantity: 1, Added: true}))
		list := must(h.Store.InWork(ctx, 10))
		got := map[string]models.InWork{}
		for _, w := range list {
			got[w.ItemID] = w
		}
		wheel := got[h.Item[models.KindWheel].ID]
		if len(list) != 3 || wheel.Read == nil || !wheel.Read.Equal(read.MeasuredAt) || wheel.State != models.StateConforming || wheel.InKit || wheel.OnCharge != nil || wheel.Charged != nil {
			t.Errorf("%d in work; the wheel %+v", len(list), wheel)
		}
		if p := got[pack.ID]; p.Charged == nil || !p.Charged.Equal(models.Moment(h.Now.Add(-time.Minute))) || p.Read != nil || p.OnCharge != nil {
			t.Errorf("the pack %+v", p)
		}
		if !got[boxed.ID].InKit {
			t.Error("the wheel in a kit is not said to be")
		}
		// From two hours ago until half an hour ago: the charge began before that.
		emptied := func() *time.Time {
			for _, w := range must(h.Store.InWork(ctx, 10)) {
				if w.ItemID == pack.ID {
					return w.Emptied
				}
			}
			return nil
		}
		h.Discharge(pack, h.Now.Add(-2*time.Hour), "1.5")
		if at := emptied(); at == nil || !at.Equal(models.Moment(h.Now.Add(-30*time.Minute))) {
			t.Errorf("discharged until %v", at)
		}
		load := must(h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeLoad, StartedAt: h.Now.Add(-10 * time.Minute)}))
		h.Must(h.Store.EndCharge(ctx, stamp, models.ChargeEnd{ChargeID: load.ID, EndedAt: h.Now}))
		if emptied() == nil {
			t.Error("a short load counts as a charge")
		}
		must(h.Store.AddCharge(ctx, stamp, models.Charge{ItemID: pack.ID, Kind: models.ChargeFirst, StartedAt: h.Now}))
		if emptied() != nil {
			t.Error("charged since, and still discharged")
		}
		for _, w := range must(h.Store.InWork(ctx, 10)) {
			if w.ItemID == pack.ID && (w.OnCharge == nil || !w.OnCharge.Equal(models.Moment(h.Now))) {
				t.Error("the pack on the charger is not said to be")
			}
		}
	})
}

// What is held waits since its hold, not since its last reading; and what a hold of
// a lot reaches is not ready to go, whatever state it is in. The oldest hold counts.
func TestWhatIsHeldInWork(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, h.Now)
		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes"}
		h.Must(h.Store.AddLot(ctx, stamp, lot))
		sub := h.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-1", Quantity: 18}}
		h.MustRecord(sub)
		wheel, pack, free := h.Item[models.KindWheel], h.Item[models.KindPack], h.AnotherWheel()
		hold := func(held models.Hold, hours int) models.Hold {
			held.Code, held.RaisedAt = "other", h.Now.Add(time.Duration(hours)*time.Hour)
			return must(h.Store.AddHold(ctx, stamp, held))
		}
		hold(models.Hold{LotID: &lot.ID}, 5)
		hold(models.Hold{LotID: &lot.ID}, 2)
		lifted := hold(models.Hold{LotID: &lot.ID}, 1)
		h.Must(h.Store.LiftHold(ctx, stamp, models.HoldLift{HoldID: lifted.ID, Code: "corrected", Reason: "counted anew"}))
		hold(models.Hold{ItemID: &pack.ID}, 3)
		for _, w := range must(h.Store.InWork(ctx, 10)) {
			step, since := w.Step()
			want, at := models.StepHeld, map[string]int{wheel.ID: 2, pack.ID: 3}[w.ItemID]
			if w.ItemID == free.ID {
				want = models.StepLaced
			} else if !since.Equal(models.Moment(h.Now.Add(time.Duration(at) * time.Hour))) {
				t.Errorf("%s is held since %v, want %d hours from now", w.Serial, since, at)
			}
			if step != want {
				t.Errorf("%s is %s, want %s", w.Serial, step, want)
			}
		}
	})
}
