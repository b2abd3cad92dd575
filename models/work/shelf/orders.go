package shelf

import (
	"context"

	"tracewright/models"
)

// waiting is what open orders wait for of each product, the first due first.
type waiting map[string][]models.Awaited

// waiting finds what orders wait for, kits by what lies in them.
func (s *Service) waiting(ctx context.Context, products catalogue) (waiting, error) {
	orders, err := s.store.Awaited(ctx)
	if err != nil {
		return nil, err
	}
	out := waiting{}
	add := func(a models.Awaited) { out[a.Product] = append(out[a.Product], a) }
	for _, a := range orders {
		lines, kit := products.kits[a.Product]
		if !kit {
			add(a)
			continue
		}
		pieces := a.Quantity
		for _, l := range lines {
			if a.Product, a.Quantity = l.Product, pieces*l.Quantity; a.Product != "" {
				add(a)
			}
		}
	}
	return out, nil
}

// serve keeps a pack for the order that waits for its product and is due first;
// one that is wanted for a day by hand is wanted for the earlier of both.
func (w waiting) serve(r *Row, productID string) {
	list := w[productID]
	for len(list) > 0 && list[0].Quantity == 0 {
		list = list[1:]
	}
	if w[productID] = list; len(list) == 0 {
		return
	}
	list[0].Quantity--
	r.Order = list[0].Ref
	if day := list[0].DueOn; day != "" && (r.Wanted == "" || day < r.Wanted) {
		r.Wanted = day
	}
}
