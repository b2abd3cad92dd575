package store_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackShipping is the part of TestEveryRecordReadsBack that kits, orders,
// shipments and customers leave behind.
func readBackShipping(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	wheel := h.Item[models.KindWheel]
	family := models.Family{ID: models.NewID(), Kind: models.KindKit, Name: "kits read back"}
	h.Must(s.AddFamily(ctx, stamp, family, models.Specification{ID: models.NewID(), Revision: 1, Grade: "standard", Rule: "simple", Characteristics: []models.Characteristic{}}))
	form := models.ProductForm{Kit: &models.KitForm{Lines: []models.KitLine{{Product: *wheel.ProductID, Quantity: 1}, {Part: "torque arm, Ω", Quantity: 2}}}}
	product := models.Product{ID: models.NewID(), FamilyID: family.ID, Name: "kit read back", Revision: 1}
	h.Must(s.AddProduct(ctx, stamp, product, models.ProductRevision{Form: form}))
	same(t, "form of a kit", must(s.ProductForm(ctx, product.ID)).Form, form)
	kit := must(s.AddItemWithSerial(ctx, stamp, models.Item{Kind: models.KindKit, FamilyID: &family.ID, ProductID: &product.ID, Origin: "made"}, "K", 31, nil))

	in := models.KitPacking{ID: models.NewID(), KitID: kit.ID, ItemID: &wheel.ID, Quantity: 1, Added: true, Reason: "agreed", Against: []models.Remark{models.NewRemark("on_hold", "code", "W14")}, PackedAt: moment, PackedBy: by}
	arms := models.KitPacking{ID: models.NewID(), KitID: kit.ID, Part: "torque arm, Ω", Quantity: 2, Added: true, Against: []models.Remark{}, PackedAt: moment, PackedBy: by}
	out := models.KitPacking{ID: models.NewID(), KitID: kit.ID, ItemID: &wheel.ID, Quantity: 1, Reason: "wrong box", Against: []models.Remark{}, PackedAt: moment, PackedBy: by}
	for _, p := range []models.KitPacking{in, arms, out} {
		h.Must(s.PackKit(ctx, stamp, p))
	}
	same(t, "packings", must(s.KitPackings(ctx, kit.ID)), []models.KitPacking{in, arms, out})
	same(t, "packings of an item", must(s.PackingsOf(ctx, wheel.ID)), []models.KitPacking{in, out})
	same(t, "kit of what was taken out", must(s.KitOf(ctx, wheel.ID)), "")
	if err := s.PackKit(ctx, stamp, models.KitPacking{KitID: kit.ID, ItemID: &wheel.ID, Quantity: 1}); !errors.Is(err, models.ErrStale) {
		t.Errorf("taken out twice: %v", err)
	}
	in.ID = models.NewID()
	h.Must(s.PackKit(ctx, stamp, in))
	same(t, "kit of the wheel", must(s.KitOf(ctx, wheel.ID)), kit.ID)

	customer := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn", Address: "Quay 4\nSundhavn", Email: "ada@example.org", Phone: "555 0142", Note: "Ω", EnteredAt: moment, EnteredBy: by}
	h.Must(s.AddCustomer(ctx, stamp, customer))
	changed := must(s.ChangeCustomer(ctx, stamp, customer.ID, func(c *models.Customer) error {
		same(t, "customer before", *c, customer)
		c.Phone = "555 0143"
		return nil
	}))
	customer.Phone = "555 0143"
	same(t, "customer, changed", changed, customer)
	same(t, "customer", must(s.Customer(ctx, stamp, customer.ID, "r")), customer)
	looks := must(s.LooksAt(ctx, customer.ID, 5))
	same(t, "look", looks, []models.CustomerLook{{ID: looks[0].ID, Customer: customer.ID, PersonID: by, Reason: "r", Salt: looks[0].Salt, LookedAt: moment}})

	order := models.Order{ID: models.NewID(), Ref: "44/71 Ω", Customer: customer.ID, DueOn: "2031-06-01", Lines: []models.OrderLine{{Product: product.ID, Quantity: 2}}, EnteredAt: moment, EnteredBy: by}
	h.Must(s.AddOrder(ctx, stamp, order))
	later := models.Order{ID: models.NewID(), Ref: "4470", Lines: []models.OrderLine{}, EnteredAt: moment, EnteredBy: by}
	h.Must(s.AddOrder(ctx, stamp, later))
	same(t, "orders, first due first", must(s.OpenOrders(ctx)), []models.Order{order, later})
	h.Must(s.EndOrder(ctx, stamp, models.OrderEnd{OrderID: later.ID, Reason: "r"}))
	same(t, "order", must(s.Order(ctx, order.Ref)), order)

	sent := must(s.AddShipment(ctx, stamp, 31, models.Shipment{OrderRef: order.Ref, Carrier: "Foxline", Tracking: "FX9", Customer: customer.ID, Items: []string{kit.ID}, Reason: "agreed", Against: []models.Remark{models.NewRemark("kit_lacks", "count", "1")}}))
	same(t, "number", sent.Number, "S31-00001")
	same(t, "shipment", must(s.ShipmentNumbered(ctx, sent.Number)), models.ShipmentView{Shipment: sent})
	same(t, "shipments of the order", len(must(s.ShipmentsOfOrder(ctx, order.Ref))), 1)
	same(t, "shipments of what is in the kit", must(s.ShipmentsOf(ctx, wheel.ID))[0].ID, sent.ID)
	same(t, "state of what is in the kit", must(s.Item(ctx, wheel.ID)).State, models.StateShipped)
	void := models.ShipmentVoid{ShipmentID: sent.ID, Reason: "not fetched", VoidedAt: moment.Add(time.Hour), VoidedBy: by}
	h.Must(s.VoidShipment(ctx, stamp, void))
	same(t, "void shipment", must(s.Shipments(ctx, 1)), []models.ShipmentView{{Shipment: sent, Void: &void}})
	h.Must(s.EraseCustomer(ctx, stamp, customer.ID))
	_, err := s.Customer(ctx, stamp, customer.ID, "")
	notFound(t, "an erased customer", err)
}
