package lists

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// shipments name customers by their key, which says nothing by itself, and only to
// those who may see customers; by their names where that is asked for.
var shipments = Kind{Name: "shipments", Out: models.ActLook, Names: true, write: writeShipments, Columns: []Column{
	{Name: "number"}, {Name: "shipped on"}, {Name: "order"}, {Name: "carrier"}, {Name: "tracking"}, {Name: "items"}, {Name: "customer"}, {Name: "name"}, {Name: "void"},
}}

func writeShipments(ctx context.Context, s *Service, o *output) error {
	may := o.actor.May(models.ActCustomers)
	if o.ask.Names && !may {
		return fmt.Errorf("names of customers: %w", models.ErrForbidden)
	}
	names := map[string]string{}
	next := func(ctx context.Context, after string, most int) ([]models.ListedShipment, error) {
		list, err := s.store.ShipmentsAfter(ctx, after, most)
		if err != nil || !o.ask.Names {
			return list, err
		}
		return list, s.lookUp(ctx, o, list, names)
	}
	return pages(ctx, next, func(sh models.ListedShipment) (string, error) {
		customer, void := "", ""
		if may {
			customer = sh.Customer
		}
		for i, name := range sh.Names {
			sh.Names[i] = printed(name)
		}
		if sh.Void != nil {
			void = o.day(sh.Void.VoidedAt)
		}
		return sh.ID, o.Row(sh.Number, o.day(sh.ShippedAt), sh.OrderRef, sh.Carrier, sh.Tracking, strings.Join(sh.Names, " "), customer, names[sh.Customer], void)
	})
}

// lookUp finds the names of the customers of some shipments; each is looked at
// once, which is recorded.
func (s *Service) lookUp(ctx context.Context, o *output, list []models.ListedShipment, names map[string]string) error {
	var ids []string
	for _, sh := range list {
		if _, looked := names[sh.Customer]; !looked && sh.Customer != "" && !slices.Contains(ids, sh.Customer) {
			ids = append(ids, sh.Customer)
		}
	}
	found, err := s.store.CustomersLooked(ctx, o.stamp, ids, o.ask.Reason)
	for _, id := range ids {
		names[id] = "" // Erased since.
	}
	for _, c := range found {
		names[c.ID] = c.Name
	}
	return err
}
