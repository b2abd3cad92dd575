package recall

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// part finds what is called back by a serial, by its last five characters where a
// hand typed them, or by its key.
func (s *Service) part(ctx context.Context, typed string) (models.Item, error) {
	item, err := s.store.ItemNamed(ctx, typed)
	if !errors.Is(err, models.ErrNotFound) {
		if err != nil {
			err = fmt.Errorf("part %.40q: %w", typed, err)
		}
		return item, err
	}
	scan := ident.Recognise(typed)
	if scan.What == ident.ScanMisread {
		code, values := scan.Problem()
		return models.Item{}, models.Invalid("part", code, values...)
	}
	tail, ok := ident.NormaliseTail(scan.Text)
	if !ok || scan.Scanned {
		return models.Item{}, models.Invalid("part", "unknown_number", "number", models.Shortened(typed))
	}
	found, err := s.store.ItemsByTail(ctx, tail, models.MostOfTail)
	if err != nil {
		return models.Item{}, fmt.Errorf("items that end in %s: %w", tail, err)
	}
	item, code, values := models.OnlyOfTail(scan.Text, found)
	if code != "" {
		return models.Item{}, models.Invalid("part", code, values...)
	}
	return item, nil
}
