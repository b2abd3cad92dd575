package assembly

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// Change is what is taken out of an item and put in, at once: a swap is both.
type Change struct {
	Out []Out `json:"out,omitempty"`
	In  []In  `json:"in,omitempty"`
}

// Out takes out pieces of a fitted part.
type Out struct {
	Fitted   string `json:"fitted"`             // its key
	Quantity int    `json:"quantity,omitempty"` // 0: all that are left
	Code     string `json:"code"`               // one of models.RemovalCodes
	Reason   string `json:"reason,omitempty"`   // needed with the code other
	Fate     string `json:"fate"`               // one of models.Fates
}

// In puts pieces of a lot in, or a numbered part.
type In struct {
	models.SentPart
	// Named is a lot or a number, whichever it is: what was scanned.
	Named  string `json:"named,omitempty"`
	Reason string `json:"reason,omitempty"` // why more is used than the lot has
}

// Change changes what is built into an item, named by id or serial. Errors: an
// InvalidError with every problem; models.ErrStale when somebody changed the
// same parts meanwhile.
func (s *Service) Change(ctx context.Context, actor models.Actor, named string, c Change) (models.Item, error) {
	item, err := s.item(ctx, named)
	if err != nil {
		return models.Item{}, err
	}
	parts, err := s.store.Parts(ctx, item.ID)
	if err != nil {
		return models.Item{}, fmt.Errorf("parts of %s: %w", item.Name(), err)
	}
	invalid := &models.InvalidError{}
	if len(c.Out)+len(c.In) == 0 {
		invalid.Add("in", "missing")
	}
	out := removals(c.Out, parts, invalid)
	for i, r := range out {
		if r.Physical() && item.Elsewhere() {
			invalid.Add(fmt.Sprintf("out[%d].fate", i), "not_here", "serial", item.Name())
		}
	}
	in, err := s.fittings(ctx, item, c.In, out, parts, map[string]int{}, invalid)
	if err != nil {
		return models.Item{}, err
	}
	if err := s.intoPack(ctx, item, in, out, parts, invalid); err != nil {
		return models.Item{}, err
	}
	if err := invalid.OrNil(); err != nil {
		return models.Item{}, err
	}
	err = s.store.ChangeParts(ctx, models.NewStamp(actor, s.now()), item.ID, out, in)
	if errors.Is(err, models.ErrLoop) {
		return models.Item{}, models.Invalid("in", "built_into_itself", "serial", item.Name())
	}
	if err != nil {
		return models.Item{}, fmt.Errorf("change the parts of %s: %w", item.Name(), err)
	}
	return s.store.Item(ctx, item.ID)
}

// intoPack refuses blocks that cannot stand in a pack as they are put in, and
// those of another model than it is made of.
func (s *Service) intoPack(ctx context.Context, item models.Item, in []models.FittedPart, out []models.PartRemoval, parts []models.PartView, invalid *models.InvalidError) error {
	if item.Kind != models.KindPack || item.ProductID == nil || len(in) == 0 || len(invalid.Problems) > 0 {
		return nil
	}
	revision, err := s.store.ProductForm(ctx, *item.ProductID)
	if err != nil {
		return fmt.Errorf("form of %s: %w", item.Name(), err)
	}
	form := revision.Form.Pack
	if form == nil {
		return nil
	}
	var before []models.FittedPart
	for _, p := range models.Present(parts) {
		if !slices.ContainsFunc(out, func(r models.PartRemoval) bool { return r.FittedID == p.ID }) {
			before = append(before, p.FittedPart)
		}
	}
	for _, m := range kinds.MisplacedBlocks(*form, before, in) {
		field := "in"
		if m.Row >= 0 {
			field = fmt.Sprintf("in[%d].place", m.Row)
		}
		invalid.Add(field, m.Code, m.Values...)
	}
	for i, p := range in {
		if p.Role != models.KindBlock || p.PartID == nil || form.BlockProduct == "" {
			continue
		}
		block, err := s.store.Item(ctx, *p.PartID)
		if err != nil {
			return fmt.Errorf("block %s: %w", *p.PartID, err)
		}
		if block.ProductID != nil && *block.ProductID != form.BlockProduct { // Of one without a product nobody knows.
			invalid.Add(fmt.Sprintf("in[%d].number", i), "part_of_other_model", "number", models.Shortened(block.Name()), "model", form.BlockModel)
		}
	}
	return nil
}

