package receive_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *receive.Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, receive.New(h.Store, h.Clock, worktest.Zone)) })
}

func TestLot(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		for _, row := range []struct {
			name string
			in   models.Lot
			want []string
		}{
			{"a lot", models.Lot{Code: " SP-0214 ", Material: "spokes", Quantity: 2000}, nil},
			{"the code again", models.Lot{Code: "SP-0214", Material: "nipples"}, []string{"code: taken"}},
			{"nothing said", models.Lot{}, []string{"code: missing", "material: missing"}},
			{"a material nobody uses", models.Lot{Code: "X", Material: "gold"}, []string{"material: unknown_choice"}},
			{"fewer than none", models.Lot{Code: "X", Material: "spokes", Quantity: -1}, []string{"quantity: negative_not_possible"}},
			{"received next week", models.Lot{Code: "X", Material: "spokes", ReceivedAt: h.Now.AddDate(0, 0, 7)}, []string{"received_at: day_ahead"}},
			{"received in the year 26", models.Lot{Code: "X", Material: "spokes", ReceivedAt: time.Date(26, 3, 5, 12, 0, 0, 0, time.UTC)}, []string{"received_at: day_too_early"}},
			{"the code in small letters", models.Lot{Code: "sp-0214", Material: "spokes"}, []string{"code: taken"}},
			{"the code of a page", models.Lot{Code: "new", Material: "spokes"}, []string{"code: code_of_page"}},
			{"a step up in an address", models.Lot{Code: "..", Material: "spokes"}, []string{"code: code_of_page"}},
			{"a serial of the shop", models.Lot{Code: ident.Print(h.Serial[models.KindWheel]), Material: "spokes"}, []string{"code: like_a_serial"}},
			{"what nobody sees", models.Lot{Code: "T\u202e10", Material: "spokes", Supplier: "\u200b", Description: "a\x01\n<b>"}, []string{"code: not_printed", "description: not_printed", "supplier: not_printed"}},
			{"a code that is too long", models.Lot{Code: strings.Repeat("x", 41), Material: "spokes"}, []string{"code: too_long"}},
		} {
			t.Run(row.name, func(t *testing.T) {
				_, err := s.AddLot(t.Context(), h.Operator, row.in)
				worktest.WantProblems(t, err, row.want...)
			})
		}
		lots, err := s.Lots(t.Context())
		h.Must(err)
		if len(lots) != 1 || lots[0].Code != "SP-0214" || !lots[0].ReceivedAt.Equal(models.Moment(h.Now)) {
			t.Errorf("lots %+v, want the one, received now", lots)
		}
	})
}

func TestPart(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		motor := receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "n9-220431"}
		made, err := s.AddPart(ctx, h.Operator, motor)
		h.Must(err)
		if made.Serial != nil || *made.MakerNumber != "n9-220431" {
			t.Errorf("a motor keeps the maker's number as it stands: %+v", made)
		}
		_, err = s.AddPart(ctx, h.Operator, motor)
		worktest.WantProblems(t, err, "maker_number: taken")
		motor.Model = "R10"
		_, err = s.AddPart(ctx, h.Operator, motor)
		worktest.WantProblems(t, err) // Unique within a model only.
		// As a scanner sends it: the number stands in the code, or it is none.
		for scanned, want := range map[string]string{"]C0N9-7\r": "N9-7", "]d2010952100000010021N9-8": "N9-8", "]C1N9-9": "N9-9"} {
			motor.MakerNumber = scanned
			got, err := s.AddPart(ctx, h.Operator, motor)
			h.Must(err)
			if *got.MakerNumber != want {
				t.Errorf("%q is kept as %q, want %q", scanned, *got.MakerNumber, want)
			}
		}
		for scanned, code := range map[string]string{"]d20109521000000100": "gs1_no_serial", "]d2010952100000010010A77": "lot_for_number", "]d2010952100000010121N9-8": "gs1_check"} {
			motor.MakerNumber = scanned
			_, err := s.AddPart(ctx, h.Operator, motor)
			worktest.WantProblems(t, err, "maker_number: "+code)
		}
		motor.MakerNumber = ""
		_, err = s.AddPart(ctx, h.Operator, motor)
		worktest.WantProblems(t, err, "maker_number: missing")
		motor.MakerNumber = h.Serial[models.KindWheel]
		_, err = s.AddPart(ctx, h.Operator, motor)
		worktest.WantProblems(t, err, "maker_number: like_a_serial")
		_, err = s.AddPart(ctx, h.Operator, receive.NewPart{Kind: models.KindWheel, Supplier: "x", Model: "y", MakerNumber: "z"})
		worktest.WantProblems(t, err, "kind: unknown_kind")
		block, err := s.AddPart(ctx, h.Operator, receive.NewPart{Kind: models.KindBlock, Supplier: "Halden", Model: "12-20"})
		h.Must(err)
		if block.Serial == nil || ident.KindOf(*block.Serial) != ident.Block {
			t.Errorf("a block without a number gets a serial of letter B: %v", block.Name())
		}
	})
}

