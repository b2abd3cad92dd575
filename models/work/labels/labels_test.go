package labels_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/labels"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// draw draws nothing, and refuses one size as too small.
func draw(b labels.Batch, _ time.Time) ([]byte, error) {
	if b.Size.Code == "25x15" && b.Symbol == models.SymbolCode128 {
		return nil, &models.RefusedError{}
	}
	return nil, nil
}

func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *labels.Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, labels.New(h.Store, h.Clock, worktest.Zone, draw)) })
}

// codes are the codes of problems, with their fields.
func codes(err error) []string {
	var invalid *models.InvalidError
	var refused *models.RefusedError
	var out []string
	switch {
	case errors.As(err, &invalid):
		for _, p := range invalid.Problems {
			out = append(out, p.Field+": "+p.Code)
		}
	case errors.As(err, &refused):
		for _, r := range refused.Reasons {
			out = append(out, r.Code)
		}
	case errors.Is(err, models.ErrNotFound):
		out = []string{"not found"}
	case err != nil:
		out = []string{err.Error()}
	}
	return out
}

func TestLabelSaysWhatIsKnown(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		wheel, pack := h.Serial[models.KindWheel], h.Serial[models.KindPack]
		b, err := s.Items(t.Context(), []string{strings.ToLower(ident.Print(pack)), "]d1" + wheel}, labels.Ask{Copies: 2})
		h.Must(err)
		of := models.LabelContent{Kind: models.LabelItem, Code: pack, Of: models.KindPack, Product: "pack one", Chemistry: "agm"}
		on := models.LabelContent{Kind: models.LabelItem, Code: wheel, Of: models.KindWheel, Product: "wheel one"}
		if want := []models.LabelContent{of, of, on, on}; !slices.Equal(b.Labels, want) || b.Size.Code != models.UsualLabelSize || b.Place != 0 {
			t.Errorf("labels are %+v in %s, want %+v", b.Labels, b.Size.Code, want)
		}
		h.Must(h.Store.SetSetting(t.Context(), models.NewStamp(h.Owner, h.Now), models.SettingLabelSize, "25x15"))
		b, err = s.Items(t.Context(), []string{h.Item[models.KindWheel].ID}, labels.Ask{Hub: true})
		h.Must(err)
		on.Kind = models.LabelHub
		if b.Size.Code != "25x15" || !slices.Equal(b.Labels, []models.LabelContent{on}) {
			t.Errorf("a hub mark is %+v in %s", b.Labels, b.Size.Code)
		}
		lot := models.Lot{ID: models.NewID(), Code: "SP-1", Material: "spokes", Description: "186 mm", Supplier: "S", SupplierCode: "x", ReceivedAt: h.Now}
		h.Must(h.Store.AddLot(t.Context(), models.NewStamp(h.Owner, h.Now), lot))
		b, err = s.Lot(t.Context(), "SP-1", labels.Ask{})
		h.Must(err)
		if want := (models.LabelContent{Kind: models.LabelLot, Code: "SP-1", Material: "spokes", Description: "186 mm", Supplier: "S", SupplierCode: "x", ReceivedOn: "2031-05-12"}); b.Labels[0] != want {
			t.Errorf("a lot's label is %+v, want %+v", b.Labels[0], want)
		}
	})
}

func TestWhatCannotBeLabelled(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		wheel := h.Serial[models.KindWheel]
		number := "H-1"
		motor, err := h.Store.AddItem(t.Context(), models.NewStamp(h.Owner, h.Now), models.Item{ID: models.NewID(), Kind: models.KindMotor, Supplier: "o", Model: "m", MakerNumber: &number, Origin: "received"}, nil)
		h.Must(err)
		foreign, _, err := ident.Next(ident.Wheel, 31, 30000)
		h.Must(err)
		for _, row := range []struct {
			name    string
			serials []string
			ask     labels.Ask
			want    []string
		}{
			{"none", nil, labels.Ask{}, []string{"serials: missing"}},
			{"not of this shop", []string{foreign}, labels.Ask{}, []string{"not found"}},
			{"one of several not of this shop", []string{wheel, foreign}, labels.Ask{}, []string{"serials: unknown_serial"}},
			{"misread, no serial and twice", []string{"W2600005A", "bolt", wheel, ident.Print(wheel)}, labels.Ask{}, []string{"serials: serial_check", "serials: serial_form", "serials: label_named_twice"}},
			{"a motor keeps its maker's number", []string{motor.ID}, labels.Ask{}, []string{"label_kind_of_subject"}},
			{"sizes and symbols nobody has", []string{wheel}, labels.Ask{Size: "9x9", Symbol: "runes", Copies: -1}, []string{"size: unknown_choice", "symbol: unknown_choice", "copies: too_many_labels"}},
			{"beyond the sheet", []string{wheel}, labels.Ask{Size: "sheet_3x8", Place: 25}, []string{"place: place_on_sheet"}},
			{"too many", []string{wheel}, labels.Ask{Copies: labels.MostAtOnce + 1}, []string{"copies: too_many_labels"}},
		} {
			if _, err := s.Items(t.Context(), row.serials, row.ask); !slices.Equal(codes(err), row.want) {
				t.Errorf("%s: %q, want %q", row.name, codes(err), row.want)
			}
		}
		if _, err := s.Lot(t.Context(), "none", labels.Ask{}); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a lot that is not there: %v", err)
		}
	})
}

