package capture

import (
	"context"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// places refuses blocks that cannot stand in a pack as they are named: at a place
// that it does not have, two at one place, one at two, more of them than places.
// before is what is in the pack already, fitted what was named, row by row.
func places(form models.PackForm, before, fitted []models.FittedPart, invalid *models.InvalidError) {
	at, of := map[string]string{}, map[string]string{} // place -> block, block -> place
	for _, p := range before {
		if p.Role != models.KindBlock || p.PartID == nil {
			continue
		}
		if of[*p.PartID] = p.Place; p.Place != "" {
			at[p.Place] = *p.PartID
		}
	}
	has := kinds.BlockPlaces(form)
	for i, p := range fitted {
		if p.Role != models.KindBlock {
			continue
		}
		field := fmt.Sprintf("parts[%d].place", i)
		if p.Place != "" && !has[p.Place] {
			invalid.Add(field, "no_place_of_pack", "place", models.Shortened(p.Place))
			continue
		}
		if p.PartID == nil {
			continue
		}
		block := *p.PartID
		if other, taken := at[p.Place]; p.Place != "" && taken && other != block {
			invalid.Add(field, "place_twice", "place", p.Place)
			continue
		}
		// That it has a place is said better by whoever names it now.
		if before, known := of[block]; known && before != "" && before != p.Place {
			invalid.Add(field, "block_at_other_place", "place", before)
			continue
		}
		if of[block] = p.Place; p.Place != "" {
			at[p.Place] = block
		}
	}
	if len(of) > len(has) {
		invalid.Add("parts", "pack_size", "got", fmt.Sprint(len(of)), "want", fmt.Sprint(len(has)))
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
