package store

import (
	"cmp"
	"context"
	"maps"
	"regexp"
	"slices"
	"strings"

	"tracewright/models"
)

// within is an item and what is in it now, through all levels, without what was
// taken out again. What is asked of it is CROSS JOINed: SQLite reads tables in the
// order in which they then stand, where it would sooner read all items.
const within = `WITH RECURSIVE within(id) AS (
	SELECT id FROM items WHERE id = @from
	UNION SELECT fitted_parts.part_id FROM within CROSS JOIN fitted_parts WHERE fitted_parts.item_id = within.id AND fitted_parts.part_id IS NOT NULL AND fitted_parts.out_at IS NULL) `

// asWithin is what is asked of what is within, by the dialect. PostgreSQL takes it
// for hundreds of items, and would sooner read a middling table from end to end than
// look each up: it is given their keys as one list.
func asWithin(asked string) map[string]string {
	one := strings.ReplaceAll(asked, "FROM within CROSS JOIN ", "FROM ")
	return map[string]string{
		SQLite:   asked,
		Postgres: regexp.MustCompile(`(\w+\.item_id) = within\.id`).ReplaceAllString(one, "$1 = ANY(ARRAY(SELECT id FROM within))"),
	}
}

// OutputsOfLot follows a lot into every item that holds it, through all levels. A
// lot is fitted by itself, by the bins that it was mixed into (lot_mixes holds a row
// for each, also for those that a bin went on into), and by the blocks that came in
// by it.
func (s *Store) OutputsOfLot(ctx context.Context, lotID string) (models.Traced, error) {
	t, lots, blocks := s.tracing(ctx, intoItem), []string{lotID}, []string{}
	err := s.ask(ctx, question{"SELECT DISTINCT mix_id FROM lot_mixes WHERE lot_id = ?", []any{lotID}, each(&lots)},
		question{"SELECT DISTINCT item_id FROM block_receipts WHERE lot_id = ?", []any{lotID}, each(&blocks)})
	var holders []string
	if err == nil {
		holders, err = t.step("lot_id", lots)
	}
	if err == nil {
		err = t.through("part_id", append(blocks, holders...))
	}
	out, err := t.end(err)
	return out, fault(err, "trace where lot %s went", lotID)
}

// OutputsOfPart follows a part the same way.
func (s *Store) OutputsOfPart(ctx context.Context, partID string) (models.Traced, error) {
	return s.OutputsOfParts(ctx, []string{partID})
}

// OutputsOfParts follows many parts at once.
func (s *Store) OutputsOfParts(ctx context.Context, partIDs []string) (models.Traced, error) {
	t := s.tracing(ctx, intoItem)
	out, err := t.end(t.through("part_id", partIDs))
	return out, fault(err, "trace where %d parts went", len(partIDs))
}

// SourcesOf follows an item back to everything that went into it, through all
// levels. The item itself is one of the items.
func (s *Store) SourcesOf(ctx context.Context, itemID string) (models.Traced, error) {
	t := s.tracing(ctx, outOfPart)
	t.reached[itemID] = true
	out, err := t.end(t.through("item_id", []string{itemID}))
	return out, fault(err, "trace what went into item %s", itemID)
}

// The item that a fitting leads to, upward and downward; nil for none.
func intoItem(p models.FittedPart) *string  { return &p.ItemID }
func outOfPart(p models.FittedPart) *string { return p.PartID }

// each takes the one column of each row.
func each(into *[]string) func(scan func(...any) error) error {
	return func(scan func(...any) error) error {
		var value string
		err := scan(&value)
		*into = append(*into, value)
		return err
	}
}

// tracing is a trace on its way. It goes level by level, each through an index of
// fitted_parts. One recursive query would be as short, but both databases guess
// badly how much its steps give: among a million items they read whole tables for a
// kit of twenty. Fittings are only ever added, so that what is written meanwhile may
// be in the answer, and nothing of it goes missing. What was taken out again stays
// in a trace: it was in, and says when it went.
type tracing struct {
	*Store
	ctx     context.Context
	leads   func(models.FittedPart) *string
	fitted  []models.FittedPart
	reached map[string]bool // items that are in the answer
	gone    map[string]bool // keys that were gone through: a loop in the records ends
}

func (s *Store) tracing(ctx context.Context, leads func(models.FittedPart) *string) *tracing {
	return &tracing{Store: s, ctx: ctx, leads: leads, reached: map[string]bool{}, gone: map[string]bool{}}
}

