package kinds

import (
	"fmt"

	"tracewright/models"
)

// Misplaced is why a block cannot stand in a pack as it is named.
type Misplaced struct {
	Row    int // of the blocks named; -1 for all of them together
	Code   string
	Values []string // name, value pairs
}

// Codes of what is misplaced, beside pack_size.
const (
	NoPlaceOfPack     = "no_place_of_pack"
	PlaceTwice        = "place_twice"
	BlockAtOtherPlace = "block_at_other_place"
)

// MisplacedBlocks finds blocks that cannot stand in a pack as they are named: at
// a place that it does not have, two at one place, one at two, more of them than
// places. before is what is in the pack already, fitted what is named now, row by
// row; parts of other roles are passed over.
func MisplacedBlocks(form models.PackForm, before, fitted []models.FittedPart) []Misplaced {
	at, of := map[string]string{}, map[string]string{} // place -> block, block -> place
	for _, p := range before {
		if p.Role != models.KindBlock || p.PartID == nil {
			continue
		}
		if of[*p.PartID] = p.Place; p.Place != "" {
			at[p.Place] = *p.PartID
		}
	}
	var found []Misplaced
	has := BlockPlaces(form)
	for i, p := range fitted {
		if p.Role != models.KindBlock {
			continue
		}
		if p.Place != "" && !has[p.Place] {
			found = append(found, Misplaced{i, NoPlaceOfPack, []string{"place", models.Shortened(p.Place)}})
			continue
		}
		if p.PartID == nil {
			continue
		}
		block := *p.PartID
		if other, taken := at[p.Place]; p.Place != "" && taken && other != block {
			found = append(found, Misplaced{i, PlaceTwice, []string{"place", p.Place}})
			continue
		}
		// That it has a place is said better by whoever names it now.
		if before, known := of[block]; known && before != "" && before != p.Place {
			found = append(found, Misplaced{i, BlockAtOtherPlace, []string{"place", before}})
			continue
		}
		if of[block] = p.Place; p.Place != "" {
			at[p.Place] = block
		}
	}
	if len(of) > len(has) {
		found = append(found, Misplaced{-1, "pack_size", []string{"got", fmt.Sprint(len(of)), "want", fmt.Sprint(len(has))}})
	}
	return found
}