// A sheet goes on behind the last label; every print is counted, and looking is
// none.
func TestPrintsAreCounted(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		ctx := t.Context()
		wheel, pack := h.Item[models.KindWheel], h.Item[models.KindPack]
		both := []string{*wheel.Serial, *pack.Serial}
		small, err := s.Items(ctx, both, labels.Ask{Size: "25x15", Symbol: models.SymbolCode128})
		h.Must(err)
		var refused *models.RefusedError
		if _, err := s.Count(ctx, h.Operator, small); !errors.As(err, &refused) {
			t.Errorf("counted, and cannot be drawn: %v", err)
		}
		if prints, err := s.PrintsOf(ctx, wheel.ID, pack.ID); err != nil || len(prints) != 0 {
			t.Errorf("%d prints of what cannot be drawn, %v", len(prints), err)
		}
		for _, want := range []int{1, 23, 21} { // 22 labels each time, on sheets of 24.
			b, err := s.Items(ctx, both, labels.Ask{Size: "sheet_3x8", Copies: 11})
			h.Must(err)
			again, err := s.Items(ctx, both, labels.Ask{Size: "sheet_3x8", Copies: 11})
			h.Must(err)
			if b.Place != want || again.Place != want {
				t.Errorf("goes on at %d and, looked at again, at %d; want %d", b.Place, again.Place, want)
			}
			_, err = s.Count(ctx, h.Operator, b)
			h.Must(err)
		}
		_, err = s.CountCertificate(ctx, h.Owner, models.Certificate{ID: wheel.ID, Number: "C31-00001"})
		h.Must(err)
		prints, err := s.PrintsOf(ctx, wheel.ID)
		h.Must(err)
		var got []string
		for _, p := range prints {
			got = append(got, fmt.Sprintf("%s %s %d from %d by %s", p.What, p.Size, p.N, p.Place, p.PrintedBy))
		}
		by, owner := h.Operator.PersonID, h.Owner.PersonID
		want := []string{"item sheet_3x8 11 from 1 by " + by, "item sheet_3x8 11 from 23 by " + by, "item sheet_3x8 11 from 21 by " + by, "certificate  1 from 0 by " + owner}
		if !slices.Equal(got, want) {
			t.Errorf("printed %q, want %q", got, want)
		}
	})
}

func TestRoll(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		ctx := t.Context()
		roll, err := receive.New(h.Store, h.Clock, worktest.Zone).AddRoll(ctx, h.Owner, receive.NewRoll{Kind: models.KindPack, ProductID: *h.Item[models.KindPack].ProductID, Count: 20})
		h.Must(err)
		state, err := s.RollState(ctx, roll.ID)
		h.Must(err)
		serials := state.Serials
		if state.Next() != serials[0] {
			t.Errorf("begins with %s, want %s", state.Next(), serials[0])
		}
		b, err := s.Roll(ctx, roll.ID, "", ident.Print(serials[4]), labels.Ask{Size: "sheet_5x13", Place: 64, Copies: 3})
		h.Must(err)
		if len(b.Labels) != 5 || b.Labels[4].Code != serials[4] || b.Labels[0].Product != "pack one" || b.Labels[0].Of != models.KindPack {
			t.Errorf("labels are %+v", b.Labels)
		}
		_, err = s.Count(ctx, h.Owner, b)
		h.Must(err)
		state, err = s.RollState(ctx, roll.ID)
		h.Must(err)
		if len(state.Prints) != 1 || state.Prints[0].N != 5 || state.Prints[0].Last != serials[4] || state.Prints[0].Place != 64 || state.Next() != serials[5] {
			t.Errorf("printed %+v, goes on with %s, want %s", state.Prints, state.Next(), serials[5])
		}
		// Five labels from the 64th place of 65 end on the third of the next sheet.
		sheet, _ := models.LabelSizeOf("sheet_5x13")
		if next, err := s.NextPlace(ctx, sheet); err != nil || next != 4 {
			t.Errorf("the sheet goes on at %d, %v; want 4", next, err)
		}
		for _, row := range []struct{ name, first, last, want string }{
			{"turned", serials[3], serials[2], "last: serials_turned"},
			{"of a wheel", h.Serial[models.KindWheel], "", "first: serial_not_on_roll"},
			{"no serial", "bolt", "", "first: serial_form"},
			{"misread", "P2600005A", "", "first: serial_check"},
		} {
			if _, err := s.Roll(ctx, roll.ID, row.first, row.last, labels.Ask{}); !slices.Equal(codes(err), []string{row.want}) {
				t.Errorf("%s: %q, want %q", row.name, codes(err), row.want)
			}
		}
		if _, err := s.Roll(ctx, models.NewID(), "", "", labels.Ask{}); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a roll that is not there: %v", err)
		}
	})
}