// through goes through keys of a column, and through all that they lead to.
func (t *tracing) through(column string, keys []string) error {
	for len(keys) > 0 {
		for _, key := range keys {
			t.gone[key] = true
		}
		next, err := t.step(column, keys)
		if err != nil {
			return err
		}
		keys = slices.DeleteFunc(next, func(id string) bool { return t.gone[id] })
	}
	return nil
}

// step takes the fittings that have one of the keys in a column, and gives the
// items that are reached by them for the first time.
func (t *tracing) step(column string, keys []string) ([]string, error) {
	var next []string
	condition, arg := t.among(column, keys)
	err := t.ask(t.ctx, question{`SELECT id, item_id, role, place, lot_id, part_id, quantity, reason, fitted_at, fitted_by, taken_out, out_at FROM fitted_parts WHERE ` + condition, []any{arg}, func(scan func(...any) error) error {
		var p models.FittedPart
		if err := scan(&p.ID, &p.ItemID, &p.Role, &p.Place, &p.LotID, &p.PartID, &p.Quantity, &p.Reason, &p.FittedAt, &p.FittedBy, &p.TakenOut, &p.OutAt); err != nil {
			return err
		}
		t.fitted = append(t.fitted, p)
		if id := t.leads(p); id != nil && !t.reached[*id] {
			t.reached[*id] = true
			next = append(next, *id)
		}
		return nil
	}})
	return next, err
}

// end names lots and parts. Fittings come oldest first, items by their keys.
func (t *tracing) end(err error) (models.Traced, error) {
	if err != nil {
		return models.Traced{}, err
	}
	lots, parts := map[string]models.Lot{}, map[string]models.Item{}
	wanted := map[string]bool{}
	for _, p := range t.fitted {
		if p.LotID != nil {
			lots[*p.LotID] = models.Lot{}
		} else {
			wanted[*p.PartID] = true
		}
	}
	maps.Copy(wanted, t.reached)
	lotsAmong, lotKeys := t.among("id", slices.Collect(maps.Keys(lots)))
	itemsAmong, itemKeys := t.among("id", slices.Collect(maps.Keys(wanted)))
	var items []models.Item
	err = t.ask(t.ctx, question{"SELECT id, code, description, supplier FROM lots WHERE " + lotsAmong, []any{lotKeys}, func(scan func(...any) error) error {
		var l models.Lot
		err := scan(&l.ID, &l.Code, &l.Description, &l.Supplier)
		lots[l.ID] = l
		return err
	}}, question{"SELECT " + itemColumns + " FROM items WHERE " + itemsAmong, []any{itemKeys}, eachItem(&items)})
	if err != nil {
		return models.Traced{}, err
	}
	var out models.Traced
	for _, i := range items {
		parts[i.ID] = i
		if t.reached[i.ID] {
			out.Items = append(out.Items, i)
		}
	}
	out.Fitted = make([]models.PartView, len(t.fitted))
	for k, p := range t.fitted {
		v := models.PartView{FittedPart: p}
		if p.LotID != nil {
			lot := lots[*p.LotID]
			v.LotCode, v.Description, v.Supplier = lot.Code, lot.Description, lot.Supplier
		} else {
			part := parts[*p.PartID]
			v.Description, v.Supplier = part.Model, part.Supplier
			if number := cmp.Or(part.MakerNumber, part.Serial); number != nil {
				v.Number = *number
			}
		}
		out.Fitted[k] = v
	}
	slices.SortStableFunc(out.Fitted, func(a, b models.PartView) int { return cmp.Or(a.FittedAt.Compare(b.FittedAt), cmp.Compare(a.ID, b.ID)) })
	slices.SortFunc(out.Items, func(a, b models.Item) int { return cmp.Compare(a.ID, b.ID) })
	return out, nil
}

// among is a condition that a column is one of so many keys as there are, with its
// one argument: a placeholder for each would be another statement for each number of
// them, and there are limits to their number.
func (s *Store) among(column string, keys []string) (condition, arg string) {
	if s.dialect == Postgres {
		return column + " = ANY(CAST(? AS uuid[]))", "{" + strings.Join(keys, ",") + "}"
	}
	return column + " IN (SELECT value FROM json_each(?))", `["` + strings.Join(keys, `","`) + `"]`
}
