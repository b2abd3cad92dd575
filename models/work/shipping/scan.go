package shipping

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// scanned finds the item that was scanned or typed, by hand also by the last
// characters of its serial; a text that names none is said for what it is: a slip,
// a certificate's code, a supplier's.
func (s *Service) scanned(ctx context.Context, typed, field string) (models.Item, error) {
	scan := ident.Recognise(typed)
	var item models.Item
	var err error
	switch {
	case scan.Text == "":
		return models.Item{}, models.Invalid(field, "missing")
	case len(typed) > longest:
		return models.Item{}, models.Invalid(field, "too_long", "most", fmt.Sprint(longest))
	case scan.What == ident.ScanSerial:
		item, err = s.store.ItemBySerial(ctx, scan.Serial)
	case models.IsID(scan.Text):
		item, err = s.store.Item(ctx, scan.Text)
	default:
		return s.noSerial(ctx, scan, field)
	}
	if errors.Is(err, models.ErrNotFound) {
		return models.Item{}, models.Invalid(field, "unknown_serial", "serial", models.Shortened(scan.Text))
	}
	if err != nil {
		return models.Item{}, fmt.Errorf("item %.40q: %w", typed, err)
	}
	return item, nil
}

// noSerial finds the one item whose serial ends like this. A lot's label comes
// first: its code can look like the end of somebody's serial.
func (s *Service) noSerial(ctx context.Context, scan ident.Scan, field string) (models.Item, error) {
	lots, err := s.store.LotsByCode(ctx, []string{scan.Text})
	if err != nil {
		return models.Item{}, fmt.Errorf("whether %.40q is a lot: %w", scan.Text, err)
	}
	if len(lots) > 0 {
		return models.Item{}, models.Invalid(field, "scan_lot", "lot", lots[0].Code, "material", lots[0].Material)
	}
	tail, ok := ident.NormaliseTail(scan.Text)
	if !ok || scan.Scanned { // What a scanner read is whole.
		code, values := scan.Problem()
		return models.Item{}, models.Invalid(field, code, values...)
	}
	found, err := s.store.ItemsByTail(ctx, tail, 2)
	switch {
	case err != nil:
		return models.Item{}, fmt.Errorf("items that end in %s: %w", tail, err)
	case len(found) == 0:
		return models.Item{}, models.Invalid(field, "serial_tail_unknown", "typed", scan.Text)
	case len(found) > 1:
		return models.Item{}, models.Invalid(field, "serial_tail_not_unique", "serial", scan.Text)
	}
	return found[0], nil
}
