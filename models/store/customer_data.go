package store

import (
	"context"

	"tracewright/models"
)

// CustomersKept counts all customers; nothing of them is read.
func (s *Store) CustomersKept(ctx context.Context) (int64, error) {
	var n int64
	err := s.read.WithContext(ctx).Model(&models.Customer{}).Count(&n).Error
	return n, fault(err, "count customers")
}

// OrdersOfCustomer lists them, the oldest first.
func (s *Store) OrdersOfCustomer(ctx context.Context, customer string) ([]models.Order, error) {
	return list[models.Order](ctx, s, "list the orders of a customer", "entered_at, id", "customer = ? AND customer <> ''", customer)
}

// ShipmentsOfCustomer lists them, the oldest first.
func (s *Store) ShipmentsOfCustomer(ctx context.Context, customer string) ([]models.ShipmentView, error) {
	var found []models.Shipment
	err := s.read.WithContext(ctx).Where("customer = ? AND customer <> ''", customer).Order("shipped_at, id").Find(&found).Error
	if err != nil {
		return nil, fault(err, "list the shipments of a customer")
	}
	return s.shipmentViews(ctx, found)
}

// ClaimsOfCustomer lists them with their words and events, the oldest first.
func (s *Store) ClaimsOfCustomer(ctx context.Context, customer string) ([]models.ClaimView, error) {
	found, err := list[models.Claim](ctx, s, "list the claims of a customer", "opened_at, id", "customer = ? AND customer <> ''", customer)
	return s.claimViews(ctx, found, err)
}
