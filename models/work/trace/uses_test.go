package trace_test

import (
	"errors"
	"maps"
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/trace"
	"tracewright/models/work/worktest"
)

// A spoke lot in two wheels, and a motor of its own in one of them: where the lot
// went, and what went into the wheel.
func TestWhereALotWent(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), trace.New(h.Store)
		goods := receive.New(h.Store, h.Clock, worktest.Zone)
		for _, lot := range []models.Lot{{Code: "SP-0214", Material: "spokes"}, {Code: "SP-0215", Material: "spokes"}} {
			_, err := goods.AddLot(ctx, h.Operator, lot)
			h.Must(err)
		}
		motor, err := goods.AddPart(ctx, h.Operator, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-1"})
		h.Must(err)
		other := h.AnotherWheel()
		first := h.Extremes()
		first.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}, {Role: "spokes_b", Lot: "SP-0214", Quantity: 14}, {Role: "spokes_b", Lot: "SP-0215", Quantity: 4}, {Role: "motor", Number: "N9-1"}}
		h.MustRecord(first)
		h.Now = h.Now.Add(time.Hour)
		second := h.Extremes()
		second.Serial, second.Parts = *other.Serial, []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}}
		h.MustRecord(second)
		item := h.Item[models.KindWheel]

		uses, err := s.UsesOfLot(ctx, "SP-0214")
		h.Must(err)
		if len(uses.Rows) != 2 || uses.Pieces != 50 || uses.Rows[0].Item.ID != other.ID || uses.Rows[0].Pieces != 18 || uses.Rows[1].Item.ID != item.ID || uses.Rows[1].Pieces != 32 || uses.Rows[1].Product == "" {
			t.Errorf("lot in %d items, %d pieces: %+v; want 18 in the later wheel and 32 in the first", len(uses.Rows), uses.Pieces, uses.Rows)
		}
		if uses, err := s.UsesOfPart(ctx, motor.ID); err != nil || len(uses.Rows) != 1 || uses.Rows[0].Item.ID != item.ID || len(uses.Rows[0].Within) != 0 || len(uses.Loops) != 0 {
			t.Errorf("the motor went into %+v, %v", uses.Rows, err)
		}
		if _, err := s.UsesOfLot(ctx, "SP-9999"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a lot that is not there: %v", err)
		}
		sources, err := s.Sources(ctx, *item.Serial)
		h.Must(err)
		got := map[string]int{}
		for _, p := range sources.Parts {
			got[p.Part.Role+" "+p.Part.LotCode+p.Part.Number] += p.Part.Quantity
			if (p.Item != nil) != (p.Part.PartID != nil) {
				t.Errorf("%s: the item of a numbered part, and of nothing else: %v", p.Part.Role, p.Item)
			}
		}
		for want, n := range map[string]int{"spokes_a SP-0214": 18, "spokes_b SP-0214": 14, "spokes_b SP-0215": 4, "motor N9-1": 1} {
			if got[want] != n {
				t.Errorf("%d of %s, want %d", got[want], want, n)
			}
		}
		if sources.Lots != 2 || sources.Items != 1 {
			t.Errorf("%d lots and %d numbered parts, want 2 and 1", sources.Lots, sources.Items)
		}
	})
}

