package labels

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// Items makes the labels of items, named by their serials however written, or
// by their ids.
func (s *Service) Items(ctx context.Context, named []string, ask Ask) (Batch, error) {
	b, err := s.begin(ctx, &ask)
	if err != nil {
		return Batch{}, err
	}
	if err := count(len(named)*ask.Copies, "serials"); err != nil {
		return Batch{}, err
	}
	items, err := s.items(ctx, named)
	if err != nil {
		return Batch{}, err
	}
	kind := models.LabelItem
	if ask.Hub {
		kind = models.LabelHub
	}
	of := s.describer()
	for _, item := range items {
		if item.Serial == nil {
			return Batch{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("label_kind_of_subject", "kind", item.Kind)}}
		}
		c, err := of(ctx, item.Kind, item.ProductID, item.FamilyID)
		if err != nil {
			return Batch{}, fmt.Errorf("label of %s: %w", item.Name(), err)
		}
		c.Kind, c.Code = kind, *item.Serial
		b.put(c, ask.Copies, models.LabelPrint{What: kind, SubjectID: item.ID})
	}
	return b, nil
}

// items finds what was named, in that order; every name that finds nothing is a
// problem of the field "serials".
func (s *Service) items(ctx context.Context, named []string) ([]models.Item, error) {
	invalid := &models.InvalidError{}
	serials := make([]string, len(named))
	for i, n := range named {
		serial, err := ident.Normalise(n)
		switch {
		case err == nil && slices.Contains(serials[:i], serial):
			invalid.Add("serials", "label_named_twice", "serial", serial)
		case err == nil:
			serials[i] = serial
		case errors.Is(err, ident.ErrCheck):
			invalid.Add("serials", "serial_check", "serial", models.Shortened(n))
		case len(named) > 1 || !models.IsID(n):
			invalid.Add("serials", "serial_form", "serial", models.Shortened(n))
		}
	}
	if err := invalid.OrNil(); err != nil {
		return nil, err
	}
	if len(named) == 1 && serials[0] == "" {
		item, err := s.store.Item(ctx, named[0])
		if err != nil {
			return nil, fmt.Errorf("item %s: %w", named[0], err)
		}
		return []models.Item{item}, nil
	}
	found, err := s.store.ItemsBySerial(ctx, serials)
	if err != nil {
		return nil, fmt.Errorf("items of labels: %w", err)
	}
	items := make([]models.Item, 0, len(serials))
	for _, serial := range serials {
		i := slices.IndexFunc(found, func(x models.Item) bool { return *x.Serial == serial })
		if i < 0 {
			invalid.Add("serials", "unknown_serial", "serial", serial)
			continue
		}
		items = append(items, found[i])
	}
	if len(named) == 1 && len(items) == 0 {
		return nil, fmt.Errorf("item %s: %w", serials[0], models.ErrNotFound)
	}
	return items, invalid.OrNil()
}

// Made lists the items with a serial that were made on the day that it now is
// in the shop, oldest first.
func (s *Service) Made(ctx context.Context) ([]models.Item, error) {
	now := s.now().In(s.zone(ctx))
	items, err := s.store.ItemsMade(ctx, models.DayOf(now, 0), models.DayOf(now, 1), MostAtOnce)
	if err != nil {
		return nil, fmt.Errorf("items made today: %w", err)
	}
	return items, nil
}

