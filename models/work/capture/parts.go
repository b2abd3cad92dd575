package capture

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
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
			item, code, err := s.numbered(ctx, sent.Number)
			if err != nil {
				return nil, err
			}
			if code != "" {
				invalid.Add(field+".number", code, "number", models.Shortened(sent.Number))
			}
			part.PartID = &item.ID
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

// numbered finds a motor or block by its maker's number; code names the
// problem when there is none, or more than one.
func (s *Service) numbered(ctx context.Context, number string) (item models.Item, code string, err error) {
	found, err := s.store.ItemsByMakerNumber(ctx, number, 2)
	if err != nil {
		return models.Item{}, "", fmt.Errorf("find part %s: %w", number, err)
	}
	switch len(found) {
	case 0:
		return models.Item{}, "unknown_number", nil
	case 1:
		return found[0], "", nil
	}
	return models.Item{}, "number_not_unique", nil
}
