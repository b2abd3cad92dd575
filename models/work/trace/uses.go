package trace

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/genealogy"
)

// Uses is where a lot or a part went.
type Uses struct {
	Lot  *models.Lot  // what was asked for: a lot,
	Part *models.Item // or a part

	Rows   []Use // the last fitted first
	Pieces int   // of it that are built in, all in all
	Loops  [][]models.Item
	People map[string]string // names by id
}

// Use is one item that holds it, or holds something that does.
type Use struct {
	Item     models.Item
	Product  string
	Pieces   int           // of it, fitted into this item itself; 0 where it came with a part
	Left     int           // of these, in it now
	Possibly bool          // it holds pieces of a bin that the lot was mixed into, and none that are surely of it
	Within   []models.Item // what this item is built into in its turn, now
	FittedAt time.Time
	FittedBy string
	Reasons  []string // why more of the lot was fitted than it had
}

// UsesOfLot follows a lot, named by its code, into every item that holds it.
func (s *Service) UsesOfLot(ctx context.Context, code string) (Uses, error) {
	lot, err := s.store.LotByCode(ctx, code)
	if err != nil {
		return Uses{}, fmt.Errorf("lot %.40q: %w", code, err)
	}
	traced, err := s.store.OutputsOfLot(ctx, lot.ID)
	if err != nil {
		return Uses{}, fmt.Errorf("where lot %s went: %w", code, err)
	}
	out := Uses{Lot: &lot}
	return out, s.fillUses(ctx, &out, lot.ID, traced)
}

// UsesOfPart follows an item, by its id or its serial, into what it was built
// into.
func (s *Service) UsesOfPart(ctx context.Context, idOrSerial string) (Uses, error) {
	part, err := s.one(ctx, idOrSerial)
	if err != nil {
		return Uses{}, err
	}
	traced, err := s.store.OutputsOfPart(ctx, part.ID)
	if err != nil {
		return Uses{}, fmt.Errorf("where %s went: %w", part.Name(), err)
	}
	out := Uses{Part: &part}
	return out, s.fillUses(ctx, &out, part.ID, traced)
}

// fillUses makes a row of each item reached, and says where the records lead
// back to themselves.
func (s *Service) fillUses(ctx context.Context, out *Uses, from string, traced models.Traced) error {
	items := byID(traced.Items)
	rows, order := map[string]*Use{}, []string{}
	named := map[string]bool{} // items that name the lot: its blocks among their parts are the same pieces
	for _, f := range traced.Fitted {
		if key(f) == from {
			named[f.ItemID] = true
		}
	}
	for i := len(traced.Fitted) - 1; i >= 0; i-- {
		f := traced.Fitted[i]
		row := rows[f.ItemID]
		if row == nil {
			row = &Use{Item: items[f.ItemID], FittedAt: f.FittedAt, FittedBy: f.FittedBy}
			rows[f.ItemID], order = row, append(order, f.ItemID)
		}
		if key(f) == from || origin(from, items, f) == from && !named[f.ItemID] {
			row.Pieces += f.Quantity
			row.Left += f.Left()
			out.Pieces += f.Quantity
			if f.Reason != "" {
				row.Reasons = append(row.Reasons, f.Reason)
			}
		}
	}
	for _, f := range traced.Fitted {
		if f.InNow() && f.PartID != nil && rows[*f.PartID] != nil {
			rows[*f.PartID].Within = append(rows[*f.PartID].Within, items[f.ItemID])
		}
	}
	names := map[string]string{}
	for _, id := range order {
		row := rows[id]
		var err error
		if row.Product, err = s.productName(ctx, names, row.Item.ProductID); err != nil {
			return err
		}
		out.Rows = append(out.Rows, *row)
	}
	certain := genealogy.NewGraph(uses(from, traced, false)).Outputs(from).Reached
	for i := range out.Rows {
		_, found := slices.BinarySearch(certain, out.Rows[i].Item.ID)
		out.Rows[i].Possibly = !found
	}
	for _, loop := range genealogy.NewGraph(uses(from, traced, true)).Outputs(from).Loops {
		var through []models.Item
		for _, id := range loop {
			through = append(through, items[id])
		}
		out.Loops = append(out.Loops, through)
	}
	var err error
	out.People, err = s.names(ctx)
	return err
}

// key is what was fitted: a lot's id or a part's.
func key(f models.PartView) string {
	if f.LotID != nil {
		return *f.LotID
	}
	return *f.PartID
}

// origin is what a fitting of a trace leads on from: what was fitted; of a block
// that came in by the lot that the trace began with, that lot. Such a block is
// told by being no item that the trace reached.
func origin(from string, items map[string]models.Item, f models.PartView) string {
	if f.PartID == nil || *f.PartID == from {
		return key(f)
	}
	if _, reached := items[*f.PartID]; reached {
		return *f.PartID
	}
	return from
}

// uses are the fittings of a trace; the lot that it began with leads to the bins
// that it was mixed into, where these are left in.
func uses(from string, traced models.Traced, bins bool) []genealogy.Use {
	items := byID(traced.Items)
	var out []genealogy.Use
	for _, f := range traced.Fitted {
		input := origin(from, items, f)
		if f.LotID != nil && input != from {
			if !bins {
				continue
			}
			out = append(out, genealogy.Use{Input: from, Output: input})
		}
		out = append(out, genealogy.Use{Input: input, Output: f.ItemID, Quantity: f.Quantity})
	}
	return out
}

func byID(items []models.Item) map[string]models.Item {
	out := make(map[string]models.Item, len(items))
	for _, i := range items {
		out[i.ID] = i
	}
	return out
}

// productName finds the name of a product, once each.
func (s *Service) productName(ctx context.Context, known map[string]string, id *string) (string, error) {
	if id == nil {
		return "", nil
	}
	if name, ok := known[*id]; ok {
		return name, nil
	}
	product, err := s.store.Product(ctx, *id)
	if err != nil {
		return "", fmt.Errorf("product of an item: %w", err)
	}
	known[*id] = product.Name
	return product.Name, nil
}

func (s *Service) names(ctx context.Context) (map[string]string, error) {
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("names of people: %w", err)
	}
	return models.NamesOf(people), nil
}