// describer says what an item is; what was asked for once is not asked again.
func (s *Service) describer() func(ctx context.Context, kind string, productID, familyID *string) (models.LabelContent, error) {
	known := map[string]models.LabelContent{}
	return func(ctx context.Context, kind string, productID, familyID *string) (models.LabelContent, error) {
		c := models.LabelContent{Of: kind}
		switch {
		case productID != nil:
			if c, ok := known[*productID]; ok {
				return c, nil
			}
			product, err := s.store.Product(ctx, *productID)
			if err != nil {
				return c, fmt.Errorf("product: %w", err)
			}
			revision, err := s.store.ProductForm(ctx, *productID)
			if err != nil {
				return c, fmt.Errorf("form of product %s: %w", product.Name, err)
			}
			c.Product = product.Name
			if p := revision.Form.Pack; p != nil {
				c.Chemistry, c.NominalV = p.Chemistry, p.NominalV
			}
			if b := revision.Form.Block; b != nil {
				c.Chemistry = b.Chemistry
			}
			known[*productID] = c
		case familyID != nil:
			family, err := s.store.Family(ctx, *familyID)
			if err != nil {
				return c, fmt.Errorf("family: %w", err)
			}
			c.Product = family.Name
		}
		return c, nil
	}
}

// Lot makes the label of a lot.
func (s *Service) Lot(ctx context.Context, code string, ask Ask) (Batch, error) {
	ask.Hub = false
	b, err := s.begin(ctx, &ask)
	if err != nil {
		return Batch{}, err
	}
	l, err := s.store.LotByCode(ctx, code)
	if err != nil {
		return Batch{}, fmt.Errorf("lot %.60q: %w", code, err)
	}
	material, err := s.store.Material(ctx, l.Material)
	if err != nil {
		return Batch{}, fmt.Errorf("material of lot %s: %w", l.Code, err)
	}
	c := models.LabelContent{Kind: models.LabelLot, Code: l.Code, Material: material.Name, Description: l.Description, Supplier: l.Supplier, SupplierCode: l.SupplierCode,
		ReceivedOn: l.ReceivedAt.In(s.zone(ctx)).Format(time.DateOnly)}
	b.put(c, ask.Copies, models.LabelPrint{What: models.LabelLot, SubjectID: l.ID})
	return b, nil
}

// Boxes makes the labels of a shipment's boxes, one each: as many as ask.Copies
// says, or, where it says nothing, one for each kit and one for what goes by
// itself. One of a shipment that is void is refused.
func (s *Service) Boxes(ctx context.Context, number string, ask Ask) (Batch, error) {
	sh, err := s.store.ShipmentNumbered(ctx, number)
	if err != nil {
		return Batch{}, fmt.Errorf("shipment %.40q: %w", number, err)
	}
	if sh.Void != nil {
		return Batch{}, &models.RefusedError{Reasons: []models.Remark{models.NewRemark("shipment_void", "number", sh.Number)}}
	}
	if ask.Hub = false; ask.Copies == 0 {
		if ask.Copies, err = s.boxesOf(ctx, sh); err != nil {
			return Batch{}, err
		}
	}
	b, err := s.begin(ctx, &ask)
	if err != nil {
		return Batch{}, err
	}
	b.put(models.LabelContent{Kind: models.LabelBox, Code: sh.Number, Order: sh.OrderRef, Boxes: ask.Copies}, ask.Copies, models.LabelPrint{What: models.LabelBox, SubjectID: sh.ID})
	for i := range b.Labels {
		b.Labels[i].Box = i + 1
	}
	return b, nil
}

// boxesOf counts the boxes that a shipment fills as it was packed.
func (s *Service) boxesOf(ctx context.Context, sh models.ShipmentView) (int, error) {
	items, err := s.store.ItemsByID(ctx, sh.Items)
	if err != nil {
		return 0, fmt.Errorf("items of shipment %s: %w", sh.Number, err)
	}
	boxes, loose := 0, 0
	for _, i := range items {
		if i.Kind == models.KindKit {
			boxes++
		} else {
			loose = 1
		}
	}
	return boxes + loose, nil
}

