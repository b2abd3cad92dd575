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
// maker, also inside a supplier's GS1 code. The code on a certificate finds its
// item. None is an empty list.
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
	scan := ident.Recognise(text)
	if scan.Serial != "" { // Also on the paper of its certificate.
		item, err := s.store.ItemBySerial(ctx, scan.Serial)
		if err == nil {
			return []models.Item{item}, nil
		}
		if !errors.Is(err, models.ErrNotFound) {
			return nil, fmt.Errorf("find item %s: %w", scan.Serial, err)
		}
	}
	var found []models.Item
	// The last five are typed by a hand; what a scanner read is whole.
	if tail, ok := ident.NormaliseTail(text); ok && !scan.Scanned {
		items, err := s.store.ItemsByTail(ctx, tail, mostFound)
		if err != nil {
			return nil, fmt.Errorf("find items ending in %s: %w", tail, err)
		}
		found = items
	}
	number := scan.Text
	if serial := ident.ElementOf(scan.Elements, "21"); serial != "" {
		number = serial
	}
	items, err := s.store.ItemsByMakerNumber(ctx, number, mostFound)
	if err != nil {
		return nil, fmt.Errorf("find items with maker's number %q: %w", number, err)
	}
	found = append(found, models.WrittenSo(items, number)...)
	if len(found) == 0 && scan.What == ident.ScanMisread {
		return nil, models.Invalid("find", "serial_check", "serial", text)
	}
	return found, nil
}

// LotNamed finds the lot whose label was scanned or code typed, in capitals or
// not, or [models.ErrNotFound].
func (s *Service) LotNamed(ctx context.Context, typed string) (models.Lot, error) {
	code := ident.Recognise(typed).Text
	lot, err := s.store.LotByCode(ctx, code)
	if err != nil {
		return models.Lot{}, fmt.Errorf("lot %.40q: %w", code, err)
	}
	return lot, nil
}

// Unknown says what a text is that found nothing: a serial of another shop, one
// of a printed roll, a supplier's code. The remark is empty where its form says
// nothing.
func (s *Service) Unknown(ctx context.Context, typed string) (models.Remark, error) {
	scan := ident.Recognise(typed)
	switch scan.What {
	case ident.ScanText:
		return models.Remark{}, nil
	case ident.ScanSerial, ident.ScanCertificate:
		letter, year, counter, err := ident.Parts(scan.Serial)
		if err != nil {
			return models.Remark{}, fmt.Errorf("parts of serial %s: %w", scan.Serial, err)
		}
		_, err = s.store.RollFor(ctx, string(letter), year, counter)
		if errors.Is(err, models.ErrNotFound) {
			return models.NewRemark("foreign_serial", "serial", scan.Serial), nil
		}
		if err != nil {
			return models.Remark{}, fmt.Errorf("roll of serial %s: %w", scan.Serial, err)
		}
		return models.NewRemark("serial_on_roll", "serial", scan.Serial), nil
	}
	code, values := scan.Problem()
	return models.NewRemark(code, values...), nil
}

const (
	// maxTyped is more than any serial, maker's number, or code on a label or a
	// certificate has.
	maxTyped = 200
	// mostFound is how many items one text may bring: five characters shared by
	// more are no answer to anybody.
	mostFound = 50
	// idLength is what every id has: a UUID in its form of RFC 9562, 4.
	idLength = 36
)
