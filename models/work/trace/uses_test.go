package trace_test

import (
	"errors"
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
