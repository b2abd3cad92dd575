package trace_test

import (
	"errors"
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/trade/ident"
	"tracewright/models/work/receive"
	"tracewright/models/work/trace"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func TestFind(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s := trace.New(h.Store)
		wheel := h.Serial[models.KindWheel]
		parts := receive.New(h.Store, h.Clock, worktest.Zone)
		motor, err := parts.AddPart(t.Context(), h.Operator, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-220431"})
		h.Must(err)
		small, err := parts.AddPart(t.Context(), h.Operator, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "h7-ab12"})
		h.Must(err)
		printed := ident.Print(wheel)
		for _, row := range []struct {
			name, typed string
			want        string // id; empty: none
			code        string // of the problem
		}{
			{"the stored serial", wheel, h.Item[models.KindWheel].ID, ""},
			{"as printed", printed, h.Item[models.KindWheel].ID, ""},
			{"in small letters, with spaces", " " + strings.ToLower(strings.ReplaceAll(printed, "-", " ")) + " ", h.Item[models.KindWheel].ID, ""},
			{"the letter O for the zeros", strings.ReplaceAll(printed, "0", "O"), h.Item[models.KindWheel].ID, ""},
			{"as a scanner sends it", "]d1" + wheel, h.Item[models.KindWheel].ID, ""},
			{"its last five characters", wheel[4:], h.Item[models.KindWheel].ID, ""},
			{"its last five, as printed", printed[len(printed)-6:], h.Item[models.KindWheel].ID, ""},
			{"the maker's number of a motor", "N9-220431", motor.ID, ""},
			{"one that is written small, in capitals", "H7-AB12", small.ID, ""},
			{"the same in small letters", "n9-220431", motor.ID, ""},
			{"a good serial that nothing has", unused(t), "", ""},
			{"a wrong check character", misread(wheel), "", "serial_check"},
			{"nothing", "  ", "", "missing"},
			{"a page", strings.Repeat("W", 201), "", "too_long"},
			{"something else", "the red one", "", ""},
		} {
			t.Run(row.name, func(t *testing.T) {
				items, err := s.Find(t.Context(), row.typed)
				var invalid *models.InvalidError
				switch {
				case row.code != "":
					if !errors.As(err, &invalid) || invalid.Problems[0].Code != row.code {
						t.Errorf("find %q: %v, want %s", row.typed, err, row.code)
					}
				case err != nil:
					t.Errorf("find %q: %v", row.typed, err)
				case row.want == "" && len(items) > 0:
					t.Errorf("find %q: %d items, want none", row.typed, len(items))
				case row.want != "" && !hasItem(items, row.want):
					t.Errorf("find %q: %d items, and the wanted one is not among them", row.typed, len(items))
				}
			})
		}
	})
}

func hasItem(items []models.Item, id string) bool {
	for _, i := range items {
		if i.ID == id {
			return true
		}
	}
	return false
}

// unused is a good serial that no item of the shop has.
func unused(t *testing.T) string {
	t.Helper()
	serial, _, err := ident.Next(ident.Wheel, 31, 20_000)
	if err != nil {
		t.Fatal(err)
	}
	return serial
}

func misread(serial string) string {
	last := byte('2')
	if serial[len(serial)-1] == last {
		last = '3'
	}
	return serial[:len(serial)-1] + string(last)
}

// The view of one item holds what happened to it, replaced things too.
func TestItem(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), trace.New(h.Store)
		goods := receive.New(h.Store, h.Clock, worktest.Zone)
		_, err := goods.AddLot(ctx, h.Operator, models.Lot{Code: "SP-0214", Material: "spokes"})
		h.Must(err)
		motor, err := goods.AddPart(ctx, h.Operator, receive.NewPart{Kind: models.KindMotor, Supplier: "Norvik", Model: "R9", MakerNumber: "N9-1"})
		h.Must(err)
		first := h.Extremes()
		first.Parts = []models.SentPart{{Role: "spokes_a", Lot: "SP-0214", Quantity: 18}, {Role: "motor", Number: "n9-1"}}
		h.MustRecord(first)
		second := h.Extremes()
		second.Corrects, second.Reason = first.ID, "the dial had slipped"
		h.MustRecord(second)
		item := h.Item[models.KindWheel]
		_, err = h.Store.AddHold(ctx, models.NewStamp(h.Operator, h.Now), models.Hold{ItemID: &item.ID, Code: "W15", Reason: "a hairline"})
		h.Must(err)

		v, err := s.Item(ctx, ident.Print(*item.Serial))
		h.Must(err)
		if v.Item.ID != item.ID || v.Family.ID != *item.FamilyID || v.Product.ID != *item.ProductID || v.Form.Form.Wheel.Holes != 36 {
			t.Errorf("item %s, family %v, product %v, form %+v", v.Item.Name(), v.Family, v.Product, v.Form)
		}
		if len(v.Inspections) != 2 || v.Latest().Inspection.ID != second.ID {
			t.Errorf("%d inspections, the latest standing is not the correction", len(v.Inspections))
		}
		if got := len(v.Latest().Results); got == 0 {
			t.Error("the latest inspection comes without results")
		}
		var lots, numbers []string
		for _, p := range v.Parts {
			if p.Lot != nil {
				lots = append(lots, p.Lot.Code)
			}
			if p.Item != nil {
				numbers = append(numbers, *p.Item.MakerNumber)
			}
		}
		if strings.Join(lots, " ") != "SP-0214" || strings.Join(numbers, " ") != "N9-1" {
			t.Errorf("lots %v, numbers %v", lots, numbers)
		}
		if open := v.OpenHolds(); len(open) != 1 || open[0].Code != "W15" || v.People[open[0].RaisedBy] != h.Operator.Name {
			t.Errorf("open holds %+v", open)
		}
		if v.Certificate() != nil {
			t.Error("there is no certificate yet")
		}
		// The item, two inspections and a hold each left at least one entry.
		if v.TrailEntries < 4 {
			t.Errorf("%d entries in the trail", v.TrailEntries)
		}

		m, err := s.Item(ctx, motor.ID)
		h.Must(err)
		if len(m.FittedInto) != 1 || m.FittedInto[0].Item.ID != item.ID {
			t.Errorf("the motor went into %+v", m.FittedInto)
		}
		for _, unknown := range []string{"nothing of ours", unused(t), models.NewID()} {
			if _, err := s.Item(ctx, unknown); !errors.Is(err, models.ErrNotFound) {
				t.Errorf("item %s: %v, want ErrNotFound", unknown, err)
			}
		}
		for typed, code := range map[string]string{"nothing of ours": "serial_form", misread(*item.Serial): "serial_check", unused(t): "", models.NewID(): ""} {
			_, err := s.Item(ctx, typed)
			var invalid *models.InvalidError
			got := ""
			if errors.As(err, &invalid) {
				got = invalid.Problems[0].Code
			}
			if got != code {
				t.Errorf("item %q: problem %q, want %q", typed, got, code)
			}
		}
	})
}
