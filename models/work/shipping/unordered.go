package shipping

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// Unordered says what stands between an order's reference and what is in a box: no
// open order has it as it is written, or the one that has waits for nothing of the
// kind. It keeps nothing here: a reference may be of another list than this shop's
// orders, and where none is open nothing is said.
func (s *Service) Unordered(ctx context.Context, ref string, items []string) ([]models.Remark, error) {
	if ref = strings.TrimSpace(ref); ref == "" {
		return nil, nil
	}
	open, err := s.store.OpenOrders(ctx)
	if err != nil {
		return nil, fmt.Errorf("open orders: %w", err)
	}
	if len(open) == 0 {
		return nil, nil
	}
	at := slices.IndexFunc(open, func(o models.Order) bool { return o.Ref == ref })
	if at < 0 {
		return []models.Remark{models.NewRemark("order_not_open", "order", models.Shortened(ref))}, nil
	}
	shipped, err := s.shippedWith(ctx, ref)
	if err != nil {
		return nil, err
	}
	left := map[string]int{}
	for _, l := range open[at].Lines {
		left[l.Product] += l.Quantity
	}
	var against []models.Remark
	for _, typed := range items {
		item, err := s.scanned(ctx, typed, "item")
		var unclear *models.InvalidError
		if errors.As(err, &unclear) {
			continue // Whoever ships it is told what it is.
		}
		if err != nil {
			return nil, err
		}
		if item.ProductID != nil && left[*item.ProductID] > shipped[*item.ProductID] {
			left[*item.ProductID]--
			continue
		}
		against = append(against, models.NewRemark("order_wants_none", "order", ref, "serial", item.Name()))
	}
	return against, nil
}