func removals(list []Out, parts []models.PartView, invalid *models.InvalidError) []models.PartRemoval {
	var out []models.PartRemoval
	seen := map[string]bool{}
	for i, o := range list {
		field := fmt.Sprintf("out[%d]", i)
		o.Reason = models.Trimmed(o.Reason)
		at := slices.IndexFunc(parts, func(p models.PartView) bool { return p.ID == o.Fitted && p.InNow() })
		if at < 0 || seen[o.Fitted] {
			invalid.Add(field+".fitted", "part_not_in")
			continue
		}
		seen[o.Fitted] = true
		left := parts[at].Left()
		if o.Quantity == 0 {
			o.Quantity = left
		}
		switch {
		case o.Quantity < 0:
			invalid.Add(field+".quantity", "negative_not_possible")
		case o.Quantity > left:
			invalid.Add(field+".quantity", "too_big", "most", fmt.Sprint(left))
		}
		switch {
		case o.Code == "":
			invalid.Add(field+".code", "missing")
		case !slices.Contains(models.RemovalCodes, o.Code):
			invalid.Add(field+".code", "unknown_choice", "typed", models.Shortened(o.Code))
		case o.Code == "other" && o.Reason == "":
			invalid.Add(field+".reason", "reason_needed")
		}
		switch {
		case o.Fate == "":
			invalid.Add(field+".fate", "missing")
		case !slices.Contains(models.Fates, o.Fate):
			invalid.Add(field+".fate", "unknown_choice", "typed", models.Shortened(o.Fate))
		case (o.Fate == models.FateNeverIn) != (o.Code == models.RecordedWrongly):
			invalid.Add(field+".fate", "never_in_and_why")
		}
		invalid.Lines(field+".reason", o.Reason, longest)
		out = append(out, models.PartRemoval{ID: models.NewID(), FittedID: o.Fitted, Quantity: o.Quantity, Code: o.Code, Reason: o.Reason, Fate: o.Fate})
	}
	return out
}

// fittings finds what is put in and refuses what cannot go in: a part that is in
// another item, set aside, gone, or named twice, a place that is taken, and more
// of a lot than it has left without a reason. What this takes of each lot is added
// up in more.
func (s *Service) fittings(ctx context.Context, item models.Item, list []In, out []models.PartRemoval, parts []models.PartView, more map[string]int, invalid *models.InvalidError) ([]models.FittedPart, error) {
	var in []models.FittedPart
	for i, x := range list {
		field := fmt.Sprintf("in[%d]", i)
		x.Reason = models.Trimmed(x.Reason)
		p := models.FittedPart{ID: models.NewID(), Role: x.Role, Place: x.Place, Quantity: max(1, x.Quantity), Reason: x.Reason}
		switch {
		case x.Role == "":
			invalid.Add(field+".role", "missing")
		case !slices.Contains(models.PartRoles, x.Role):
			invalid.Add(field+".role", "unknown_role", "role", models.Shortened(x.Role))
		}
		switch {
		case x.Quantity < 0:
			invalid.Add(field+".quantity", "negative_not_possible")
		case x.Quantity > most:
			invalid.Add(field+".quantity", "too_big", "most", fmt.Sprint(most))
		case x.Role == "rim" && x.Quantity > 1:
			invalid.Add(field+".quantity", "too_big", "most", "1")
		}
		invalid.Lines(field+".reason", x.Reason, longest)
		if fault := models.PlaceFault(x.Place); fault != "" {
			invalid.Add(field+".place", fault, "most", fmt.Sprint(models.LongestPlace))
		}
		err := s.resolve(ctx, &x)
		switch {
		case err != nil:
		case (x.Lot == "") == (x.Number == ""):
			invalid.Add(field+".number", "lot_or_number")
		case x.Lot != "":
			err = s.fromLot(ctx, x, &p, more, field, invalid)
		default:
			err = s.withNumber(ctx, item, x, &p, in, field, invalid)
		}
		if err != nil {
			return nil, err
		}
		if (p.PartID != nil || p.LotID != nil) && takenPlace(p, in, out, parts) {
			invalid.Add(field+".place", "place_taken", "place", p.Place)
		}
		in = append(in, p)
	}
	return in, nil
}

// resolve turns what was scanned into a lot where one has this code, into a
// number otherwise.
func (s *Service) resolve(ctx context.Context, x *In) error {
	if x.Named == "" {
		return nil
	}
	lot, found, err := s.Lot(ctx, x.Named)
	switch {
	case err != nil:
		return err
	case found:
		x.Lot = lot.Code
	default:
		x.Number = x.Named
	}
	return nil
}

