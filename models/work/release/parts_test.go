package release_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// block is a loose block of a maker's number.
func block(h *worktest.Shop, number string) models.Item {
	h.Helper()
	item := models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"}
	h.Must(h.Store.AddItems(h.Context(), models.NewStamp(h.Owner, h.Now.Add(-72*time.Hour)), []models.Item{item}))
	return item
}

// A pack goes out with blocks that are free, each at one place that it has, and
// read after its last charge.
func TestAPackIsHeldBackByItsPartsAndCharges(t *testing.T) {
	part := func(role, place, number string) models.SentPart {
		return models.SentPart{Role: role, Place: place, Number: number, Quantity: 1}
	}
	charge := func(h *worktest.Shop, began time.Duration, ended time.Duration) {
		c, err := h.Store.AddCharge(h.Context(), models.NewStamp(h.Owner, h.Now), models.Charge{ItemID: h.Item[models.KindPack].ID, Kind: models.ChargeFirst, StartedAt: h.Now.Add(began)})
		h.Must(err)
		if ended != 0 {
			h.Must(h.Store.EndCharge(h.Context(), models.NewStamp(h.Owner, h.Now), models.ChargeEnd{ChargeID: c.ID, EndedAt: h.Now.Add(ended)}))
		}
	}
	for _, c := range []struct {
		name  string
		parts []models.SentPart
		after func(h *worktest.Shop, first models.Item)
		want  []string
	}{
		{"as it should be", []models.SentPart{part("block", "1.1", "A"), part("block", "1.2", "B")}, nil, nil},
		{"known by their lot alone", nil, nil, nil},
		{"set aside since", []models.SentPart{part("block", "1.1", "A")}, func(h *worktest.Shop, first models.Item) {
			h.Must(h.Store.AddDispositions(h.Context(), models.NewStamp(h.Owner, h.Now), []models.Disposition{{ItemID: first.ID, Decision: models.Quarantine, Code: "damaged"}}))
		}, []string{"part_set_aside"}},
		{"recorded in another pack", []models.SentPart{part("block", "1.1", "A")}, func(h *worktest.Shop, first models.Item) {
			p := h.Item[models.KindPack]
			_, err := h.Store.AddItemWithSerial(h.Context(), models.NewStamp(h.Owner, h.Now), models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31,
				[]models.FittedPart{{Role: "block", Place: "1.1", PartID: &first.ID, Quantity: 1}})
			h.Must(err)
		}, []string{"part_elsewhere"}},
		{"two at one place", []models.SentPart{part("block", "1.1", "A"), part("block", "1.1", "B")}, nil, []string{"place_twice"}},
		{"a place that it has not", []models.SentPart{part("block", "9.9", "A")}, nil, []string{"part_place_unknown"}},
		{"charged before its readings", nil, func(h *worktest.Shop, _ models.Item) { charge(h, -40*time.Hour, -30*time.Hour) }, nil},
		{"charged since", nil, func(h *worktest.Shop, _ models.Item) { charge(h, -30*time.Second, -time.Second) }, []string{"charged_since"}},
		{"on a charger", nil, func(h *worktest.Shop, _ models.Item) { charge(h, -40*time.Hour, 0) }, []string{"on_charge"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				first := block(h, "A")
				block(h, "B")
				sub := h.Pack()
				sub.Parts = c.parts
				h.MustRecord(sub)
				if c.after != nil {
					c.after(h, first)
				}
				drawn := 0
				reasons, err := service(h, &drawn).Gate(t.Context(), h.Item[models.KindPack].ID)
				h.Must(err)
				var got []string
				for _, r := range reasons {
					if r.Code != "shop_name_missing" {
						got = append(got, r.Code)
					}
				}
				if !slices.Equal(got, c.want) {
					t.Errorf("held back by %v, want %v", got, c.want)
				}
			})
		})
	}
}

// A lot that is set aside holds back what has pieces of it: fitted, out of a bin
// that it was mixed into, in a part of a part, and by the block that came in by it.
func TestALotThatIsSetAsideHoldsBackWhatHoldsIt(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, h.Now)
		lot := func(code, material string) *string {
			l := models.Lot{ID: models.NewID(), Code: code, Material: material, Quantity: 100}
			h.Must(h.Store.AddLot(ctx, stamp, l))
			return &l.ID
		}
		spokes, bin, free, blocks := lot("SP-1", "spokes"), lot("BIN-1", "spokes"), lot("SP-2", "spokes"), lot("BL-1", "blocks")
		h.Must(h.Store.AddLotMixes(ctx, stamp, nil, []models.LotMix{{ID: models.NewID(), MixID: *bin, LotID: *spokes, Quantity: 9}}))
		of := func(parts ...models.FittedPart) models.Item {
			wheel := h.Item[models.KindWheel]
			item, err := h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: wheel.FamilyID, ProductID: wheel.ProductID, Origin: "made"}, "W", 31, parts)
			h.Must(err)
			return item
		}
		number := "H-1"
		taken, err := h.Store.AddBlocks(ctx, stamp, 31, []models.NewBlock{{Item: models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"},
			Receipt: models.BlockReceipt{RowID: models.NewID(), N: 1, LotID: blocks, SentHash: "h"}}})
		h.Must(err)
		direct := of(models.FittedPart{Role: "spokes_a", LotID: spokes, Quantity: 18})
		items := map[string]models.Item{"SP-1": direct, "SP-1 by a bin": of(models.FittedPart{Role: "spokes_a", LotID: bin, Quantity: 18}), "SP-1 in a part": of(models.FittedPart{Role: "motor", PartID: &direct.ID, Quantity: 1}),
			"": of(models.FittedPart{Role: "spokes_a", LotID: free, Quantity: 18}), "BL-1": of(models.FittedPart{Role: "block", PartID: &taken[0].ID, Quantity: 1})}
		held := func(want bool) {
			t.Helper()
			drawn := 0
			for name, item := range items {
				reasons, err := service(h, &drawn).Gate(ctx, item.ID)
				h.Must(err)
				code, _, _ := strings.Cut(name, " ")
				got := slices.ContainsFunc(reasons, func(r models.Remark) bool { return r.Code == "lot_in_quarantine" && r.Values["lot"] == code })
				if got != (want && code != "") {
					t.Errorf("%q is held back: %v, want %v", name, got, want)
				}
			}
		}
		held(false)
		for at, decision := range []string{models.LotQuarantine, models.LotReturn, models.LotConcession} {
			for _, id := range []*string{spokes, blocks} {
				h.Must(h.Store.AddLotDecision(ctx, models.NewStamp(h.Owner, h.Now.Add(time.Duration(at)*time.Minute)), models.LotDecision{ID: models.NewID(), LotID: *id, Decision: decision, Reason: "r"}))
			}
			held(decision != models.LotConcession)
		}
		// A hold reaches as far.
		h.Must(func() error {
			_, err := h.Store.AddHold(ctx, stamp, models.Hold{LotID: spokes, Code: "other", Reason: "r"})
			return err
		}())
		byBin := items["SP-1 by a bin"]
		open, err := h.Store.OpenHolds(ctx, byBin.ID)
		h.Must(err)
		all, err := h.Store.ItemsHeld(ctx)
		h.Must(err)
		if len(open) != 1 || !slices.Contains(all, byBin.ID) || slices.Contains(all, items[""].ID) {
			t.Errorf("the hold on the lot reaches what has pieces of its bin: %d, %v", len(open), all)
		}
	})
}
