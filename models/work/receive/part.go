package receive

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// NewPart is a motor or block as it comes in.
type NewPart struct {
	Kind        string // motor or block
	Supplier    string
	Model       string
	MakerNumber string // may be empty for a block: it then gets a serial
}

// AddPart takes in one motor or block. Its supplier is written as the register has it;
// one whose number, supplier and model read the same is taken in already.
func (s *Service) AddPart(ctx context.Context, actor models.Actor, in NewPart) (models.Item, error) {
	invalid := &models.InvalidError{}
	scanned := in.MakerNumber
	in.MakerNumber = ident.MakersNumber(scanned)
	if scan := ident.Recognise(in.MakerNumber); scan.What == ident.ScanGS1 {
		s.noNumber(ctx, scanned, invalid)
		in.MakerNumber = scan.Text
	}
	check(invalid, field{"supplier", &in.Supplier, true, longestText}, field{"model", &in.Model, true, longestText},
		field{"maker_number", &in.MakerNumber, in.Kind == models.KindMotor, longestText})
	switch in.Kind {
	case models.KindMotor, models.KindBlock:
	case "":
		invalid.Add("kind", "missing")
	default:
		invalid.Add("kind", "unknown_kind", "kind", models.Shortened(in.Kind))
	}
	// Whoever scans this number must not be led to an item of the shop.
	if _, err := ident.Normalise(in.MakerNumber); err == nil {
		invalid.Add("maker_number", "like_a_serial", "number", in.MakerNumber)
	}
	if err := invalid.OrNil(); err != nil {
		return models.Item{}, err
	}
	suppliers, err := s.Suppliers(ctx)
	if err != nil {
		return models.Item{}, err
	}
	in.Supplier = models.NamesOfSuppliers(suppliers).As(in.Supplier)
	if in.MakerNumber != "" {
		numbered, err := s.store.ItemsByMakerNumbers(ctx, []string{in.MakerNumber})
		if err != nil {
			return models.Item{}, fmt.Errorf("items with number %.40q: %w", in.MakerNumber, err)
		}
		if alike := models.OfMake(numbered, in.Supplier, in.Model, in.MakerNumber); len(alike) > 0 {
			return models.Item{}, models.Invalid("maker_number", "taken", "value", *alike[0].MakerNumber)
		}
	}
	stamp := models.NewStamp(actor, s.now())
	item := models.Item{ID: models.NewID(), Kind: in.Kind, Supplier: in.Supplier, Model: in.Model, State: models.StateInProcess,
		Origin: "received", CreatedAt: stamp.At, CreatedBy: actor.String()}
	if in.MakerNumber == "" {
		item, err = s.store.AddItemWithSerial(ctx, stamp, item, string(rune(ident.Block)), s.year2(ctx), nil)
	} else {
		item.MakerNumber = &in.MakerNumber
		item, err = s.store.AddItem(ctx, stamp, item, nil)
	}
	switch {
	case errors.Is(err, models.ErrConflict):
		return models.Item{}, models.Invalid("maker_number", "taken", "value", in.MakerNumber)
	case err != nil:
		return models.Item{}, fmt.Errorf("take in %s %s %s: %w", in.Kind, in.Supplier, in.Model, err)
	}
	return item, nil
}

// noNumber says why a GS1 code gives no maker's number.
func (s *Service) noNumber(ctx context.Context, scanned string, invalid *models.InvalidError) {
	label, _, err := s.gs1(ctx, "maker_number", scanned)
	var unread *models.InvalidError
	switch {
	case errors.As(err, &unread):
		invalid.Problems = append(invalid.Problems, unread.Problems...)
	case label.Lot != "":
		invalid.Add("maker_number", "lot_for_number", "lot", models.Shortened(label.Lot))
	default:
		invalid.Add("maker_number", "gs1_no_serial")
	}
}
