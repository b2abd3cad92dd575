package capture

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

// parts finds the lots and serialised parts named at the stand.
func (s *Service) parts(ctx context.Context, a arrival, t target, corrected *models.Inspection, person string, invalid *models.InvalidError) ([]models.FittedPart, error) {
	if len(a.sub.Parts) == 0 {
		return nil, nil
	}
	lots, err := s.lots(ctx, a.sub.Parts)
	if err != nil {
		return nil, err
	}
	inHand := []string{t.Item.ID} // what parts may be in already
	if corrected != nil {
		inHand = append(inHand, corrected.ItemID)
	}
	var fitted []models.FittedPart
	for i, sent := range a.sub.Parts {
		field := fmt.Sprintf("parts[%d]", i)
		part := models.FittedPart{ID: models.NewID(), ItemID: t.Item.ID, Role: sent.Role, Place: sent.Place, Quantity: max(1, sent.Quantity), FittedAt: a.received, FittedBy: person}
		if !slices.Contains(models.PartRoles, sent.Role) {
			invalid.Add(field+".role", "unknown_role", "role", models.Shortened(sent.Role))
		}
		if fault := models.PlaceFault(sent.Place); fault != "" {
			invalid.Add(field+".place", fault, "most", fmt.Sprint(models.LongestPlace))
		}
		switch {
		case (sent.Lot == "") == (sent.Number == ""):
			invalid.Add(field, "lot_or_number")
		case sent.Lot != "":
			lot, ok := lots[sent.Lot]
			if !ok {
				invalid.Add(field+".lot", "unknown_lot", "lot", models.Shortened(sent.Lot))
			}
			part.LotID, part.Reason = &lot.ID, strings.TrimSpace(sent.Reason)
			if ok {
				lot.check(sent.Role, field+".lot", invalid)
			}
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
			if code := models.PartFault(item, sent.Role); code != "" {
				invalid.Add(field+".number", code, "number", models.Shortened(item.Name()))
				break
			}
			if err := s.fittable(ctx, item, t, inHand, fitted, field+".number", invalid); err != nil {
				return nil, err
			}
		}
		fitted = append(fitted, part)
	}
	return fitted, s.oneMotor(ctx, t, corrected, fitted, invalid)
}

// namedLot is a lot with what speaks against fitting it.
type namedLot struct {
	models.Lot
	roles []string // that its material may fill; none: not said
	name  string   // of its material
	stop  *models.LotStop
}

// check notes why a lot may not be fitted in a role: it is in quarantine or went
// back, or a lot in it is; or its material belongs elsewhere, as of a label that
// was scanned by mistake.
func (l namedLot) check(role, field string, invalid *models.InvalidError) {
	switch {
	case l.stop != nil:
		invalid.Add(field, "lot_set_aside", "lot", l.stop.Code)
	case len(l.roles) > 0 && !slices.Contains(l.roles, role):
		invalid.Add(field, "lot_of_other_use", "lot", l.Code, "name", l.name)
	}
}

func (s *Service) lots(ctx context.Context, parts []models.SentPart) (map[string]namedLot, error) {
	var codes []string
	for _, p := range parts {
		if p.Lot != "" && !slices.Contains(codes, p.Lot) {
			codes = append(codes, p.Lot)
		}
	}
	byCode := map[string]namedLot{}
	if len(codes) == 0 {
		return byCode, nil
	}
	found, err := s.store.LotsByCode(ctx, codes)
	if err != nil {
		return nil, fmt.Errorf("find lots: %w", err)
	}
	ids := make([]string, len(found))
	for i, l := range found {
		ids[i] = l.ID
	}
	stops, err := s.store.LotStops(ctx, ids)
	if err != nil {
		return nil, fmt.Errorf("what was decided about lots: %w", err)
	}
	materials, err := s.store.Materials(ctx)
	if err != nil {
		return nil, fmt.Errorf("materials of lots: %w", err)
	}
	for _, code := range codes {
		l, ok := models.CodedAs(found, code)
		if !ok {
			continue
		}
		named := namedLot{Lot: l}
		if i := slices.IndexFunc(stops, func(x models.LotStop) bool { return x.LotID == l.ID }); i >= 0 {
			named.stop = &stops[i]
		}
		if i := slices.IndexFunc(materials, func(m models.Material) bool { return m.Code == l.Material }); i >= 0 {
			named.roles, named.name = materials[i].Roles, materials[i].Name
		}
		byCode[code] = named
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
	number := ident.MakersNumber(named.Number)
	found, err := s.store.ItemsByMakerNumber(ctx, number, most)
	if err != nil {
		return models.Item{}, "", fmt.Errorf("find part %s: %w", named.Number, err)
	}
	found = slices.DeleteFunc(found, func(i models.Item) bool {
		return !named.Fits(i)
	})
	item, code = models.OnlyItem(models.WrittenSo(found, number))
	return item, code, nil
}

// toCorrect finds the inspection that a submission replaces, nil for none; one
// that is not there is said where the correction is looked at.
func (s *Service) toCorrect(ctx context.Context, sub models.Submission) (*models.Inspection, error) {
	if sub.Corrects == "" {
		return nil, nil
	}
	i, err := s.store.Inspection(ctx, sub.Corrects)
	if errors.Is(err, models.ErrNotFound) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("the inspection to be replaced: %w", err)
	}
	return &i, nil
}

// fittable refuses a part that is in another item than those in hand or named
// twice here, and a block that is set aside, by itself or with its lot, or of
// another model than the pack is made of.
func (s *Service) fittable(ctx context.Context, item models.Item, t target, inHand []string, before []models.FittedPart, field string, invalid *models.InvalidError) error {
	number, twice, elsewhere := models.Shortened(item.Name()), "part_named_twice", "part_in_already"
	if item.Kind == models.KindBlock {
		twice, elsewhere = "block_twice", "block_elsewhere"
	}
	if slices.ContainsFunc(before, func(p models.FittedPart) bool { return p.PartID != nil && *p.PartID == item.ID }) {
		invalid.Add(field, twice, "number", number)
		return nil
	}
	if form := t.Form.Form.Pack; form != nil && form.BlockProduct != "" && item.ProductID != nil && *item.ProductID != form.BlockProduct { // Of one without a product nobody knows.
		invalid.Add(field, "part_of_other_model", "number", number, "model", form.BlockModel)
		return nil
	}
	switch decided, err := s.store.Disposition(ctx, item.ID); {
	case err == nil && decided.Decision == models.Quarantine:
		invalid.Add(field, "block_set_aside", "number", number)
		return nil
	case err != nil && !errors.Is(err, models.ErrNotFound):
		return fmt.Errorf("what was decided about %s: %w", item.Name(), err)
	}
	stops, err := s.store.BlockLotStops(ctx, item.ID)
	if err != nil {
		return fmt.Errorf("what was decided about the lot of %s: %w", item.Name(), err)
	}
	if len(stops) > 0 {
		invalid.Add(field, "lot_set_aside", "lot", stops[0].Code)
		return nil
	}
	places, err := s.store.FittedInto(ctx, item.ID)
	if err != nil {
		return fmt.Errorf("where %s went: %w", item.Name(), err)
	}
	for _, p := range models.Present(places) {
		if slices.Contains(inHand, p.ItemID) {
			continue
		}
		other, err := s.store.Item(ctx, p.ItemID)
		if err != nil {
			return fmt.Errorf("the item that %s is in: %w", item.Name(), err)
		}
		invalid.Add(field, elsewhere, "number", number, "serial", other.Name())
		return nil
	}
	return nil
}
