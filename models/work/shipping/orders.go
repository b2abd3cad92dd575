package shipping

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

const (
	mostLines  = 40
	longestRef = 40 // of an order, in characters
	mostPieces = 1000
	mostReady  = 200 // items counted as ready of one product
)

// OrderView is an open order with how far it is.
type OrderView struct {
	models.Order
	Lines []OrderLine
	Late  bool // the day it was due lies behind
	Short bool // more is wanted than is ready, orders due before it served first
}

// OrderLine is one product of an order.
type OrderLine struct {
	models.OrderLine
	Name    string
	Shipped int // with this order's reference
	Ready   int // of those that are ready, kept for this order
	Short   int // wanted, not shipped and not ready
}

// AddOrder enters an order.
func (s *Service) AddOrder(ctx context.Context, actor models.Actor, in models.Order) (models.Order, error) {
	in.ID, in.Ref = models.NewID(), models.Trimmed(in.Ref)
	invalid := &models.InvalidError{}
	if in.Ref == "" {
		invalid.Add("ref", "missing")
	}
	invalid.Line("ref", in.Ref, longestRef)
	if in.DueOn != "" {
		if due, err := time.Parse(time.DateOnly, in.DueOn); err != nil {
			invalid.Add("due_on", "bad_date", "typed", models.Shortened(in.DueOn))
		} else {
			invalid.TooEarly("due_on", due.Year())
		}
	}
	if err := s.known(ctx, invalid, in.Customer); err != nil {
		return models.Order{}, err
	}
	if len(in.Lines) == 0 {
		invalid.Add("lines", "order_line_missing")
	}
	if len(in.Lines) > mostLines {
		invalid.Add("lines", "too_big", "most", fmt.Sprint(mostLines))
	}
	for i, l := range in.Lines {
		field := fmt.Sprintf("lines[%d]", i)
		if _, err := s.store.Product(ctx, l.Product); errors.Is(err, models.ErrNotFound) {
			invalid.Add(field+".product", "unknown_product", "product", models.Shortened(l.Product))
		} else if err != nil {
			return models.Order{}, fmt.Errorf("product of an order: %w", err)
		}
		switch {
		case l.Quantity < 1:
			invalid.Add(field+".quantity", "too_small", "least", "1")
		case l.Quantity > mostPieces:
			invalid.Add(field+".quantity", "too_big", "most", fmt.Sprint(mostPieces))
		}
	}
	if err := invalid.OrNil(); err != nil {
		return models.Order{}, err
	}
	if err := s.store.AddOrder(ctx, models.NewStamp(actor, s.now()), in); err != nil {
		if errors.Is(err, models.ErrConflict) {
			return models.Order{}, models.Invalid("ref", "taken", "value", in.Ref)
		}
		return models.Order{}, fmt.Errorf("add order %s: %w", in.Ref, err)
	}
	return in, nil
}

// Orders lists the open orders, the first due first, with what of each is
// shipped and ready and what is short. What is ready serves the order that is
// due first.
func (s *Service) Orders(ctx context.Context) ([]OrderView, error) {
	open, err := s.store.OpenOrders(ctx)
	if err != nil {
		return nil, fmt.Errorf("open orders: %w", err)
	}
	today := s.day(ctx).Format(time.DateOnly)
	whole, err := s.wholeKits(ctx, open)
	if err != nil {
		return nil, err
	}
	ready, names := map[string]int{}, map[string]string{}
	var out []OrderView
	for _, o := range open {
		view := OrderView{Order: o, Late: o.DueOn != "" && o.DueOn < today}
		shipped, err := s.shippedWith(ctx, o.Ref)
		if err != nil {
			return nil, err
		}
		for _, l := range o.Lines {
			if _, known := names[l.Product]; !known {
				if err := s.countReady(ctx, l.Product, whole, names, ready); err != nil {
					return nil, err
				}
			}
			line := OrderLine{OrderLine: l, Name: names[l.Product], Shipped: min(l.Quantity, shipped[l.Product])}
			shipped[l.Product] -= line.Shipped
			line.Ready = min(l.Quantity-line.Shipped, ready[l.Product])
			ready[l.Product] -= line.Ready
			line.Short = l.Quantity - line.Shipped - line.Ready
			view.Short = view.Short || line.Short > 0
			view.Lines = append(view.Lines, line)
		}
		out = append(out, view)
	}
	return out, nil
}

// OpenOrder finds an open order by its reference, in capitals or not.
func (s *Service) OpenOrder(ctx context.Context, ref string) (models.Order, error) {
	open, err := s.store.OpenOrders(ctx)
	if err != nil {
		return models.Order{}, fmt.Errorf("open orders: %w", err)
	}
	at := slices.IndexFunc(open, func(o models.Order) bool { return strings.EqualFold(o.Ref, ref) })
	if at < 0 {
		return models.Order{}, fmt.Errorf("open order %.40q: %w", ref, models.ErrNotFound)
	}
	return open[at], nil
}

// wholeKits counts by product the kits that may leave; none is looked at where
// nothing is ordered.
func (s *Service) wholeKits(ctx context.Context, open []models.Order) (map[string]int, error) {
	whole := map[string]int{}
	if len(open) == 0 {
		return whole, nil
	}
	kits, err := s.OpenKits(ctx)
	for _, k := range kits {
		if k.Whole && len(k.Against) == 0 {
			whole[k.Product.ID]++
		}
	}
	return whole, err
}

// countReady counts what is ready of a product: items, or kits that are whole.
func (s *Service) countReady(ctx context.Context, productID string, whole map[string]int, names map[string]string, ready map[string]int) error {
	product, err := s.store.Product(ctx, productID)
	if err != nil {
		return fmt.Errorf("product of an order: %w", err)
	}
	names[productID] = product.Name
	items, err := s.store.ReadyOf(ctx, productID, mostReady)
	if err != nil {
		return fmt.Errorf("what is ready of %s: %w", product.Name, err)
	}
	ready[productID] = len(items) + whole[productID]
	return nil
}

// shippedWith counts by product what went out with an order's reference.
func (s *Service) shippedWith(ctx context.Context, ref string) (map[string]int, error) {
	shipments, err := s.store.ShipmentsOfOrder(ctx, ref)
	if err != nil {
		return nil, fmt.Errorf("shipments of order %s: %w", ref, err)
	}
	counts := map[string]int{}
	for _, sh := range shipments {
		items, err := s.store.ItemsByID(ctx, sh.Items)
		if err != nil {
			return nil, fmt.Errorf("items of shipment %s: %w", sh.Number, err)
		}
		for _, i := range items {
			if i.ProductID != nil {
				counts[*i.ProductID]++
			}
		}
	}
	return counts, nil
}

// EndOrder closes an order.
func (s *Service) EndOrder(ctx context.Context, actor models.Actor, ref, reason string) error {
	o, err := s.store.Order(ctx, ref)
	if err != nil {
		return fmt.Errorf("order %.40q: %w", ref, err)
	}
	if err := reasoned(&reason); err != nil {
		return err
	}
	if err := s.store.EndOrder(ctx, models.NewStamp(actor, s.now()), models.OrderEnd{OrderID: o.ID, Reason: reason}); err != nil {
		return fmt.Errorf("end order %s: %w", ref, err)
	}
	return nil
}
