package trace

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"tracewright/models"
)

// Sources is everything that went into an item, as a tree.
type Sources struct {
	Item  models.Item
	Parts []Source
	// Lots and Items are how many different ones stand in the tree.
	Lots, Items int
	People      map[string]string // names by id
}

// Source is one part in the tree with what went into that.
type Source struct {
	Part  models.PartView
	Item  *models.Item // a part with a number of its own; nil for pieces of a lot
	Parts []Source
	// Possibly are the lots that pieces out of a bin may be of: those that were put
	// into it.
	Possibly []models.Lot
	// Again says that the item stands further up in the tree with its parts: a
	// part in two places, or a loop, is a wrong record.
	Again bool
}

// Sources follows an item, by its id or its serial, back to all that went into
// it.
func (s *Service) Sources(ctx context.Context, idOrSerial string) (Sources, error) {
	item, err := s.one(ctx, idOrSerial)
	if err != nil {
		return Sources{}, err
	}
	traced, err := s.store.SourcesOf(ctx, item.ID)
	if err != nil {
		return Sources{}, fmt.Errorf("what went into %s: %w", item.Name(), err)
	}
	out := Sources{Item: item}
	tree := tree{items: byID(traced.Items), fitted: map[string][]models.PartView{}, shown: map[string]bool{item.ID: true}}
	lots := map[string]bool{}
	for _, f := range traced.Fitted {
		tree.fitted[f.ItemID] = append(tree.fitted[f.ItemID], f)
		if f.LotID != nil {
			lots[*f.LotID] = true
		}
	}
	if tree.mixed, err = s.store.LotsMixedInto(ctx, slices.Sorted(maps.Keys(lots))); err != nil {
		return Sources{}, fmt.Errorf("lots of the bins in %s: %w", item.Name(), err)
	}
	out.Parts = tree.of(item.ID)
	out.Lots, out.Items = len(lots), len(tree.shown)-1
	out.People, err = s.names(ctx)
	return out, err
}

// tree hangs each item up once, so that it ends whatever the records say.
type tree struct {
	items  map[string]models.Item
	fitted map[string][]models.PartView // by the item that they went into
	mixed  map[string][]models.Lot      // by the bin
	shown  map[string]bool
}

func (t *tree) of(itemID string) []Source {
	var out []Source
	for _, f := range t.fitted[itemID] {
		source := Source{Part: f}
		if f.LotID != nil {
			source.Possibly = t.mixed[*f.LotID]
		}
		if f.PartID != nil {
			part := t.items[*f.PartID]
			source.Item = &part
			if source.Again = t.shown[part.ID]; !source.Again {
				t.shown[part.ID] = true
				source.Parts = t.of(part.ID)
			}
		}
		out = append(out, source)
	}
	return out
}
