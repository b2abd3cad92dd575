package capture

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// places notes blocks that cannot stand in a pack as they are named.
func places(form models.PackForm, before, fitted []models.FittedPart, invalid *models.InvalidError) {
	for _, m := range kinds.MisplacedBlocks(form, before, fitted) {
		field := "parts"
		if m.Row >= 0 {
			field = fmt.Sprintf("parts[%d].place", m.Row)
		}
		invalid.Add(field, m.Code, m.Values...)
	}
}

// blocks checks the blocks that a submission builds into a pack, and says where
// the form names their model and some are not known: such a pack does not go out.
// sent are those that it names, row by row; fitted what comes of them, never what
// a correction says was not in it.
func (s *Service) blocks(ctx context.Context, t target, sent, fitted []models.FittedPart, never []models.PartRemoval, invalid *models.InvalidError) ([]models.Remark, error) {
	form := t.Form.Form.Pack
	if form == nil || form.BlockProduct == "" && len(fitted) == 0 {
		return nil, nil
	}
	var before []models.FittedPart
	if t.newItem == nil {
		parts, err := s.store.Parts(ctx, t.Item.ID)
		if err != nil {
			return nil, fmt.Errorf("parts of %s: %w", t.Item.Name(), err)
		}
		for _, p := range models.Present(parts) {
			if !slices.ContainsFunc(never, func(r models.PartRemoval) bool { return r.FittedID == p.ID }) {
				before = append(before, p.FittedPart)
			}
		}
	}
	if len(sent) > 0 {
		others := slices.DeleteFunc(slices.Clone(before), func(p models.FittedPart) bool {
			return slices.ContainsFunc(sent, func(x models.FittedPart) bool { return samePart(x, p) })
		})
		places(*form, others, sent, invalid)
	}
	if got, want := kinds.BlocksKnown(*form, append(before, fitted...)); got < want {
		return []models.Remark{models.NewRemark("blocks_unknown", "got", fmt.Sprint(got), "want", fmt.Sprint(want))}, nil
	}
	return nil, nil
}

// oneMotor refuses a second motor in a wheel: another is taken out there first, or
// put right where it was named.
func (s *Service) oneMotor(ctx context.Context, t target, corrected *models.Inspection, fitted []models.FittedPart, invalid *models.InvalidError) error {
	motor := func(p models.FittedPart) bool { return p.Role == models.KindMotor && p.PartID != nil }
	if !slices.ContainsFunc(fitted, motor) {
		return nil
	}
	var in []models.FittedPart
	if t.newItem == nil {
		parts, err := s.store.Parts(ctx, t.Item.ID)
		if err != nil {
			return fmt.Errorf("parts of %s: %w", t.Item.Name(), err)
		}
		for _, p := range models.Present(parts) {
			if motor(p.FittedPart) && (corrected == nil || !p.FittedAt.Equal(corrected.ReceivedAt)) {
				in = append(in, p.FittedPart)
			}
		}
	}
	for i, p := range fitted {
		if !motor(p) {
			continue
		}
		if slices.ContainsFunc(in, func(x models.FittedPart) bool { return *x.PartID != *p.PartID }) {
			invalid.Add(fmt.Sprintf("parts[%d].number", i), "place_taken")
		}
		in = append(in, p)
	}
	return nil
}