// A lot that was mixed into a bin is possibly in what holds pieces of the bin, and
// surely in what holds its own; a lot of blocks is where its blocks are.
func TestWhereAMixedLotAndALotOfBlocksWent(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), trace.New(h.Store)
		goods, stamp := receive.New(h.Store, h.Clock, worktest.Zone), models.NewStamp(h.Owner, h.Now)
		var blocks models.Lot
		for _, lot := range []models.Lot{{Code: "SP-1", Material: "spokes", Quantity: 500}, {Code: "SP-2", Material: "spokes", Quantity: 500}, {Code: "BL-1", Material: "blocks", Quantity: 5}} {
			added, err := goods.AddLot(ctx, h.Operator, lot)
			h.Must(err)
			blocks = added
		}
		pour := func(bin string, lots ...string) {
			in := receive.Mixed{Bin: bin}
			for _, l := range lots {
				in.Lots = append(in.Lots, receive.Poured{Lot: l, Quantity: 9})
			}
			h.Must(goods.Mix(ctx, h.Operator, in))
		}
		pour("BIN-1", "SP-1", "SP-2")
		pour("BIN-2", "BIN-1")
		wheel := func(lots ...string) models.Item {
			sub, item := h.Extremes(), h.AnotherWheel()
			sub.Serial = *item.Serial
			for _, l := range lots {
				sub.Parts = append(sub.Parts, models.SentPart{Role: "spokes_a", Lot: l, Quantity: 18})
			}
			h.MustRecord(sub)
			return item
		}
		mixed, further, own, both := wheel("BIN-1"), wheel("BIN-2"), wheel("SP-1"), wheel("SP-1", "BIN-1")
		holder := func(part models.Item) models.Item {
			w := h.Item[models.KindWheel]
			item, err := h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindWheel, FamilyID: w.FamilyID, ProductID: w.ProductID, Origin: "made"}, "W", 31, []models.FittedPart{{Role: "motor", PartID: &part.ID, Quantity: 1}})
			h.Must(err)
			return item
		}
		onMixed, onOwn := holder(mixed), holder(own)
		rows := func(code string) (map[string]trace.Use, trace.Uses) {
			t.Helper()
			uses, err := s.UsesOfLot(ctx, code)
			h.Must(err)
			by := map[string]trace.Use{}
			for _, u := range uses.Rows {
				by[u.Item.ID] = u
			}
			return by, uses
		}
		got, uses := rows("SP-1")
		for _, c := range []struct {
			name     string
			item     models.Item
			pieces   int
			possibly bool
		}{{"of the bin", mixed, 0, true}, {"of the bin that it went on into", further, 0, true}, {"its own", own, 18, false}, {"both", both, 18, false}, {"on one of the bin", onMixed, 0, true}, {"on one of its own", onOwn, 0, false}} {
			if u, there := got[c.item.ID]; !there || u.Pieces != c.pieces || u.Possibly != c.possibly {
				t.Errorf("%s: there %v, %d pieces, possibly %v; want %d, %v", c.name, there, u.Pieces, u.Possibly, c.pieces, c.possibly)
			}
		}
		if len(got) != 6 || uses.Pieces != 36 || len(uses.Loops) != 0 {
			t.Errorf("%d items, %d pieces, loops %v; want 6, 36 and none", len(got), uses.Pieces, uses.Loops)
		}
		if got, uses := rows("BIN-1"); len(got) != 4 || uses.Pieces != 36 || got[mixed.ID].Possibly || !got[further.ID].Possibly {
			t.Errorf("the bin itself: %+v", uses.Rows)
		}

		number := "H-1"
		taken, err := h.Store.AddBlocks(ctx, stamp, 31, []models.NewBlock{{Item: models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &number, State: models.StateInProcess, Origin: "received"},
			Receipt: models.BlockReceipt{RowID: models.NewID(), N: 1, LotID: &blocks.ID, SentHash: "h"}}})
		h.Must(err)
		pack := h.Pack()
		pack.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: number}, {Role: "block", Place: "1.2", Lot: "BL-1"}}
		h.MustRecord(pack)
		in := h.Item[models.KindPack].ID
		if got, uses := rows("BL-1"); len(got) != 1 || uses.Pieces != 1 || got[in].Possibly {
			t.Errorf("a lot of blocks that the pack names too: %+v", uses.Rows)
		}
		second := "H-2"
		more, err := h.Store.AddBlocks(ctx, stamp, 31, []models.NewBlock{{Item: models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12", MakerNumber: &second, State: models.StateInProcess, Origin: "received"},
			Receipt: models.BlockReceipt{RowID: models.NewID(), N: 1, LotID: &blocks.ID, SentHash: "h"}}})
		h.Must(err)
		other := holder(more[0])
		got, uses = rows("BL-1")
		if u := got[other.ID]; len(got) != 2 || u.Pieces != 1 || u.Possibly || uses.Pieces != 2 || taken[0].ID == other.ID {
			t.Errorf("known by its block alone: %+v", uses.Rows)
		}
		story, err := goods.Story(ctx, "BL-1")
		h.Must(err)
		if story.Balance.Expected != 3 {
			t.Errorf("%d blocks expected, want the 5 that came less 2", story.Balance.Expected)
		}
	})
}

// Pieces out of a bin may be of each lot that was put into it, also with another
// bin; pieces of a lot are of that lot.
func TestWhatIsInAnItemByABin(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		goods, s, ctx := receive.New(h.Store, h.Clock, worktest.Zone), trace.New(h.Store), t.Context()
		for _, code := range []string{"SP-1", "SP-2", "SP-3"} {
			_, err := goods.AddLot(ctx, h.Operator, models.Lot{Code: code, Material: "spokes", Quantity: 90})
			h.Must(err)
		}
		h.Must(goods.Mix(ctx, h.Operator, receive.Mixed{Bin: "M-1", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 20}}}))
		h.Must(goods.Mix(ctx, h.Operator, receive.Mixed{Bin: "M-2", Lots: []receive.Poured{{Lot: "M-1", Quantity: 10}, {Lot: "SP-2", Quantity: 20}}}))
		sub := h.Extremes()
		sub.Parts = []models.SentPart{{Role: "spokes_a", Lot: "M-2", Quantity: 18}, {Role: "spokes_b", Lot: "SP-3", Quantity: 18}}
		h.MustRecord(sub)
		sources, err := s.Sources(ctx, sub.Serial)
		h.Must(err)
		got := map[string][]string{}
		for _, p := range sources.Parts {
			for _, l := range p.Possibly {
				got[p.Part.LotCode] = append(got[p.Part.LotCode], l.Code)
			}
		}
		if want := map[string][]string{"M-2": {"M-1", "SP-1", "SP-2"}}; !maps.EqualFunc(got, want, slices.Equal) {
			t.Errorf("possibly of %v, want %v", got, want)
		}
	})
}
