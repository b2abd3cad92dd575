package store

import (
	"context"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// dueWhere says of a customer that they were entered before a moment, that nothing was
// dealt with them since, a shipment that names their order alone counted, and that
// nothing is open with them. Orders, shipments and claims have an index by customer, and
// shipments one by order: what is asked of one does not grow with the history of others.
// What is called back is worked out once, for whoever is left by then.
const dueWhere = `c.entered_at < @before
	AND NOT EXISTS (SELECT 1 FROM orders WHERE orders.customer = KEY AND orders.customer <> ''
		AND (orders.entered_at >= @before OR EXISTS (SELECT 1 FROM shipments WHERE shipments.order_ref = orders.ref AND shipments.order_ref <> '' AND shipments.shipped_at >= @before)
			OR ` + stillAwaited + `))
	AND NOT EXISTS (SELECT 1 FROM shipments AS s WHERE s.customer = KEY AND s.customer <> '' AND s.shipped_at >= @before)
	AND NOT EXISTS (SELECT 1 FROM claims AS l WHERE l.customer = KEY AND l.customer <> '' AND (l.opened_at >= @before OR l.state <> 'closed'))
	AND KEY NOT IN (SELECT back.customer FROM (CALLED) AS back)`

const dueCustomers = "SELECT c.id, c.entered_at FROM customers AS c WHERE " + dueWhere + "\nORDER BY c.entered_at, c.id LIMIT @most"

// openOrders lists what of a customer's orders is neither shipped nor ended.
const openOrders = "SELECT ref FROM orders WHERE customer = ? AND customer <> '' AND " + stillAwaited

// openCalls lists the items that recalls which have not ended found when they were last
// asked; EACH takes a list of JSON apart.
const openCalls = `SELECT r.recall_id, CAST(x.value ->> 'item' AS TYPE) AS item FROM recall_runs AS r, EACH(r.items) AS x
	WHERE NOT EXISTS (SELECT 1 FROM recall_ends AS e WHERE e.recall_id = r.recall_id) AND NOT EXISTS (SELECT 1 FROM recall_runs AS q WHERE q.recall_id = r.recall_id AND q.n > r.n)`

// calledBack lists whom such an item went to, by itself or in a kit.
var calledBack = "SELECT open.recall_id, shipments.customer FROM (" + openCalls + ") AS open JOIN shipment_items ON shipment_items.item_id = open.item JOIN shipments ON shipments.id = shipment_items.shipment_id WHERE " + toCustomer +
	" UNION ALL SELECT open.recall_id, shipments.customer FROM (" + openCalls + ") AS open, " + wentInKit + " WHERE p.item_id = open.item AND " + toCustomer

const toCustomer = "shipments.customer <> '' AND " + notVoided

// ofCustomers writes a question about customers in the dialect.
func (s *Store) ofCustomers(text string) string {
	key, each, kind := "c.id", "json_each", "text"
	if s.dialect == Postgres {
		key, each, kind = "c.id::text", "json_array_elements", "uuid"
	}
	return strings.NewReplacer("EACH", each, "TYPE", kind).Replace(strings.NewReplacer("KEY", key, "CALLED", calledBack).Replace(text))
}

// DueCustomers lists customers with whom nothing was dealt since a moment and nothing
// is open, the first entered first: no claim, no order, no recall of what went to them.
// It gives keys and counts and nobody's name, so that no look at a customer is recorded.
func (s *Store) DueCustomers(ctx context.Context, before time.Time, limit int) ([]models.DueCustomer, error) {
	var due []models.DueCustomer
	err := s.read.WithContext(ctx).Raw(s.ofCustomers(dueCustomers), map[string]any{"before": models.Moment(before), "most": limit}).Scan(&due).Error
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
		{"SELECT orders.customer, shipments.shipped_at AS at FROM orders JOIN shipments ON shipments.order_ref = orders.ref WHERE orders.customer IN ? AND orders.customer <> '' AND shipments.order_ref <> '' AND shipments.customer <> orders.customer", func(d *models.DueCustomer) { d.Shipments++ }},
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

// EraseDueCustomer erases a customer who is due, as DueCustomers has it. It looks again
// behind the lock that whoever enters an order, a shipment or a claim of theirs waits
// for; models.ErrNotFound says that they are not due any more, or gone.
func (s *Store) EraseDueCustomer(ctx context.Context, stamp models.Stamp, id string, before time.Time) error {
	return s.erasing(ctx, func(tx *gorm.DB) error {
		var c models.Customer
		if err := s.locked(tx).Where("id = ?", id).Take(&c).Error; err != nil {
			return err
		}
		var due []string
		err := tx.Raw(s.ofCustomers("SELECT KEY FROM customers AS c WHERE c.id = @id AND "+dueWhere), map[string]any{"id": id, "before": models.Moment(before)}).Scan(&due).Error
		if err == nil && len(due) == 0 {
			err = models.ErrNotFound
		}
		if err != nil {
			return err
		}
		return eraseCustomer(tx, stamp, id)
	})
}

// OpenWith gives what is open with a customer.
func (s *Store) OpenWith(ctx context.Context, customer string) (models.OpenDealings, error) {
	var open models.OpenDealings
	for _, ask := range []struct {
		sql  string
		into *[]string
	}{
		{openOrders + " ORDER BY ref", &open.Orders},
		{"SELECT number FROM claims WHERE customer = ? AND customer <> '' AND state <> 'closed' ORDER BY number", &open.Claims},
		{"SELECT number FROM recalls WHERE id IN (SELECT back.recall_id FROM (CALLED) AS back WHERE back.customer = ?) ORDER BY number", &open.Recalls},
	} {
		if err := s.read.WithContext(ctx).Raw(s.ofCustomers(ask.sql), customer).Scan(ask.into).Error; err != nil {
			return open, fault(err, "list what is open with a customer")
		}
	}
	return open, nil
}
