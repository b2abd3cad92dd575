package release

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
)

// blockByParts holds back an item with a lot or part in it that is set aside, or
// a part that is recorded in another item too, and a pack whose blocks cannot stand as they are recorded:
// two at one place, one at two, at a place that the pack has not, of another
// model than its form names. Blocks known by their lot alone have no place.
func (s *Service) blockByParts(ctx context.Context, c *candidate) error {
	for _, x := range []struct {
		code string
		find func(context.Context, string) ([]models.Item, error)
	}{{"part_set_aside", s.store.PartsSetAside}, {"part_elsewhere", s.store.PartsElsewhere}} {
		found, err := x.find(ctx, c.item.ID)
		if err != nil {
			return fmt.Errorf("parts of %s: %w", c.item.Name(), err)
		}
		for _, part := range found {
			c.block(x.code, "number", part.Name())
		}
	}
	aside, err := s.store.LotsSetAside(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("lots in %s: %w", c.item.Name(), err)
	}
	for _, lot := range aside {
		c.block("lot_in_quarantine", "lot", lot.Code)
	}
	if c.item.Kind != models.KindPack || c.judged == nil || c.judged.Inspection.ProductRevision == nil {
		return nil
	}
	revision, err := s.store.ProductRevision(ctx, *c.item.ProductID, *c.judged.Inspection.ProductRevision)
	if err != nil {
		return fmt.Errorf("form of %s: %w", c.item.Name(), err)
	}
	parts, err := s.store.Parts(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("parts of %s: %w", c.item.Name(), err)
	}
	if form := revision.Form.Pack; form != nil {
		if err := s.blockByPlaces(ctx, c, *form, parts); err != nil {
			return err
		}
	}
	return nil
}

func (s *Service) blockByPlaces(ctx context.Context, c *candidate, form models.PackForm, parts []models.PartView) error {
	places := map[string]bool{"": true}
	for str := 1; str <= form.Strings; str++ {
		for n := 1; n <= form.Blocks; n++ {
			places[models.Block(str, n).Key()] = true
		}
	}
	at, of := map[string]string{}, map[string]string{} // place -> block, block -> place
	var ids []string
	for _, p := range parts {
		if p.Role != models.KindBlock || p.PartID == nil {
			continue
		}
		if !places[p.Place] {
			c.block("part_place_unknown", "place", p.Place, "number", p.Number)
		}
		if other, taken := at[p.Place]; p.Place != "" && taken && other != *p.PartID {
			c.block("place_twice", "place", p.Place)
		}
		if other, known := of[*p.PartID]; known && other != p.Place {
			c.block("part_twice", "number", p.Number)
		}
		at[p.Place], of[*p.PartID] = *p.PartID, p.Place
		ids = append(ids, *p.PartID)
	}
	if form.BlockProduct == "" || len(ids) == 0 {
		return nil
	}
	slices.Sort(ids)
	items, err := s.store.ItemsByID(ctx, slices.Compact(ids))
	if err != nil {
		return fmt.Errorf("blocks of %s: %w", c.item.Name(), err)
	}
	for _, i := range items {
		if i.ProductID != nil && *i.ProductID != form.BlockProduct { // Of one without a product nobody knows.
			c.block("part_of_other_model", "number", i.Name(), "model", form.BlockModel)
		}
	}
	return nil
}

// blockByCharge holds back what was charged since its readings, or is: they do
// not show it as it is.
func (s *Service) blockByCharge(ctx context.Context, c *candidate) error {
	if c.item.Kind != models.KindPack || c.judged == nil {
		return nil
	}
	charges, err := s.store.ChargesOf(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("charges of %s: %w", c.item.Name(), err)
	}
	read, err := models.FirstRead(ctx, c.judged.Inspection, s.store.Inspection)
	if err != nil {
		return err
	}
	for _, charge := range charges {
		if charge.End == nil {
			c.block("on_charge")
			return nil
		}
		if !charge.End.EndedAt.Before(read) {
			c.block("charged_since")
			return nil
		}
	}
	return nil
}
