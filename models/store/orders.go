package store

import (
	"context"
	"strings"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddOrder adds an order; models.ErrConflict when its reference is taken.
func (s *Store) AddOrder(ctx context.Context, stamp models.Stamp, o models.Order) error {
	o.EnteredAt, o.EnteredBy = settled(o.EnteredAt, stamp), orActor(o.EnteredBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := s.keepCustomer(tx, o.Customer); err != nil {
			return err
		}
		if err := add(tx, &o); err != nil {
			return err
		}
		return enter(tx, stamp, o, "")
	})
	return fault(err, "add order %s", o.Ref)
}

// Order finds one by its reference.
func (s *Store) Order(ctx context.Context, ref string) (models.Order, error) {
	return first[models.Order](ctx, s, "find order "+ref, "ref = ?", ref)
}

// OpenOrders lists those that nobody ended, the first due first; without a day
// last.
func (s *Store) OpenOrders(ctx context.Context) ([]models.Order, error) {
	return list[models.Order](ctx, s, "list open orders", "CASE WHEN due_on = '' THEN 1 ELSE 0 END, due_on, ref", orderNotEnded)
}

// wentWithOrders are the items that were shipped with the reference of an order.
const wentWithOrders = `FROM shipments JOIN shipment_items ON shipment_items.shipment_id = shipments.id JOIN items ON items.id = shipment_items.item_id
	WHERE shipments.order_ref <> '' AND ` + notVoided

// shippedForOrders counts by product what went with orders; %s are their references.
const shippedForOrders = "SELECT shipments.order_ref, items.product_id, count(*) " + wentWithOrders + " AND shipments.order_ref IN (%s) AND items.product_id IS NOT NULL GROUP BY shipments.order_ref, items.product_id"

// orderNotEnded says of an order that nobody ended it.
const orderNotEnded = "NOT EXISTS (SELECT 1 FROM order_ends WHERE order_ends.order_id = orders.id)"

// stillAwaited says of an order what Awaited lists of it: that nobody ended it and that
// more of a product is wanted, all its lines together, than went with it. EACH takes a
// list of JSON apart.
const stillAwaited = orderNotEnded + ` AND EXISTS (SELECT 1 FROM EACH(orders.lines) AS x WHERE
	(SELECT sum(CAST(line.value ->> 'quantity' AS integer)) FROM EACH(orders.lines) AS line WHERE line.value ->> 'product' = x.value ->> 'product')
	> (SELECT count(*) ` + wentWithOrders + " AND shipments.order_ref = orders.ref AND CAST(items.product_id AS text) = x.value ->> 'product'))"

// Awaited lists what open orders still wait for, line by line, the first due
// first; what was shipped with their reference is taken off.
func (s *Store) Awaited(ctx context.Context) ([]models.Awaited, error) {
	open, err := s.OpenOrders(ctx)
	if err != nil || len(open) == 0 {
		return nil, err
	}
	type piece struct{ ref, product string }
	shipped := map[piece]int{}
	refs := make([]any, len(open))
	for i, o := range open {
		refs[i] = o.Ref
	}
	text := strings.Replace(shippedForOrders, "%s", "?"+strings.Repeat(", ?", len(refs)-1), 1)
	err = s.ask(ctx, question{text, refs, func(scan func(...any) error) error {
		var p piece
		n := 0
		err := scan(&p.ref, &p.product, &n)
		shipped[p] = n
		return err
	}})
	if err != nil {
		return nil, fault(err, "count what open orders wait for")
	}
	var out []models.Awaited
	for _, o := range open {
		for _, l := range o.Lines {
			p := piece{o.Ref, l.Product}
			done := min(l.Quantity, shipped[p])
			shipped[p] -= done
			if l.Quantity -= done; l.Quantity > 0 {
				out = append(out, models.Awaited{Ref: o.Ref, DueOn: o.DueOn, OrderLine: l})
			}
		}
	}
	return out, nil
}

// EndOrder closes an order; one that is closed already is models.ErrConflict.
func (s *Store) EndOrder(ctx context.Context, stamp models.Stamp, e models.OrderEnd) error {
	e.EndedAt, e.EndedBy = settled(e.EndedAt, stamp), orActor(e.EndedBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &e), "end order %s", e.OrderID)
}
