package release_test

import (
	"context"
	"encoding/json"
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

// A lithium pack needs the transport test summary of its own design before it is
// released; its paper names the summary, though it came after the readings, and
// says that the pack may not ship as charged.
func TestALithiumPackNeedsItsTestSummary(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, item := service(h, new(int)), h.Item[models.KindPack]
		revised := func(n int, summary string) {
			h.Must(h.Store.AddProductRevision(h.Context(), models.NewStamp(h.Owner, h.Now), models.ProductRevision{ProductID: *item.ProductID, Revision: n, Reason: "carriage",
				Form: models.ProductForm{Pack: &models.PackForm{Chemistry: "li_ion", Cells: 3, Strings: 1, Blocks: 3, MinRestHours: "24", TestSummary: summary}}}))
		}
		held := func(name string, want ...string) {
			t.Helper()
			got, err := s.Gate(h.Context(), item.ID)
			h.Must(err)
			codes := make([]string, len(got))
			for i, r := range got {
				codes[i] = r.Code
			}
			if !slices.Equal(codes, want) {
				t.Errorf("%s: held back by %v, want %v", name, codes, want)
			}
		}
		revised(2, "")
		h.MustRecord(h.Pack())
		held("without its summary", "no_test_summary")
		revised(3, "TS-41")
		held("with it")
		certificate, err := s.Issue(h.Context(), h.Owner, item.ID, "")
		h.Must(err)
		var content models.CertificateContent
		h.Must(json.Unmarshal([]byte(certificate.Content), &content))
		if content.Item.Pack.TestSummary != "TS-41" {
			t.Errorf("the paper names summary %q", content.Item.Pack.TestSummary)
		}
		if !slices.Contains(content.Cautions, "lithium_not_as_charged") {
			t.Errorf("cautions %v", content.Cautions)
		}
	})
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
		{"charged before its readings", nil, func(h *worktest.Shop, _ models.Item) { charge(h, -40*time.Hour, -30*time.Hour) }, nil},
		{"charged since", nil, func(h *worktest.Shop, _ models.Item) { charge(h, -30*time.Second, -time.Second) }, []string{"charged_since"}},
		{"a charge to five hours before its readings, written down since", nil, func(h *worktest.Shop, _ models.Item) {
			h.Now = h.Now.Add(time.Minute)
			charge(h, -8*time.Hour, -5*time.Hour)
		}, []string{"rest_contradicts"}},
		{"one that leaves it a longer rest than was typed", nil, func(h *worktest.Shop, _ models.Item) {
			h.Now = h.Now.Add(time.Minute)
			charge(h, -90*time.Hour, -80*time.Hour)
		}, nil},
		{"a block of it charged by itself since", []models.SentPart{part("block", "1.1", "A")}, func(h *worktest.Shop, first models.Item) {
			c, err := h.Store.AddCharge(h.Context(), models.NewStamp(h.Owner, h.Now), models.Charge{ItemID: first.ID, Kind: models.ChargeFirst, StartedAt: h.Now.Add(-30 * time.Second)})
			h.Must(err)
			h.Must(h.Store.EndCharge(h.Context(), models.NewStamp(h.Owner, h.Now), models.ChargeEnd{ChargeID: c.ID, EndedAt: h.Now}))
		}, []string{"charged_since"}},
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
				got := gate(t, h)
				if !slices.Equal(got, c.want) {
					t.Errorf("held back by %v, want %v", got, c.want)
				}
			})
		})
	}
}

// A pack with a block in it that the stock would not have offered is held back;
// nothing is asked about parts that are out again.
func TestAPackIsHeldBackByADoubtfulBlock(t *testing.T) {
	h := worktest.New(t)
	first := block(h, "A")
	block(h, "B")
	sub := h.Pack()
	sub.Parts = []models.SentPart{{Role: "block", Place: "1.1", Number: "A"}, {Role: "block", Place: "1.2", Number: "B"}}
	h.MustRecord(sub)
	s := service(h, new(int))
	asked := 0
	s.Heed(func(_ context.Context, parts []models.FittedPart) (map[string][]models.Remark, error) {
		asked = len(parts)
		return map[string][]models.Remark{first.ID: {models.NewRemark("loses_charge", "value", "6.92", "limit", "5"), models.NewRemark("lot_suspect", "lot", "L")}}, nil
	})
	got, err := s.Gate(t.Context(), h.Item[models.KindPack].ID)
	h.Must(err)
	if len(got) != 1 || got[0].Code != "part_doubtful" || got[0].Values["number"] != "A" || got[0].Values["against"] != "loses_charge,lot_suspect" || asked != 2 {
		t.Errorf("held back by %v, asked about %d parts", got, asked)
	}
}

