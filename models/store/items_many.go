package store

import (
	"context"
	"slices"

	"tracewright/models"
)

// itemsAtOnce bounds a transaction, so that nobody waits long for the writer.
const itemsAtOnce = 200

// AddItems takes in many items that have their names already, such as a
// delivery of motors or blocks, with a trail entry each: 200 a transaction. When
// one is refused (models.ErrConflict: its number is taken), those of earlier
// transactions stay.
func (s *Store) AddItems(ctx context.Context, stamp models.Stamp, items []models.Item) error {
	stamp.At = models.Moment(stamp.At)
	for some := range slices.Chunk(items, itemsAtOnce) {
		b := &batch{}
		if err := s.queueItems(b, stamp, some); err != nil {
			return fault(err, "add %d items", len(items))
		}
		if err := s.transact(ctx, func(p pipeline) error { return p.commit(ctx, b) }); err != nil {
			return fault(err, "add %d items", len(items))
		}
	}
	return nil
}

func (s *Store) queueItems(b *batch, stamp models.Stamp, items []models.Item) error {
	rows, entries := make([][]any, len(items)), make([][]any, len(items))
	for n, item := range items {
		settleItem(&item, stamp)
		e, err := models.Entry(stamp, item, "")
		if err != nil {
			return err
		}
		rows[n], entries[n] = itemRow(&item), trailRow(&e)
	}
	s.insert(b, itemsTable, rows)
	s.insert(b, trailTable, entries)
	return nil
}

// AddBuilt takes in items with the parts that are built into them, in one
// transaction: a trail entry each. Parts may be items of the same call.
func (s *Store) AddBuilt(ctx context.Context, stamp models.Stamp, items []models.Item, parts []models.FittedPart) error {
	stamp.At = models.Moment(stamp.At)
	b := &batch{}
	if err := s.queueItems(b, stamp, items); err != nil {
		return fault(err, "add %d items", len(items))
	}
	rows, entries := make([][]any, len(parts)), make([][]any, len(parts))
	for n, part := range parts {
		settlePart(&part, stamp)
		e, err := models.Entry(stamp, part, "")
		if err != nil {
			return fault(err, "add %d items", len(items))
		}
		rows[n], entries[n] = fittedPartRow(&part), trailRow(&e)
	}
	s.insert(b, fittedPartsTable, rows)
	s.insert(b, trailTable, entries)
	err := s.transact(ctx, func(p pipeline) error { return p.commit(ctx, b) })
	return fault(err, "add %d items with %d parts", len(items), len(parts))
}
