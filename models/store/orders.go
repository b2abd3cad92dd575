package store

import (
	"context"

	"tracewright/models"
)

// AddOrder adds an order; models.ErrConflict when its reference is taken.
func (s *Store) AddOrder(ctx context.Context, stamp models.Stamp, o models.Order) error {
	o.EnteredAt, o.EnteredBy = settled(o.EnteredAt, stamp), orActor(o.EnteredBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &o), "add order %s", o.Ref)
}

// Order finds one by its reference.
func (s *Store) Order(ctx context.Context, ref string) (models.Order, error) {
	return first[models.Order](ctx, s, "find order "+ref, "ref = ?", ref)
}

// OpenOrders lists those that nobody ended, the first due first; without a day
// last.
func (s *Store) OpenOrders(ctx context.Context) ([]models.Order, error) {
	return list[models.Order](ctx, s, "list open orders", "CASE WHEN due_on = '' THEN 1 ELSE 0 END, due_on, ref", "NOT EXISTS (SELECT 1 FROM order_ends WHERE order_ends.order_id = orders.id)")
}

// EndOrder closes an order; one that is closed already is models.ErrConflict.
func (s *Store) EndOrder(ctx context.Context, stamp models.Stamp, e models.OrderEnd) error {
	e.EndedAt, e.EndedBy = settled(e.EndedAt, stamp), orActor(e.EndedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &e), "end order %s", e.OrderID)
}
