package store_test

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// A hold on a lot reaches every item that the lot is built into, once though
// the lot is built in twice, until it is lifted; holds on other lots and other
// items do not.
func TestAHoldOnALotReachesWhatItIsBuiltInto(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp, w := t.Context(), models.NewStamp(h.Owner, moment), h.Item[models.KindWheel]
		lots := []models.Lot{{ID: models.NewID(), Code: "SP-1", Material: "spokes"}, {ID: models.NewID(), Code: "SP-2", Material: "spokes"}}
		for _, l := range lots {
			h.Must(h.Store.AddLot(ctx, stamp, l))
		}
		built := must(h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 31,
			[]models.FittedPart{{Role: "spokes_a", LotID: &lots[0].ID, Quantity: 18}, {Role: "spokes_b", LotID: &lots[0].ID, Quantity: 18}}))
		raise := func(hold models.Hold) models.Hold {
			hold.Code, hold.Reason, hold.RaisedBy = "other", "r", h.Operator.PersonID
			return must(h.Store.AddHold(ctx, stamp, hold))
		}
		onLot, onItem := raise(models.Hold{LotID: &lots[0].ID}), raise(models.Hold{ItemID: &built.ID})
		raise(models.Hold{LotID: &lots[1].ID})
		raise(models.Hold{ItemID: &w.ID})

		open := func() (ids []string) {
			for _, hold := range must(h.Store.OpenHolds(ctx, built.ID)) {
				ids = append(ids, hold.ID)
			}
			return ids
		}
		same(t, "open holds", open(), []string{onLot.ID, onItem.ID})
		lift := models.HoldLift{HoldID: onLot.ID, Code: "corrected", Reason: "r", LiftedBy: h.Owner.PersonID, LiftedAt: moment}
		h.Must(h.Store.LiftHold(ctx, stamp, lift))
		same(t, "open holds after lifting", open(), []string{onItem.ID})
		same(t, "every hold", must(h.Store.HoldsOf(ctx, built.ID)), []models.HoldView{{Hold: onItem}, {Hold: onLot, Lift: &lift, Lot: lots[0].Code}})
	})
}

// A hold on a part, or on the lot that a block came in, reaches what the part is
// built into, and what that is built into in its turn.
func TestAHoldReachesThroughAllLevels(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp, p := t.Context(), models.NewStamp(h.Owner, h.Now), h.Item[models.KindPack]
		lot := models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks"}
		h.Must(h.Store.AddLot(ctx, stamp, lot))
		number := "77120"
		blocks, err := h.Store.AddBlocks(ctx, stamp, 31, []models.NewBlock{{
			Item:    models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"},
			Receipt: models.BlockReceipt{RowID: models.NewID(), N: 1, LotID: &lot.ID, SentHash: "h"}}})
		h.Must(err)
		add := func(part string) models.Item {
			return must(h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31,
				[]models.FittedPart{{Role: "block", Place: "1.1", PartID: &part, Quantity: 1}}))
		}
		inner := add(blocks[0].ID)
		outer := add(inner.ID)
		var raised []string
		for _, hold := range []models.Hold{{LotID: &lot.ID}, {ItemID: &blocks[0].ID}, {ItemID: &p.ID}} {
			hold.Code, hold.Reason, hold.RaisedBy = "other", "r", h.Operator.PersonID
			raised = append(raised, must(h.Store.AddHold(ctx, stamp, hold)).ID)
		}
		for name, item := range map[string]string{"the block": blocks[0].ID, "the pack": inner.ID, "what holds the pack": outer.ID} {
			var open []string
			for _, hold := range must(h.Store.OpenHolds(ctx, item)) {
				open = append(open, hold.ID)
			}
			same(t, "open holds on "+name, open, raised[:2])
		}
		held := must(h.Store.ItemsHeld(ctx))
		slices.Sort(held)
		want := []string{blocks[0].ID, inner.ID, outer.ID, p.ID}
		slices.Sort(want)
		same(t, "what is on hold", held, want)
	})
}
