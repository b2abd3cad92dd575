package store

import (
	"context"
	"strings"
	"time"

	"tracewright/models"
)

// dueCustomers finds those of the customers entered before a moment with whom
// nothing was dealt since. Orders, shipments and claims have an index by customer:
// what is asked of one does not grow with the history of others.
const dueCustomers = `SELECT c.id, c.entered_at FROM customers AS c WHERE c.entered_at < @before
	AND NOT EXISTS (SELECT 1 FROM orders AS o WHERE o.customer = KEY AND o.customer <> '' AND o.entered_at >= @before)
	AND NOT EXISTS (SELECT 1 FROM shipments AS s WHERE s.customer = KEY AND s.customer <> '' AND s.shipped_at >= @before)
	AND NOT EXISTS (SELECT 1 FROM claims AS l WHERE l.customer = KEY AND l.customer <> '' AND (l.opened_at >= @before OR l.state <> 'closed'))
ORDER BY c.entered_at, c.id LIMIT @most`

// DueCustomers lists customers with whom nothing was dealt since a moment, and of
// whom no claim is open, the first entered first. It gives keys and counts and
// nobody's name, so that no look at a customer is recorded.
func (s *Store) DueCustomers(ctx context.Context, before time.Time, limit int) ([]models.DueCustomer, error) {
	key := "c.id"
	if s.dialect == Postgres {
		key = "c.id::text"
	}
	var due []models.DueCustomer
	err := s.read.WithContext(ctx).Raw(strings.ReplaceAll(dueCustomers, "KEY", key), map[string]any{"before": models.Moment(before), "most": limit}).Scan(&due).Error
	if err != nil || len(due) == 0 {
		return nil, fault(err, "list customers whose time is over")
	}
	ids, at := make([]string, len(due)), make(map[string]*models.DueCustomer, len(due))
	for i := range due {
		ids[i], at[due[i].ID] = due[i].ID, &due[i]
		due[i].LastAt = due[i].EnteredAt
	}
	for _, ask := range []struct {
		sql   string
		count func(*models.DueCustomer)
	}{
		{"SELECT customer, entered_at AS at FROM orders WHERE customer IN ? AND customer <> ''", func(d *models.DueCustomer) { d.Orders++ }},
		{"SELECT customer, shipped_at AS at FROM shipments WHERE customer IN ? AND customer <> ''", func(d *models.DueCustomer) { d.Shipments++ }},
		{"SELECT customer, opened_at AS at FROM claims WHERE customer IN ? AND customer <> ''", func(d *models.DueCustomer) { d.Claims++ }},
	} {
		var dealings []struct {
			Customer string
			At       time.Time
		}
		if err := s.read.WithContext(ctx).Raw(ask.sql, ids).Scan(&dealings).Error; err != nil {
			return nil, fault(err, "list dealings with customers")
		}
		for _, x := range dealings {
			d := at[x.Customer]
			ask.count(d)
			if x.At.After(d.LastAt) {
				d.LastAt = x.At
			}
		}
	}
	return due, nil
}

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
