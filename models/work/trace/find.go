package trace

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// Find returns the items that a typed or scanned text may mean: a whole serial,
// the last five characters of one, or the number a motor or block has from its
// maker. None is an empty list.
//
// A text that has the form of a serial and a wrong check character is an
// [models.InvalidError] on the field "find" unless some maker's number is
// spelled like that: a misread serial must not end as "no such item".
func (s *Service) Find(ctx context.Context, typed string) ([]models.Item, error) {
	text := strings.TrimSpace(typed)
	if text == "" {
		return nil, models.Invalid("find", "missing")
	}
	if len(text) > maxTyped {
		return nil, models.Invalid("find", "too_long", "most", fmt.Sprint(maxTyped))
	}
	serial, misread := ident.Normalise(text)
	if misread == nil {
		item, err := s.store.ItemBySerial(ctx, serial)
		if err == nil {
			return []models.Item{item}, nil
		}
		if !errors.Is(err, models.ErrNotFound) {
			return nil, fmt.Errorf("find item %s: %w", serial, err)
		}
	}
	var found []models.Item
	if tail, ok := ident.NormaliseTail(text); ok {
		items, err := s.store.ItemsByTail(ctx, tail, mostFound)
		if err != nil {
			return nil, fmt.Errorf("find items ending in %s: %w", tail, err)
		}
		found = items
	}
	items, err := s.store.ItemsByMakerNumber(ctx, text, mostFound)
	if err != nil {
		return nil, fmt.Errorf("find items with maker's number %q: %w", text, err)
	}
	found = append(found, items...)
	if len(found) == 0 && errors.Is(misread, ident.ErrCheck) {
		return nil, models.Invalid("find", "serial_check", "serial", text)
	}
	return found, nil
}

const (
	// maxTyped is more than any serial or maker's number has.
	maxTyped = 80
	// mostFound is how many items one text may bring: five characters shared by
	// more are no answer to anybody.
	mostFound = 50
	// idLength is what every id has: a UUID in its form of RFC 9562, 4.
	idLength = 36
)
