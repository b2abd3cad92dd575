package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// parts finds the lots and serialised parts named at the stand.
func (s *Service) parts(ctx context.Context, a arrival, t target, person string, invalid *models.InvalidError) ([]models.FittedPart, error) {
	if len(a.sub.Parts) == 0 {
		return nil, nil
	}
	lots, err := s.lots(ctx, a.sub.Parts)
	if err != nil {
		return nil, err
	}
	var fitted []models.FittedPart
	for i, sent := range a.sub.Parts {
		field := fmt.Sprintf("parts[%d]", i)
		part := models.FittedPart{ID: models.NewID(), ItemID: t.Item.ID, Role: sent.Role, Place: sent.Place, Quantity: max(1, sent.Quantity), FittedAt: a.received, FittedBy: person}
		if !slices.Contains(models.PartRoles, sent.Role) {
			invalid.Add(field+".role", "unknown_role", "role", models.Shortened(sent.Role))
		}
		switch {
		case (sent.Lot == "") == (sent.Number == ""):
			invalid.Add(field, "lot_or_number")
		case sent.Lot != "":
			lot, ok := lots[sent.Lot]
			if !ok {
				invalid.Add(field+".lot", "unknown_lot", "lot", models.Shortened(sent.Lot))
			}
			part.LotID = &lot.ID
		default:
			item, code, err := s.numbered(ctx, models.PartName{Supplier: sent.Supplier, Model: sent.Model, Number: sent.Number})
			if err != nil {
				return nil, err
			}
			if code != "" {
				code, values, err := s.notThePart(ctx, code, sent.Number)
				if err != nil {
					return nil, err
				}
				invalid.Add(field+".number", code, values...)
				break
			}
			part.PartID = &item.ID
			if err := s.fittable(ctx, item, t, fitted, field+".number", invalid); err != nil {
				return nil, err
			}
		}
		fitted = append(fitted, part)
	}
	return fitted, nil
}

func (s *Service) lots(ctx context.Context, parts []models.SentPart) (map[string]models.Lot, error) {
	var codes []string
	for _, p := range parts {
		if p.Lot != "" && !slices.Contains(codes, p.Lot) {
			codes = append(codes, p.Lot)
		}
	}
	byCode := map[string]models.Lot{}
	if len(codes) == 0 {
		return byCode, nil
	}
	found, err := s.store.LotsByCode(ctx, codes)
	if err != nil {
		return nil, fmt.Errorf("find lots: %w", err)
	}
	for _, l := range found {
		byCode[l.Code] = l
	}
	return byCode, nil
}

// numbered finds a motor or block by its maker's number, or a block by its
// serial; code names the problem when there is none, or more than one.
func (s *Service) numbered(ctx context.Context, named models.PartName) (item models.Item, code string, err error) {
	if serial, err := ident.Normalise(named.Number); err == nil && ident.KindOf(serial) == ident.Block {
		item, err := s.store.ItemBySerial(ctx, serial)
		if errors.Is(err, models.ErrNotFound) {
			return models.Item{}, "unknown_number", nil
		}
		if err != nil {
			return models.Item{}, "", fmt.Errorf("find block %s: %w", serial, err)
		}
		return item, "", nil
	}
	const most = 50 // suppliers and models that share a number
	found, err := s.store.ItemsByMakerNumber(ctx, ident.WithoutPrefix(named.Number), most)
	if err != nil {
		return models.Item{}, "", fmt.Errorf("find part %s: %w", named.Number, err)
	}
	found = slices.DeleteFunc(found, func(i models.Item) bool {
		return named.Supplier != "" && i.Supplier != named.Supplier || named.Model != "" && i.Model != named.Model
	})
	item, code = models.OnlyItem(found)
	return item, code, nil
}

// fittable refuses a block that is set aside, in another item already, or named
// twice here.
func (s *Service) fittable(ctx context.Context, item models.Item, t target, before []models.FittedPart, field string, invalid *models.InvalidError) error {
	if item.Kind != models.KindBlock {
		return nil
	}
	if slices.ContainsFunc(before, func(p models.FittedPart) bool { return p.PartID != nil && *p.PartID == item.ID }) {
		invalid.Add(field, "block_twice", "number", models.Shortened(item.Name()))
		return nil
	}
	switch decided, err := s.store.Disposition(ctx, item.ID); {
	case err == nil && decided.Decision == models.Quarantine:
		invalid.Add(field, "block_set_aside", "number", models.Shortened(item.Name()))
		return nil
	case err != nil && !errors.Is(err, models.ErrNotFound):
		return fmt.Errorf("what was decided about block %s: %w", item.Name(), err)
	}
	places, err := s.store.FittedInto(ctx, item.ID)
	if err != nil {
		return fmt.Errorf("where block %s went: %w", item.Name(), err)
	}
	for _, p := range places {
		if p.ItemID == t.Item.ID {
			continue
		}
		other, err := s.store.Item(ctx, p.ItemID)
		if err != nil {
			return fmt.Errorf("the item block %s is in: %w", item.Name(), err)
		}
		invalid.Add(field, "block_elsewhere", "number", models.Shortened(item.Name()), "serial", other.Name())
		return nil
	}
	return nil
}
