package servertest

import (
	"net/http"
	"testing"

	"tracewright/models"
)

// An order of which everything is shipped is none that is open: it is said to wait for
// being closed, and no box is offered to it.
func TestAnOrderThatIsAllShipped(t *testing.T) {
	Each(t, func(t *testing.T, s *Shop) {
		ctx, stamp, wheel := t.Context(), models.NewStamp(s.Shop.Owner, s.Now), s.Item[models.KindWheel]
		_, err := s.App.Services.Shipping.AddOrder(ctx, s.Shop.Owner, models.Order{Ref: "5000", Lines: []models.OrderLine{{Product: *wheel.ProductID, Quantity: 1}}})
		s.Must(err)
		s.Run(t, []Row{
			{Name: "open", Who: Desk, Path: "/orders", Status: http.StatusOK, Has: []string{"One order is open"}, HasNot: []string{"all shipped"}},
			{Name: "offered", Who: Desk, Path: "/ship", Status: http.StatusOK, Has: []string{"order=5000"}},
		})
		_, err = s.Store.AddShipment(ctx, stamp, 31, models.Shipment{Items: []string{wheel.ID}, OrderRef: "5000", Against: []models.Remark{models.NewRemark("not_released")}})
		s.Must(err)
		s.Run(t, []Row{
			{Name: "to be closed", Who: Desk, Path: "/orders", Status: http.StatusOK, Has: []string{"No order is open; one is all shipped, and can be closed", "All shipped", "/orders/end?ref=5000"}},
			{Name: "offered no more", Who: Desk, Path: "/ship", Status: http.StatusOK, HasNot: []string{"order=5000"}},
		})
	})
}
