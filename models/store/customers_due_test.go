package store_test

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// An order is open while something of it is neither shipped nor ended, and no longer:
// whom everything went to is due when their time is over, though nobody ended the order.
func TestAnOrderShippedWholeKeepsNobody(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := h.Store, t.Context()
		at := func(years int) models.Stamp { return models.NewStamp(h.Owner, h.Now.AddDate(years, 0, 0)) }
		c := models.Customer{ID: models.NewRandomID(), Name: "Ada Brenn"}
		h.Must(s.AddCustomer(ctx, at(0), c))
		wheel, pack := h.Item[models.KindWheel], h.Item[models.KindPack]
		order := models.Order{ID: models.NewID(), Ref: "4471", Customer: c.ID, Lines: []models.OrderLine{
			{Product: *wheel.ProductID, Quantity: 1}, {Product: *pack.ProductID, Quantity: 1}, {Product: *wheel.ProductID, Quantity: 1}}}
		h.Must(s.AddOrder(ctx, at(0), order))
		ship := func(years int, ref, customer string, items ...string) models.Shipment {
			t.Helper()
			return must(s.AddShipment(ctx, at(years), 31, models.Shipment{OrderRef: ref, Customer: customer, Items: items, Reason: "r", Against: []models.Remark{models.NewRemark("not_released")}}))
		}
		stands := func(when string, open bool, due ...int) {
			t.Helper()
			with, awaited := must(s.OpenWith(ctx, c.ID)), must(s.Awaited(ctx))
			if got := slices.Equal(with.Orders, []string{order.Ref}); got != open || got != (len(awaited) > 0) {
				t.Errorf("%s: open with the customer %v, awaited %v, want open: %v", when, with.Orders, awaited, open)
			}
			for years := range 9 {
				want := slices.Contains(due, years)
				if got := len(must(s.DueCustomers(ctx, at(years).At.Add(time.Hour), 9))) == 1; got != want {
					t.Errorf("%s, of those before year %d: due %v, want %v", when, years, got, want)
				}
			}
		}
		stands("nothing went", true)
		ship(1, order.Ref, c.ID, wheel.ID)
		ship(1, "another", c.ID, h.AnotherWheel().ID)
		stands("one of two wheels went", true)
		ship(2, order.Ref, c.ID, h.AnotherWheel().ID)
		stands("the wheels went", true)
		last := ship(3, order.Ref, "", pack.ID) // It names the order alone.
		stands("all went", false, 3, 4, 5, 6, 7, 8)
		if got := must(s.DueCustomers(ctx, at(5).At, 9))[0]; !got.LastAt.Equal(at(3).At) || got.Shipments != 4 {
			t.Errorf("dealt with last at %v, %d shipments", got.LastAt, got.Shipments)
		}
		h.Must(s.VoidShipment(ctx, at(4), models.ShipmentVoid{ShipmentID: last.ID, Reason: "it never left"}))
		stands("one did not go after all", true)
		h.Must(s.EndOrder(ctx, at(5), models.OrderEnd{OrderID: order.ID, Reason: "the rest is not wanted"}))
		stands("the rest is ended", false, 3, 4, 5, 6, 7, 8)
		h.Must(s.EraseDueCustomer(ctx, at(6), c.ID, at(4).At))
	})
}
