package receive

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// MakeLabelled makes the item that carries a label of a printed roll, before
// anything is read on it. productID is for a roll that names no product. Asked
// again for the same label it gives the item that there is.
func (s *Service) MakeLabelled(ctx context.Context, actor models.Actor, typed, productID string) (models.Item, error) {
	serial, err := ident.Normalise(typed)
	if errors.Is(err, ident.ErrCheck) {
		return models.Item{}, models.Invalid("serial", "serial_check", "serial", models.Shortened(typed))
	}
	if err != nil {
		return models.Item{}, models.Invalid("serial", "serial_form", "serial", models.Shortened(typed))
	}
	there, err := s.store.ItemBySerial(ctx, serial)
	if !errors.Is(err, models.ErrNotFound) {
		return there, err
	}
	letter, year, counter, err := ident.Parts(serial)
	if err != nil {
		return models.Item{}, fmt.Errorf("parts of serial %s: %w", serial, err)
	}
	roll, err := s.store.RollFor(ctx, string(letter), year, counter)
	if errors.Is(err, models.ErrNotFound) {
		return models.Item{}, models.Invalid("serial", "unknown_serial", "serial", ident.Print(serial))
	}
	if err != nil {
		return models.Item{}, fmt.Errorf("find the roll of serial %s: %w", serial, err)
	}
	if roll.ProductID != nil {
		productID = *roll.ProductID
	}
	if productID == "" {
		return models.Item{}, models.Invalid("product", "product_of_roll_missing", "serial", serial)
	}
	product, err := s.product(ctx, productID)
	if err != nil {
		return models.Item{}, err
	}
	family, err := s.store.Family(ctx, product.FamilyID)
	if err != nil {
		return models.Item{}, fmt.Errorf("family of product %s: %w", product.Name, err)
	}
	if kind, ok := kinds.Named(family.Kind); !ok || byte(kind.Letter) != serial[0] {
		return models.Item{}, models.Invalid("product", "product_of_other_kind", "serial", serial, "kind", family.Kind)
	}
	stamp, tail := models.NewStamp(actor, s.now()), ident.Tail(serial)
	item, err := s.store.AddItem(ctx, stamp, models.Item{ID: models.NewID(), Kind: family.Kind, Serial: &serial, SerialTail: &tail, FamilyID: &family.ID, ProductID: &product.ID,
		State: models.StateInProcess, Origin: "roll", CreatedAt: stamp.At, CreatedBy: actor.String()}, nil)
	if errors.Is(err, models.ErrConflict) { // Scanned elsewhere a moment ago.
		return s.store.ItemBySerial(ctx, serial)
	}
	return item, err
}
