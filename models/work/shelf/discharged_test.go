package shelf_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// A pack that was discharged since it was read is to be charged today, and has no
// date until which it is ready; a charge that began after, and a reading after
// that, give it its dates again. A short load is no charge.
func TestADischargedPackOnTheShelf(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, pack := stand(t, h), h.Item[models.KindPack]
		look(t, s) // Known before: what comes after is found by what was touched.
		h.Now = h.Now.AddDate(0, 0, 3)
		began := h.Now.Add(-21 * time.Hour)
		h.Discharge(pack, began, "20.5")
		discharged := func(when string) {
			t.Helper()
			l := look(t, s)
			if len(l.Today) != 1 || l.Today[0].State != shelf.Discharged || !l.Today[0].ReadyUntil.IsZero() || l.Today[0].SoCPct != nil {
				t.Fatalf("%s: %+v", when, l)
			}
			if end := l.Today[0].Discharge.End.EndedAt; !end.Equal(began.Add(20*time.Hour + 30*time.Minute)) {
				t.Errorf("%s: discharged until %v", when, end)
			}
		}
		discharged("after the discharge")
		charge := func(kind string) {
			c, err := s.StartCharge(t.Context(), h.Operator, *pack.Serial, shelf.NewCharge{Kind: kind})
			h.Must(err)
			h.Now = h.Now.Add(8 * time.Hour)
			_, err = s.EndCharge(t.Context(), h.Operator, c.ID, "", time.Time{})
			h.Must(err)
		}
		read := func(rest string) {
			h.Now = h.Now.Add(26 * time.Hour)
			x := h.Pack()
			x.Stage, x.Conditions.RestHours = models.Recheck, rest
			h.MustRecord(x)
		}
		charge(models.ChargeLoad)
		discharged("after a short load")
		read("26")
		discharged("read without a charge")
		charge(models.ChargeRefresh)
		if l := look(t, s); len(l.Waiting) != 1 || l.Waiting[0].State != shelf.Resting {
			t.Fatalf("charged: %+v", l)
		}
		read("26")
		if l := look(t, s); len(l.Later) != 1 || l.Later[0].State != shelf.Standing || l.Later[0].ReadyUntil.IsZero() {
			t.Errorf("charged and read: %+v", l)
		}
	})
}

// A block that was in the pack was discharged with it, also when it lies loose
// again, and charged with it; one that was put in after, or by the record was never
// in it, was not.
func TestABlockIsDischargedWithItsPack(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, began := t.Context(), h.Now.Add(-30*time.Hour)
		p := h.Item[models.KindPack]
		add := func(number string) models.Item {
			item := models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, ProductID: p.ProductID, State: models.StateInProcess, Origin: "received"}
			h.Must(h.Store.AddItems(ctx, models.NewStamp(h.Owner, h.Now.Add(-72*time.Hour)), []models.Item{item}))
			return item
		}
		with, without, never := add("A-1"), add("A-2"), add("A-3")
		pack, err := h.Store.AddItemWithSerial(ctx, models.NewStamp(h.Owner, began.Add(-time.Hour)), models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31,
			[]models.FittedPart{{Role: models.KindBlock, Place: "1.1", PartID: &with.ID, Quantity: 1}, {Role: models.KindBlock, Place: "1.2", PartID: &never.ID, Quantity: 1}})
		h.Must(err)
		h.Discharge(pack, began, "20")
		takeOut := func(block models.Item, code, fate string) {
			t.Helper()
			parts, err := h.Store.Parts(ctx, pack.ID)
			h.Must(err)
			i := slices.IndexFunc(parts, func(p models.PartView) bool { return *p.PartID == block.ID })
			h.Must(h.Store.ChangeParts(ctx, models.NewStamp(h.Operator, h.Now), pack.ID, []models.PartRemoval{{FittedID: parts[i].ID, Quantity: 1, Code: code, Fate: fate}}, nil))
		}
		takeOut(never, models.RecordedWrongly, models.FateNeverIn)
		facts, err := h.Store.ShelfFacts(ctx, []string{with.ID, without.ID, never.ID, pack.ID})
		h.Must(err)
		for _, f := range facts {
			want := f.Item.ID == with.ID || f.Item.ID == pack.ID
			if models.Emptied(f.Discharge, f.Recharged) != want {
				t.Errorf("%s discharged: %v, want %v", f.Item.Name(), f.Discharge, want)
			}
			reaching, err := h.Store.ChargesReaching(ctx, f.Item.ID)
			h.Must(err)
			if last := models.DischargedSince(reaching, f.Item.ID, h.Now); (last != nil) != want {
				t.Errorf("%s reached by %v, want %v", f.Item.Name(), reaching, want)
			}
		}
		block, err := h.Store.StockBlock(ctx, with.ID)
		h.Must(err)
		if !block.Emptied || !block.EmptiedAt.Equal(began.Add(20*time.Hour)) {
			t.Errorf("in the stock: %v at %v", block.Emptied, block.EmptiedAt)
		}

		// Charged in the pack from eight hours ago until one hour ago, and taken out now.
		by, ended := models.NewStamp(h.Operator, h.Now), h.Now.Add(-time.Hour)
		charge, err := h.Store.AddCharge(ctx, by, models.Charge{ItemID: pack.ID, Kind: models.ChargeRefresh, StartedAt: h.Now.Add(-8 * time.Hour)})
		h.Must(err)
		h.Must(h.Store.EndCharge(ctx, by, models.ChargeEnd{ChargeID: charge.ID, EndedAt: ended}))
		takeOut(with, "repair", models.FateStock)
		facts, err = h.Store.ShelfFacts(ctx, []string{with.ID, without.ID, never.ID})
		h.Must(err)
		for _, f := range facts {
			if own := f.Item.ID == with.ID; models.Emptied(f.Discharge, f.Recharged) || own != (f.Charge != nil && f.Charge.End.EndedAt.Equal(models.Moment(ended))) {
				t.Errorf("%s after its pack was charged: %v, %+v", f.Item.Name(), f.Discharge, f.Charge)
			}
		}
		if block, err = h.Store.StockBlock(ctx, with.ID); err != nil || block.Emptied || !block.Worked.Equal(models.Moment(ended)) {
			t.Errorf("in the stock, charged with its pack: %v until %v, %v", block.Emptied, block.Worked, err)
		}
	})
}