// gate is what holds the pack back.
func gate(t *testing.T, h *worktest.Shop) []string {
	t.Helper()
	drawn := 0
	reasons, err := service(h, &drawn).Gate(t.Context(), h.Item[models.KindPack].ID)
	h.Must(err)
	var got []string
	for _, r := range reasons {
		if r.Code != "shop_name_missing" {
			got = append(got, r.Code)
		}
	}
	return got
}

// Blocks that cannot stand as they are recorded, as records from before say: they
// hold the pack back. A pack that names its block model goes out with all of its
// three blocks known, by number or by lot.
func TestAPackIsHeldBackByWhatItsBlocksAre(t *testing.T) {
	at := func(place string, item models.Item) models.FittedPart {
		return models.FittedPart{Role: "block", Place: place, PartID: &item.ID, Quantity: 1}
	}
	for _, c := range []struct {
		name  string
		model bool // the form names one
		parts func(h *worktest.Shop, a, b, c models.Item, lot models.Lot) []models.FittedPart
		want  []string
	}{
		{"two at one place", false, func(h *worktest.Shop, a, b, _ models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("1.1", a), at("1.1", b)}
		}, []string{"place_twice"}},
		{"a place that it has not", false, func(h *worktest.Shop, a, _, _ models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("9.9", a)}
		}, []string{"part_place_unknown"}},
		{"one at two places", false, func(h *worktest.Shop, a, _, _ models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("1.1", a), at("1.2", a)}
		}, []string{"part_twice"}},
		{"more than it has places", false, func(h *worktest.Shop, a, b, c models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("1.1", a), at("1.2", b), at("1.3", c), at("", block(h, "D"))}
		}, []string{"blocks_too_many"}},
		{"none known, and no model named", false, nil, nil},
		{"none known", true, nil, []string{"blocks_unknown"}},
		{"two of three known", true, func(h *worktest.Shop, a, b, _ models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("1.1", a), at("1.2", b)}
		}, []string{"blocks_unknown"}},
		{"all known", true, func(h *worktest.Shop, a, b, c models.Item, _ models.Lot) []models.FittedPart {
			return []models.FittedPart{at("1.1", a), at("1.2", b), at("1.3", c)}
		}, nil},
		{"by their lot", true, func(h *worktest.Shop, _, _, _ models.Item, lot models.Lot) []models.FittedPart {
			return []models.FittedPart{{Role: "block", LotID: &lot.ID, Quantity: 3}}
		}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				p, stamp := h.Item[models.KindPack], models.NewStamp(h.Owner, h.Now.Add(-time.Hour))
				if c.model {
					form := models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24", BlockProduct: "b", BlockRevision: 1}
					h.Must(h.Store.AddProductRevision(t.Context(), stamp, models.ProductRevision{ProductID: *p.ProductID, Revision: 2, Form: models.ProductForm{Pack: &form}, Reason: "of blocks that are known"}))
				}
				lot := models.Lot{ID: models.NewID(), Code: "BL-1", Material: "blocks", ReceivedAt: stamp.At}
				h.Must(h.Store.AddLot(t.Context(), stamp, lot))
				var parts []models.FittedPart
				if x, y, z := block(h, "A"), block(h, "B"), block(h, "C"); c.parts != nil {
					parts = c.parts(h, x, y, z, lot)
				}
				item, err := h.Store.AddItemWithSerial(t.Context(), stamp, models.Item{Kind: models.KindPack, FamilyID: p.FamilyID, ProductID: p.ProductID, Origin: "made"}, "P", 31, parts)
				h.Must(err)
				h.Item[models.KindPack], h.Serial[models.KindPack] = item, *item.Serial
				h.MustRecord(h.Pack())
				if got := gate(t, h); !slices.Equal(got, c.want) {
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
