package store_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackStock is the part of TestEveryRecordReadsBack that blocks and the packs
// chosen from them leave behind.
func readBackStock(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	by := h.Owner.PersonID
	form := models.ProductForm{Block: &models.BlockForm{Supplier: "Halden", Model: "12-12 Ω", Chemistry: "agm", Cells: 6, VoltageTable: []models.ChargePoint{{Volts: "11.80", Percent: "0"}, {Volts: "12.90", Percent: "100"}},
		DateCode: models.DateYearWeek, Limits: map[string]string{"rest_min_h": "24", "maker_ocv_min_v": ""}}}
	family := models.Family{ID: models.NewID(), Kind: models.KindBlock, Name: "blocks read back"}
	h.Must(s.AddFamily(ctx, stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}))
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "block read back", Revision: 1}
	h.Must(s.AddProduct(ctx, stamp, product, models.ProductRevision{Form: form}))
	same(t, "form of a block model", must(s.ProductRevision(ctx, product.ID, 1)).Form, form)
	lot := models.Lot{ID: models.NewID(), Code: "BL-77", Material: "blocks", ReceivedAt: moment, ReceivedBy: by}
	h.Must(s.AddLot(ctx, stamp, lot))

	block := func(number string, row string, n int) models.NewBlock {
		b := models.NewBlock{Item: models.Item{ID: models.NewID(), Kind: models.KindBlock, Supplier: "Halden", Model: "12-12 Ω", FamilyID: &family.ID, ProductID: &product.ID, State: models.StateInProcess, Origin: "received",
			CreatedAt: moment, CreatedBy: by}, Receipt: models.BlockReceipt{RowID: row, N: n, LotID: &lot.ID, DateCode: "3112", MadeOn: "2031-03-17", SentHash: "h", ReceivedAt: moment, ReceivedBy: by}}
		if number != "" {
			b.Item.MakerNumber = &number
		}
		return b
	}
	first, second := models.NewID(), models.NewID()
	items := must(s.AddBlocks(ctx, stamp, 31, []models.NewBlock{block("H1", first, 1), block("", second, 1), block("", second, 2)}))
	if items[0].Serial != nil || items[1].Serial == nil || (*items[1].Serial)[0] != 'B' || *items[1].Serial == *items[2].Serial {
		t.Errorf("names of blocks: %v", items)
	}
	for _, item := range items {
		same(t, "block", must(s.Item(ctx, item.ID)), item)
	}
	if _, err := s.AddBlocks(ctx, stamp, 31, []models.NewBlock{block("H2", models.NewID(), 1), block("H1", models.NewID(), 1)}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a number that is taken: %v", err)
	}
	same(t, "blocks of a refused list", len(must(s.BlocksNumbered(ctx, "Halden", "12-12 Ω", []string{"H1", "H2"}))), 1)
	receipts := must(s.BlockReceiptsOf(ctx, []string{first, second}))
	want := block("H1", first, 1).Receipt
	want.ItemID = items[0].ID
	if len(receipts) != 3 {
		t.Fatalf("%d receipts", len(receipts))
	}
	for _, r := range receipts {
		if r.RowID == first {
			same(t, "receipt", r, want)
		}
	}

	_, err := s.Disposition(ctx, items[0].ID)
	notFound(t, "a decision that nobody took", err)
	aside := models.Disposition{ID: models.NewID(), ItemID: items[0].ID, Decision: models.Quarantine, Code: "loses_charge", Reason: "6.4 mV/d", DecidedBy: by, DecidedAt: moment}
	free := models.Disposition{ID: models.NewID(), ItemID: items[0].ID, Decision: models.Release, Code: "other", Reason: "r", DecidedBy: by, DecidedAt: moment.Add(time.Hour)}
	h.Must(s.AddDispositions(ctx, stamp, []models.Disposition{free, aside}))
	same(t, "decisions", must(s.Dispositions(ctx, items[0].ID)), []models.Disposition{aside, free})
	same(t, "newest decision", must(s.Disposition(ctx, items[0].ID)), free)

	loose := must(s.StockOf(ctx, product.ID))
	same(t, "loose blocks", len(loose), 3)
	same(t, "blocks of the lot", len(must(s.StockOfLot(ctx, lot.ID))), 3)
	stocked := must(s.StockBlock(ctx, items[0].ID))
	stocked.Item.SerialTail = items[0].SerialTail
	same(t, "a block of the stock", stocked, models.StockBlock{Item: items[0], Receipt: &want, Lot: "BL-77", Disposition: &free})
	_, err = s.StockBlock(ctx, models.NewID())
	notFound(t, "a block that is not there", err)

	match := models.Match{ID: models.NewID(), ProductID: *h.Item[models.KindPack].ProductID, Blocks: product.ID, Content: `{"cost": 1.50, "x": "<&\u2028"}`, ContentHash: "cd", MadeBy: by, MadeAt: moment}
	h.Must(s.AddMatch(ctx, stamp, match))
	same(t, "match", must(s.Match(ctx, match.ID)), models.MatchView{Match: match, Placements: []models.MatchPlacement{}})
	same(t, "open matches", must(s.OpenMatches(ctx)), []models.Match{match})
	placed := models.MatchPlacement{ID: models.NewID(), MatchID: match.ID, Pack: 1, Place: 2, ItemID: items[1].ID, Override: "fell", PlacedBy: by, PlacedAt: moment}
	h.Must(s.PlaceBlock(ctx, stamp, placed))
	for what, p := range map[string]models.MatchPlacement{
		"a place twice": {MatchID: match.ID, Pack: 1, Place: 2, ItemID: items[2].ID}, "a block twice": {MatchID: match.ID, Pack: 1, Place: 3, ItemID: items[1].ID},
	} {
		if err := s.PlaceBlock(ctx, stamp, p); !errors.Is(err, models.ErrConflict) {
			t.Errorf("%s: %v", what, err)
		}
	}
	rival := models.Match{ID: models.NewID(), ProductID: match.ProductID, Blocks: product.ID, Content: "{}", ContentHash: "cd", MadeBy: by, MadeAt: moment}
	h.Must(s.AddMatch(ctx, stamp, rival))
	if err := s.PlaceBlock(ctx, stamp, models.MatchPlacement{MatchID: rival.ID, Pack: 1, Place: 1, ItemID: items[1].ID}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a block of another match: %v", err)
	}
	same(t, "match it lies in", must(s.StockBlock(ctx, items[1].ID)).Match, match.ID)
	h.Must(s.AddDispositions(ctx, stamp, []models.Disposition{{ItemID: items[2].ID, Decision: models.Quarantine, Code: "damaged"}}))
	if err := s.PlaceBlock(ctx, stamp, models.MatchPlacement{MatchID: match.ID, Pack: 1, Place: 1, ItemID: items[2].ID}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a block that is set aside: %v", err)
	}
	pack := models.NewPack{Item: models.Item{ID: models.NewID(), Kind: models.KindPack, FamilyID: h.Item[models.KindPack].FamilyID, ProductID: &match.ProductID, State: models.StateInProcess, Origin: "made", CreatedAt: moment, CreatedBy: by},
		Parts: []models.FittedPart{{ID: models.NewID(), Role: "block", Place: "1.1", PartID: &items[1].ID, Quantity: 1, FittedAt: moment, FittedBy: by}}}
	made := must(s.KeepMatch(ctx, stamp, match.ID, 31, []models.NewPack{pack}))
	same(t, "pack that was made", must(s.Item(ctx, made[0].ID)), made[0])
	same(t, "block in it", must(s.FittedInto(ctx, items[1].ID))[0].ItemID, made[0].ID)
	same(t, "kept match", must(s.Match(ctx, match.ID)), models.MatchView{Match: match, Placements: []models.MatchPlacement{placed}, End: &models.MatchEnd{MatchID: match.ID, Kept: true, Packs: []string{made[0].ID}, EndedBy: by, EndedAt: stamp.At}})
	if _, err := s.KeepMatch(ctx, stamp, match.ID, 31, nil); !errors.Is(err, models.ErrConflict) {
		t.Errorf("kept twice: %v", err)
	}
	if _, err := s.KeepMatch(ctx, stamp, rival.ID, 31, []models.NewPack{{Item: models.Item{Kind: models.KindPack}, Parts: pack.Parts}}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a block in two packs: %v", err)
	}
	h.Must(s.DropMatch(ctx, stamp, rival.ID, "r"))
	same(t, "dropped match", must(s.Match(ctx, rival.ID)).End, &models.MatchEnd{MatchID: rival.ID, Packs: []string{}, Reason: "r", EndedBy: by, EndedAt: stamp.At})
	same(t, "open matches at last", len(must(s.OpenMatches(ctx))), 0)

	for _, subject := range []string{items[0].ID, aside.ID, match.ID, placed.ID, made[0].ID} {
		if len(must(s.TrailOf(ctx, []string{subject}, 9))) == 0 {
			t.Errorf("%s left no trail entry", subject)
		}
	}
	if entries := must(s.TrailOf(ctx, []string{items[0].ID}, 9)); len(entries) != 2 {
		t.Errorf("a block and its receipt left %d entries", len(entries))
	}
}
