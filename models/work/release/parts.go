package release

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// blockByPartsAside holds back an item with a part in it that is set aside,
// blockByPartsElsewhere one with a part that is recorded in another item too.
func (s *Service) blockByPartsAside(ctx context.Context, c *candidate) error {
	return blockByFound(ctx, c, "part_set_aside", s.store.PartsSetAside)
}

func (s *Service) blockByPartsElsewhere(ctx context.Context, c *candidate) error {
	return blockByFound(ctx, c, "part_elsewhere", s.store.PartsElsewhere)
}

func blockByFound(ctx context.Context, c *candidate, code string, find func(context.Context, string) ([]models.Item, error)) error {
	found, err := find(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("parts of %s: %w", c.item.Name(), err)
	}
	for _, part := range found {
		c.block(code, "number", part.Name())
	}
	return nil
}

// blockByLots holds back an item with a lot in it that is set aside.
func (s *Service) blockByLots(ctx context.Context, c *candidate) error {
	aside, err := s.store.LotsSetAside(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("lots in %s: %w", c.item.Name(), err)
	}
	for _, lot := range aside {
		c.block("lot_in_quarantine", "lot", lot.Code)
	}
	return nil
}

// blockByBlocks holds back a pack whose blocks cannot stand as they are recorded:
// two at one place, one at two, at a place that the pack has not, more of them
// than it has places, of another model than its form names. Blocks known by their lot alone have no place. A pack
// that names its block model is built of blocks that are known, by their number
// or at least by their lot.
func (s *Service) blockByBlocks(ctx context.Context, c *candidate) error {
	if c.judged == nil || c.item.Kind != models.KindPack || c.judged.Inspection.ProductRevision == nil {
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
	if err := s.blockByDoubts(ctx, c, models.Present(parts)); err != nil {
		return err
	}
	if form := revision.Form.Pack; form != nil {
		return s.blockByPlaces(ctx, c, *form, parts)
	}
	return nil
}

// blockByDoubts holds back a pack with a block in it that the stock did not offer
// when it was fitted, as one that loses charge, until somebody releases the block.
func (s *Service) blockByDoubts(ctx context.Context, c *candidate, parts []models.PartView) error {
	if s.against == nil {
		return nil
	}
	fitted, name := make([]models.FittedPart, len(parts)), map[string]string{}
	for i, p := range parts {
		if fitted[i] = p.FittedPart; p.PartID != nil {
			name[*p.PartID] = p.Number
		}
	}
	against, err := s.against(ctx, fitted)
	if err != nil {
		return fmt.Errorf("what the stock had against blocks of %s: %w", c.item.Name(), err)
	}
	for _, p := range fitted {
		if p.PartID != nil && len(against[*p.PartID]) > 0 {
			c.block("part_doubtful", "number", name[*p.PartID], "against", models.Codes(against[*p.PartID]))
		}
	}
	return nil
}

// blockByRemovals holds back what was rebuilt since its readings: they show it
// as it was.
func (s *Service) blockByRemovals(ctx context.Context, c *candidate) error {
	if c.judged == nil {
		return nil
	}
	removed, err := s.store.RemovalsOf(ctx, c.item.ID)
	if err != nil || len(removed) == 0 {
		return err
	}
	read, err := models.FirstRead(ctx, c.judged.Inspection, s.store.Inspection)
	if err != nil {
		return err
	}
	if models.RebuiltSince(removed, read) {
		c.block("rebuilt_since")
	}
	return nil
}

func (s *Service) blockByPlaces(ctx context.Context, c *candidate, form models.PackForm, parts []models.PartView) error {
	var ids []string
	parts = models.Present(parts)
	fitted := make([]models.FittedPart, len(parts))
	for i, p := range parts {
		if fitted[i] = p.FittedPart; p.Role == models.KindBlock && p.PartID != nil {
			ids = append(ids, *p.PartID)
		}
	}
	for _, m := range kinds.MisplacedBlocks(form, nil, fitted) {
		switch {
		case m.Row < 0:
			c.block("blocks_too_many", m.Values...)
		case m.Code == kinds.NoPlaceOfPack:
			c.block("part_place_unknown", "place", parts[m.Row].Place, "number", parts[m.Row].Number)
		case m.Code == kinds.BlockAtOtherPlace:
			c.block("part_twice", "number", parts[m.Row].Number)
		default:
			c.block(m.Code, m.Values...)
		}
	}
	if form.BlockProduct == "" {
		return nil
	}
	if got, want := kinds.BlocksKnown(form, fitted); got < want {
		c.block("blocks_unknown", "got", fmt.Sprint(got), "want", fmt.Sprint(want))
	}
	if len(ids) == 0 {
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

// blockByCharge holds back what was charged since its readings, or is, itself or
// a block in it: they do not show it as it is. So does a discharge since, or one
// that no charge followed: a rested voltage after it is none of a full pack. So does a charge that was written
// down after the readings were judged and contradicts the rest they name.
func (s *Service) blockByCharge(ctx context.Context, c *candidate) error {
	if c.item.Kind != models.KindPack || c.judged == nil {
		return nil
	}
	charges, err := s.store.ChargesReaching(ctx, c.item.ID)
	if err != nil {
		return fmt.Errorf("charges of %s: %w", c.item.Name(), err)
	}
	read, err := models.FirstRead(ctx, c.judged.Inspection, s.store.Inspection)
	if err != nil {
		return err
	}
	switch what, discharge := models.SinceRead(charges, c.item.ID, read); what {
	case models.NothingSinceRead:
	case models.EmptiedSince:
		c.block(what, "date", discharge.End.EndedAt.In(s.zone(ctx)).Format(time.DateOnly))
		return nil
	default:
		c.block(what)
		return nil
	}
	rest, known := kinds.RestAt(charges, read)
	i := c.judged.Inspection
	if !known || !rest.Charge.EnteredAt.After(i.ReceivedAt) && !rest.Charge.End.EnteredAt.After(i.ReceivedAt) {
		return nil
	}
	if judged, code, values := rest.Against(i.Conditions); code != "" && judged.RestHours == rest.Text() {
		c.block(code, values...)
	}
	return nil
}
