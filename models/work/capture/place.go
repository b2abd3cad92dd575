package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// target is the item an inspection belongs to, with what judges it. newItem is
// set when the inspection itself makes the item: the first scan of a serial
// from a printed roll.
type target struct {
	models.Placement
	kind    kinds.Kind
	newItem *models.Item
	roll    *models.SerialRoll
	tried   bool // there is no item: it stands for one that would be new
}

// unknownSerialError says that a well-formed serial belongs to no item and to
// no printed roll, or that no part has the number named.
type unknownSerialError struct{ serial, number string }

func (e *unknownSerialError) Error() string {
	return "no item has serial or number " + e.serial + e.number
}

func (e *unknownSerialError) Unwrap() error { return models.ErrNotFound }

// cause says it in a record.
func (e *unknownSerialError) cause() models.Remark {
	if e.number != "" {
		return models.NewRemark("unknown_number", "number", models.Shortened(e.number))
	}
	return models.NewRemark("unknown_serial", "serial", e.serial)
}

// normalise reads a serial as typed or scanned.
func normalise(typed string) (string, error) {
	serial, err := ident.Normalise(typed)
	switch {
	case errors.Is(err, ident.ErrCheck):
		return "", models.Invalid("serial", "serial_check", "serial", models.Shortened(typed))
	case err != nil:
		return "", models.Invalid("serial", "serial_form", "serial", models.Shortened(typed))
	}
	return serial, nil
}

// place finds the item of a submission.
func (s *Service) place(ctx context.Context, sub models.Submission) (target, error) {
	if sub.Part.Number != "" {
		return s.placePart(ctx, sub)
	}
	serial, err := normalise(sub.Serial)
	if err != nil {
		return target{}, err
	}
	placement, err := s.store.Place(ctx, serial, gauges(sub))
	switch {
	case err == nil:
		return aim(target{Placement: placement})
	case !errors.Is(err, models.ErrNotFound):
		return target{}, fmt.Errorf("find item %s: %w", serial, err)
	}
	roll, err := s.roll(ctx, serial)
	if err != nil {
		return target{}, err
	}
	productID := sub.Product
	if roll.ProductID != nil {
		productID = *roll.ProductID
	}
	if productID == "" {
		return target{}, models.Invalid("product", "product_of_roll_missing", "serial", serial)
	}
	return s.firstScan(ctx, sub, serial, roll, productID)
}

// placePart finds a block by its maker's number.
func (s *Service) placePart(ctx context.Context, sub models.Submission) (target, error) {
	item, code, err := s.numbered(ctx, sub.Part)
	switch {
	case err != nil:
		return target{}, err
	case code == "unknown_number":
		return target{}, &unknownSerialError{number: sub.Part.Number}
	case code != "":
		return target{}, models.Invalid("part.number", code, "number", models.Shortened(sub.Part.Number))
	}
	placement, err := s.store.PlaceItem(ctx, item.ID, gauges(sub))
	if err != nil {
		return target{}, fmt.Errorf("find part %s: %w", item.Name(), err)
	}
	return aim(target{Placement: placement})
}

// gauges are the codes of the instruments a submission names.
func gauges(sub models.Submission) []string {
	var codes []string
	for _, set := range sub.Sets {
		if set.Instrument != "" && !slices.Contains(codes, set.Instrument) {
			codes = append(codes, set.Instrument)
		}
	}
	return codes
}

// roll finds the printed roll of a serial, or unknownSerialError.
func (s *Service) roll(ctx context.Context, serial string) (models.SerialRoll, error) {
	letter, year, counter, err := ident.Parts(serial)
	if err != nil {
		return models.SerialRoll{}, fmt.Errorf("parts of serial %s: %w", serial, err)
	}
	roll, err := s.store.RollFor(ctx, string(letter), year, counter)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return models.SerialRoll{}, &unknownSerialError{serial: serial}
	case err != nil:
		return models.SerialRoll{}, fmt.Errorf("find the roll of serial %s: %w", serial, err)
	}
	return roll, nil
}

// firstScan makes the item of a printed serial, as an instance of a product.
func (s *Service) firstScan(ctx context.Context, sub models.Submission, serial string, roll models.SerialRoll, productID string) (target, error) {
	product, err := s.store.Product(ctx, productID)
	if errors.Is(err, models.ErrNotFound) {
		return target{}, models.Invalid("product", "unknown_product", "product", productID)
	}
	if err != nil {
		return target{}, fmt.Errorf("product of serial %s: %w", serial, err)
	}
	t := target{roll: &roll}
	t.Product = &product
	if t.Family, err = s.store.Family(ctx, product.FamilyID); err != nil {
		return target{}, fmt.Errorf("family of serial %s: %w", serial, err)
	}
	if kind, ok := kinds.Named(t.Family.Kind); !ok || byte(kind.Letter) != serial[0] {
		return target{}, models.Invalid("product", "product_of_other_kind", "serial", serial, "kind", t.Family.Kind)
	}
	if t.Form, err = s.store.ProductRevision(ctx, product.ID, product.Revision); err != nil {
		return target{}, fmt.Errorf("form of product %s: %w", product.Name, err)
	}
	if t.Specification, err = s.store.SpecificationInForce(ctx, product.FamilyID, &product.ID); err != nil {
		return target{}, fmt.Errorf("specification of product %s: %w", product.Name, err)
	}
	if t.Instruments, err = s.store.InstrumentsByCode(ctx, gauges(sub)); err != nil {
		return target{}, fmt.Errorf("instruments of serial %s: %w", serial, err)
	}
	tail := ident.Tail(serial)
	t.newItem = &models.Item{ID: models.NewID(), Kind: t.Family.Kind, Serial: &serial, SerialTail: &tail, FamilyID: &product.FamilyID, ProductID: &product.ID,
		State: models.StateInProcess, Origin: "roll", CreatedAt: models.Moment(s.now())}
	t.Item = *t.newItem
	return aim(t)
}

func aim(t target) (target, error) {
	kind, ok := kinds.Named(t.Family.Kind)
	if !ok {
		return target{}, fmt.Errorf("family %s is of kind %s, which is not in the catalogue", t.Family.Name, t.Family.Kind)
	}
	if t.Product == nil || (t.Form.Form == (models.ProductForm{})) {
		return target{}, models.Invalid("serial", "item_without_product", "serial", t.Item.Name())
	}
	t.kind = kind
	return t, nil
}