// The year in a serial is the shop's: at 23:30 UTC on New Year's Eve it is the
// new year in Helsinki.
func TestSerialsAreGivenOutInOrderByTheShopsYear(t *testing.T) {
	helsinki, err := time.LoadLocation("Europe/Helsinki")
	if err != nil {
		t.Fatal(err)
	}
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		h.Now = time.Date(2032, 12, 31, 23, 30, 0, 0, time.UTC)
		s := receive.New(h.Store, h.Clock, func(context.Context) *time.Location { return helsinki })
		var serials []string
		for range 3 {
			item, err := s.MakeItem(t.Context(), h.Operator, receive.NewItem{ProductID: *h.Item[models.KindWheel].ProductID})
			h.Must(err)
			serials = append(serials, (*item.Serial)[:8])
		}
		// The counters 1 to 3 of 33; one whose check character would be I, L, O
		// or U is passed over, so the order is what is promised.
		if !slices.IsSorted(serials) || serials[0][:3] != "W33" || serials[0] == serials[1] {
			t.Errorf("serials %v", serials)
		}
		one, err := s.MakeItem(t.Context(), h.Operator, receive.NewItem{FamilyID: *h.Item[models.KindWheel].FamilyID})
		h.Must(err)
		if one.ProductID != nil {
			t.Errorf("a one-off item has product %s", *one.ProductID)
		}
	})
}

func TestMakeItemIsChecked(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		wheel := h.Item[models.KindWheel]
		for _, row := range []struct {
			name string
			in   receive.NewItem
			want string
		}{
			{"nothing named", receive.NewItem{}, "product: product_or_family"},
			{"both named", receive.NewItem{ProductID: *wheel.ProductID, FamilyID: *wheel.FamilyID}, "product: product_or_family"},
			{"a product nobody makes", receive.NewItem{ProductID: "nothing of ours"}, "product: unknown_product"},
			{"a family nobody knows", receive.NewItem{FamilyID: models.NewID()}, "family: unknown_family"},
		} {
			_, err := s.MakeItem(t.Context(), h.Operator, row.in)
			t.Run(row.name, func(t *testing.T) { worktest.WantProblems(t, err, row.want) })
		}
	})
}

func TestRoll(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		first, err := s.AddRoll(ctx, h.Operator, receive.NewRoll{Kind: models.KindWheel, Count: 50})
		h.Must(err)
		second, err := s.AddRoll(ctx, h.Operator, receive.NewRoll{Kind: models.KindWheel, Count: 50, ProductID: *h.Item[models.KindWheel].ProductID})
		h.Must(err)
		if second.First != first.Last+1 || second.Last-second.First != 49 {
			t.Errorf("rolls %d to %d and %d to %d", first.First, first.Last, second.First, second.Last)
		}
		for _, printed := range append(receive.Serials(first), receive.Serials(second)...) {
			if _, err := ident.Normalise(printed); err != nil {
				t.Errorf("%s on a label is no serial: %v", printed, err)
			}
		}
		// An item made afterwards comes behind the rolls.
		item, err := s.MakeItem(ctx, h.Operator, receive.NewItem{ProductID: *h.Item[models.KindWheel].ProductID})
		h.Must(err)
		if slices.Contains(append(receive.Serials(first), receive.Serials(second)...), ident.Print(*item.Serial)) {
			t.Errorf("%s is on a printed label", item.Name())
		}
		for _, row := range []struct {
			name string
			in   receive.NewRoll
			want []string
		}{
			{"none", receive.NewRoll{Kind: models.KindWheel}, []string{"count: too_small"}},
			{"more than a roll holds", receive.NewRoll{Kind: models.KindWheel, Count: 5001}, []string{"count: too_big"}},
			{"a kind without serials", receive.NewRoll{Kind: models.KindMotor, Count: 1}, []string{"kind: unknown_kind"}},
			{"a product of another kind", receive.NewRoll{Kind: models.KindWheel, Count: 1, ProductID: *h.Item[models.KindPack].ProductID}, []string{"product: other_kind"}},
		} {
			_, err := s.AddRoll(ctx, h.Operator, row.in)
			t.Run(row.name, func(t *testing.T) { worktest.WantProblems(t, err, row.want...) })
		}
	})
}