func TestMadeTodayIsByTheShopsDay(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		if items, err := s.Made(t.Context()); err != nil || len(items) != 0 {
			t.Errorf("made a month ago and listed today: %d, %v", len(items), err)
		}
		made, err := receive.New(h.Store, h.Clock, worktest.Zone).MakeItem(t.Context(), h.Owner, receive.NewItem{ProductID: *h.Item[models.KindWheel].ProductID})
		h.Must(err)
		items, err := s.Made(t.Context())
		h.Must(err)
		if len(items) != 1 || items[0].ID != made.ID {
			t.Errorf("made today: %+v, want %s", items, *made.Serial)
		}
	})
}

// Each box of a shipment has its own label, and none names whom it goes to.
func TestBoxesAreNumberedAndNameNobody(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *labels.Service) {
		ctx, stamp := t.Context(), models.NewStamp(h.Owner, h.Now)
		h.Must(h.Store.AddCustomer(ctx, stamp, models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}))
		kit, err := h.Store.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindKit, Origin: "made"}, "K", 31, nil)
		h.Must(err)
		sh, err := h.Store.AddShipment(ctx, stamp, 31, models.Shipment{OrderRef: "4471", Items: []string{kit.ID, h.Item[models.KindWheel].ID, h.Item[models.KindPack].ID}, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}})
		h.Must(err)
		box := func(n, of int) models.LabelContent {
			return models.LabelContent{Kind: models.LabelBox, Code: "S31-00001", Order: "4471", Box: n, Boxes: of}
		}
		for _, c := range []struct {
			copies int
			want   []models.LabelContent
		}{{0, []models.LabelContent{box(1, 2), box(2, 2)}}, {3, []models.LabelContent{box(1, 3), box(2, 3), box(3, 3)}}} {
			b, err := s.Boxes(ctx, sh.Number, labels.Ask{Copies: c.copies})
			h.Must(err)
			if !slices.Equal(b.Labels, c.want) {
				t.Errorf("%d boxes asked for: %+v", c.copies, b.Labels)
			}
			prints, err := s.Count(ctx, h.Owner, b)
			h.Must(err)
			if len(prints) != 1 || prints[0].What != models.LabelBox || prints[0].SubjectID != sh.ID || prints[0].N != len(c.want) {
				t.Errorf("counted %+v", prints)
			}
		}
		h.Must(h.Store.VoidShipment(ctx, stamp, models.ShipmentVoid{ShipmentID: sh.ID, Reason: "r"}))
		if _, err := s.Boxes(ctx, sh.Number, labels.Ask{}); !slices.Equal(codes(err), []string{"shipment_void"}) {
			t.Errorf("of a void shipment: %v", err)
		}
	})
}

// An empty number of copies is the usual one, and none is a slip.
func TestNoCopiesAreNotOne(t *testing.T) {
	ask := func(copies string) (labels.Ask, error) {
		return labels.AskOf(func(name string) string { return map[string]string{"copies": copies}[name] })
	}
	for _, copies := range []string{"0", " 00 "} {
		if _, err := ask(copies); !slices.Equal(codes(err), []string{"copies: too_many_labels"}) {
			t.Errorf("%q copies: %v", copies, err)
		}
	}
	for copies, want := range map[string]int{"": 0, "3": 3} {
		if got, err := ask(copies); err != nil || got.Copies != want {
			t.Errorf("%q copies: %+v, %v", copies, got, err)
		}
	}
}
