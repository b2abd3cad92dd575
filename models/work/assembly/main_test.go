package assembly_test

import (
	"testing"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/assembly"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// bench is a workshop with motors N1 to N3, blocks A and B, and three lots
// of spokes, the second of ten pieces, the third set aside.
type bench struct {
	*worktest.Shop
	s *assembly.Service
}

func each(t *testing.T, f func(t *testing.T, b bench)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		stamp := models.NewStamp(h.Owner, h.Now.AddDate(0, 0, -3))
		for _, lot := range []models.Lot{{Code: "SP-1", Material: "spokes", Quantity: 500}, {Code: "SP-2", Material: "spokes", Quantity: 10}, {Code: "RM-1", Material: "rim"}, {Code: "SP-3", Material: "spokes"}} {
			lot.ID = models.NewID()
			h.Must(h.Store.AddLot(t.Context(), stamp, lot))
			if lot.Code == "SP-3" {
				h.Must(h.Store.AddLotDecision(t.Context(), stamp, models.LotDecision{ID: models.NewID(), LotID: lot.ID, Decision: models.LotQuarantine, Reason: "bent"}))
			}
		}
		var items []models.Item
		for number, kind := range map[string]string{"N1": models.KindMotor, "N2": models.KindMotor, "N3": models.KindMotor, "A": models.KindBlock, "B": models.KindBlock} {
			items = append(items, models.Item{ID: models.NewID(), Kind: kind, Supplier: "Norvik", Model: "R9", MakerNumber: &number, Origin: "received"})
		}
		h.Must(h.Store.AddItems(t.Context(), stamp, items))
		f(t, bench{h, assembly.New(h.Store, h.Clock, worktest.Zone)})
	})
}

// fit puts parts in and ends the test where that is refused.
func (b bench) fit(t *testing.T, item models.Item, in ...assembly.In) {
	t.Helper()
	_, err := b.s.Change(t.Context(), b.Operator, item.ID, assembly.Change{In: in})
	b.Must(err)
}

// fitted finds the key of the fitting of a part or lot that is in an item.
func (b bench) fitted(t *testing.T, item models.Item, name string) string {
	t.Helper()
	parts, err := b.Store.Parts(t.Context(), item.ID)
	b.Must(err)
	for _, p := range models.Present(parts) {
		if p.Number == name || p.LotCode == name {
			return p.ID
		}
	}
	t.Fatalf("%s is not in %s", name, item.Name())
	return ""
}

func number(role, place, number string) assembly.In {
	return assembly.In{SentPart: models.SentPart{Role: role, Place: place, Number: number}}
}

func pieces(role, lot string, n int) assembly.In {
	return assembly.In{SentPart: models.SentPart{Role: role, Lot: lot, Quantity: n}}
}