func (s *Service) fromLot(ctx context.Context, x In, p *models.FittedPart, more map[string]int, field string, invalid *models.InvalidError) error {
	lot, found, err := s.Lot(ctx, x.Lot)
	if err != nil {
		return err
	}
	if !found {
		invalid.Add(field+".lot", "unknown_lot", "lot", models.Shortened(x.Lot))
		return nil
	}
	p.LotID = &lot.ID
	stops, err := s.store.LotStops(ctx, []string{lot.ID})
	if err != nil {
		return fmt.Errorf("what was decided about lot %s: %w", lot.Code, err)
	}
	if len(stops) > 0 {
		invalid.Add(field+".lot", "lot_set_aside", "lot", stops[0].Code)
		return nil
	}
	material, err := s.store.Material(ctx, lot.Material)
	if err != nil {
		return fmt.Errorf("material of lot %s: %w", lot.Code, err)
	}
	if len(material.Roles) > 0 && slices.Contains(models.PartRoles, x.Role) && !slices.Contains(material.Roles, x.Role) {
		invalid.Add(field+".lot", "lot_of_other_use", "lot", lot.Code, "name", material.Name)
		return nil
	}
	more[lot.ID] += p.Quantity
	if x.Reason != "" {
		return nil
	}
	totals, err := s.store.LotTotals(ctx, []string{lot.ID})
	if err != nil {
		return fmt.Errorf("what of lot %s is used: %w", lot.Code, err)
	}
	if over, has := totals[lot.ID].Beyond(lot, more[lot.ID]); over > 0 {
		invalid.Add(field+".reason", "lot_used_up", "lot", lot.Code, "over", fmt.Sprint(over), "quantity", fmt.Sprint(has))
	}
	return nil
}

func (s *Service) withNumber(ctx context.Context, item models.Item, x In, p *models.FittedPart, before []models.FittedPart, field string, invalid *models.InvalidError) error {
	part, code, err := s.numbered(ctx, models.PartName{Supplier: x.Supplier, Model: x.Model, Number: x.Number})
	if err != nil {
		return err
	}
	holder := item
	if code == "" {
		if code, holder, err = s.unfit(ctx, item, part, x.Role, before); err != nil {
			return err
		}
	}
	if code != "" {
		invalid.Add(field+".number", code, "number", models.Shortened(x.Number), "serial", holder.Name())
		return nil
	}
	if x.Quantity > 1 {
		invalid.Add(field+".quantity", "too_big", "most", "1")
	}
	p.PartID = &part.ID
	return nil
}

// unfit names why a part cannot go into the item, "" where it can, and what
// holds it in its stead.
func (s *Service) unfit(ctx context.Context, item, part models.Item, role string, before []models.FittedPart) (code string, holder models.Item, err error) {
	switch {
	case part.ID == item.ID:
		return "built_into_itself", item, nil
	case models.PartFault(part, role) != "":
		return models.PartFault(part, role), item, nil
	case slices.ContainsFunc(before, func(p models.FittedPart) bool { return p.PartID != nil && *p.PartID == part.ID }):
		return "part_named_twice", item, nil
	}
	stops, err := s.store.BlockLotStops(ctx, part.ID)
	if err != nil {
		return "", item, fmt.Errorf("what was decided about the lot of %s: %w", part.Name(), err)
	}
	if len(stops) > 0 {
		return "its_lot_set_aside", item, nil
	}
	decided, err := s.store.Disposition(ctx, part.ID)
	if err == nil && decided.Decision == models.Quarantine {
		return "block_set_aside", item, nil
	}
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return "", item, fmt.Errorf("what was decided about %s: %w", part.Name(), err)
	}
	places, err := s.store.FittedInto(ctx, part.ID)
	if err != nil {
		return "", item, fmt.Errorf("where %s went: %w", part.Name(), err)
	}
	if in := models.Present(places); len(in) > 0 {
		holder, err = s.store.Item(ctx, in[0].ItemID)
		return "part_in_already", holder, err
	}
	return "", item, nil
}

// takenPlace says whether a numbered part of the same role stands at the place
// already, and stays there. A wheel has one rim, and one motor that is known by its
// number, whatever their place is called: a label that is scanned twice is no second.
func takenPlace(p models.FittedPart, before []models.FittedPart, out []models.PartRemoval, parts []models.PartView) bool {
	same := func(x models.FittedPart) bool {
		numbered := x.PartID != nil && p.PartID != nil
		return x.Role == p.Role && (p.Role == "rim" || numbered && (p.Role == models.KindMotor || x.Place == p.Place))
	}
	return slices.ContainsFunc(before, same) || slices.ContainsFunc(parts, func(x models.PartView) bool {
		return same(x.FittedPart) && x.InNow() && !slices.ContainsFunc(out, func(r models.PartRemoval) bool { return r.FittedID == x.ID })
	})
}