// Roll makes the labels of a roll printed ahead, from one serial to another,
// both of the roll; empty is its first and its last.
func (s *Service) Roll(ctx context.Context, id, first, last string, ask Ask) (Batch, error) {
	ask.Copies, ask.Hub = 1, false
	b, err := s.begin(ctx, &ask)
	if err != nil {
		return Batch{}, err
	}
	roll, serials, err := s.rollOf(ctx, id)
	if err != nil {
		return Batch{}, err
	}
	from, to, err := between(serials, first, last)
	if err != nil {
		return Batch{}, err
	}
	serials = serials[from : to+1]
	if err := count(len(serials), "last"); err != nil {
		return Batch{}, err
	}
	kind := ""
	for _, k := range kinds.Catalogue() {
		if string(rune(k.Letter)) == roll.Letter {
			kind = k.Name
		}
	}
	c, err := s.describer()(ctx, kind, roll.ProductID, nil)
	if err != nil {
		return Batch{}, fmt.Errorf("labels of roll %s: %w", id, err)
	}
	c.Kind = models.LabelItem
	place := b.Place
	for _, serial := range serials {
		c.Code = serial
		b.Labels = append(b.Labels, c)
	}
	b.prints = []models.LabelPrint{{What: models.PrintRoll, SubjectID: roll.ID, Size: b.Size.Code, Place: place, N: len(serials), First: serials[0], Last: serials[len(serials)-1]}}
	return b, nil
}

// rollOf finds a roll and its serials.
func (s *Service) rollOf(ctx context.Context, id string) (models.SerialRoll, []string, error) {
	rolls, err := s.store.Rolls(ctx)
	if err != nil {
		return models.SerialRoll{}, nil, fmt.Errorf("rolls: %w", err)
	}
	for _, r := range rolls {
		if r.ID != id || len(r.Letter) != 1 {
			continue
		}
		if serials := ident.Range(ident.Kind(r.Letter[0]), r.Year, r.First, r.Last); len(serials) > 0 {
			return r, serials, nil
		}
	}
	return models.SerialRoll{}, nil, fmt.Errorf("roll %.40q: %w", id, models.ErrNotFound)
}

// RollState is a roll with its serials, stored form, and its prints, oldest
// first.
type RollState struct {
	Roll    models.SerialRoll
	Serials []string
	Prints  []models.LabelPrint
}

// Next is the first serial that no print reached yet; the first one of the
// roll once all were printed.
func (r RollState) Next() string {
	next := 0
	for _, p := range r.Prints {
		next = max(next, slices.Index(r.Serials, p.Last)+1)
	}
	return r.Serials[next%len(r.Serials)]
}

// RollState gives a roll with what was printed of it.
func (s *Service) RollState(ctx context.Context, id string) (RollState, error) {
	roll, serials, err := s.rollOf(ctx, id)
	if err != nil {
		return RollState{}, err
	}
	prints, err := s.PrintsOf(ctx, roll.ID)
	return RollState{Roll: roll, Serials: serials, Prints: prints}, err
}

// between finds where a range of a roll's serials begins and ends.
func between(serials []string, first, last string) (from, to int, err error) {
	invalid := &models.InvalidError{}
	to = len(serials) - 1
	for _, x := range []struct {
		field, typed string
		at           *int
	}{{"first", first, &from}, {"last", last, &to}} {
		if x.typed == "" {
			continue
		}
		serial, bad := ident.Normalise(x.typed)
		at := slices.Index(serials, serial)
		switch {
		case errors.Is(bad, ident.ErrCheck):
			invalid.Add(x.field, "serial_check", "serial", models.Shortened(x.typed))
		case bad != nil:
			invalid.Add(x.field, "serial_form", "serial", models.Shortened(x.typed))
		case at < 0:
			invalid.Add(x.field, "serial_not_on_roll", "serial", serial, "first", serials[0], "last", serials[len(serials)-1])
		default:
			*x.at = at
		}
	}
	if len(invalid.Problems) == 0 && to < from {
		invalid.Add("last", "serials_turned")
	}
	return from, to, invalid.OrNil()
}

// count refuses none, and more than anybody prints in one go.
func count(n int, field string) error {
	switch {
	case n < 1:
		return models.Invalid(field, "missing")
	case n > MostAtOnce:
		return models.Invalid(field, "too_many_labels", "got", fmt.Sprint(n), "most", fmt.Sprint(MostAtOnce))
	}
	return nil
}
