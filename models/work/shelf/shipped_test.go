package shelf_test

import (
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/models/work/worktest"
)

// A pack that was shipped, by itself or in its kit, stands on no shelf and is put
// on no charger; it stands there again when the shipment is void, or when it came
// back and was given a place, and then has no turn to go out.
func TestAShippedPackLeavesTheShelf(t *testing.T) {
	for name, inKit := range map[string]bool{"by itself": false, "in a kit": true} {
		t.Run(name, func(t *testing.T) {
			worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
				s, ctx, pack := stand(t, h), t.Context(), h.Item[models.KindPack]
				h.Now = h.Now.AddDate(0, 0, 200) // Past its day: it is to be charged.
				on := func(when string, want int) shelf.Look {
					t.Helper()
					for _, asked := range []*shelf.Service{s, shelf.New(h.Store, h.Clock, worktest.Zone)} { // One that knows it, and one that reads everything.
						if l := look(t, asked); l.Packs != want || len(l.Today) != want {
							t.Fatalf("%s: %d packs, %d to charge today, want %d", when, l.Packs, len(l.Today), want)
						}
					}
					return look(t, s)
				}
				on("before", 1)
				goes := pack.ID
				if inKit {
					goes = kitWith(h, pack)
				}
				h.Now = h.Now.Add(time.Hour)
				ship := func() models.Shipment {
					sh, err := h.Store.AddShipment(ctx, models.NewStamp(h.Owner, h.Now), 31, models.Shipment{Items: []string{goes}, Against: []models.Remark{models.NewRemark("not_released")}})
					h.Must(err)
					return sh
				}
				first := ship()
				on("shipped", 0)
				if begun, err := s.StartAll(ctx, h.Operator, "CH-2"); err != nil || len(begun) > 0 {
					t.Errorf("put on a charger: %v, %v", begun, err)
				}
				h.Now = h.Now.Add(time.Hour)
				h.Must(h.Store.VoidShipment(ctx, models.NewStamp(h.Owner, h.Now), models.ShipmentVoid{ShipmentID: first.ID, Reason: "it did not go"}))
				if l := on("the shipment is void", 1); l.Today[0].Stop == shelf.CameBack {
					t.Errorf("it never went: %+v", l.Today[0])
				}
				ship()
				on("shipped again", 0)
				h.Now = h.Now.AddDate(0, 0, 30)
				h.Must(s.Place(ctx, h.Operator, *pack.Serial, "rack C 1", time.Time{}))
				if l := on("back on a shelf", 1); l.Today[0].Stop != shelf.CameBack || l.Next != nil {
					t.Errorf("it came back: %+v", l.Today[0])
				}
			})
		})
	}
}

// kitWith is a kit with an item in it.
func kitWith(h *worktest.Shop, item models.Item) string {
	h.Helper()
	stamp := models.NewStamp(h.Owner, h.Now)
	family := models.Family{ID: models.NewID(), Kind: models.KindKit, Name: "Kits"}
	h.Must(h.Store.AddFamily(h.Context(), stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}))
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "Kit one"}
	h.Must(h.Store.AddProduct(h.Context(), stamp, product, models.ProductRevision{Form: models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: *item.ProductID, Quantity: 1}}}}}))
	kit, err := h.Store.AddItemWithSerial(h.Context(), stamp, models.Item{Kind: models.KindKit, FamilyID: &family.ID, ProductID: &product.ID, Origin: "made"}, "K", 31, nil)
	h.Must(err)
	h.Must(h.Store.PackKit(h.Context(), stamp, models.KitPacking{KitID: kit.ID, ItemID: &item.ID, Quantity: 1, Added: true}))
	return kit.ID
}
