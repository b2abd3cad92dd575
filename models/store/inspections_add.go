package store

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
)

// AddInspection writes an inspection and all that comes with it in one
// transaction: its reading sets and results, a new item, fitted parts, a hold,
// the item's state, the end of its draft, and the trail entries.
//
// An inspection sent again with the same SentHash is answered with the one
// stored before, and created is false; under another hash it is
// models.ErrConflict. models.ErrStale says that the item's state is no longer
// StateBefore, or that a new item's serial was taken meanwhile: read again and
// judge again. A correction of an inspection that does not stand any more is
// models.ErrConflict.
//
// Round and FirstSet are set here, for every standing inspection of the item
// (and, when a correction moves an inspection to another serial, of both
// items): round counts the standing inspections of a stage by the moment they
// were measured, then by id; the first set is round 1 of the stage after
// relief. An inspection that was replaced has round 0.
//
// The item that a correction takes an inspection away from goes back to in
// process when it was conforming and no standing inspection passes any more.
func (s *Store) AddInspection(ctx context.Context, stamp models.Stamp, n models.NewInspection) (inspection models.Inspection, created bool, err error) {
	w, err := newInspectionWrite(stamp, n)
	if err == nil {
		err = s.transact(ctx, func(p pipeline) error { return s.writeInspection(ctx, p, w) })
	}
	if err != nil {
		return models.Inspection{}, false, fault(err, "add inspection %s for item %s", n.Inspection.ID, n.Inspection.ItemID)
	}
	if w.sent {
		stored, err := s.Inspection(ctx, n.Inspection.ID)
		return stored, false, err
	}
	return w.Inspection, true, nil
}

// writeInspection is two batches: what there is, then what is added. A
// correction asks first which items it touches.
func (s *Store) writeInspection(ctx context.Context, p pipeline, w *inspectionWrite) error {
	if w.Inspection.Supersedes != nil {
		if err := s.findSuperseded(ctx, p, w); err != nil || w.sent {
			return err
		}
	}
	look := &batch{}
	s.askItems(look, w)
	if err := p.send(ctx, look); err != nil {
		return err
	}
	if w.sent {
		return nil
	}
	if err := w.check(); err != nil {
		return err
	}
	write := &batch{}
	if err := s.queueInspection(write, w); err != nil {
		return err
	}
	if err := p.commit(ctx, write); err != nil {
		return w.explain(err)
	}
	return nil
}

// askSent looks for an inspection of the same id.
func (s *Store) askSent(b *batch, w *inspectionWrite) {
	b.query("SELECT sent_hash FROM inspections WHERE id = ?", func(row []any) error {
		if textOf(row[0]) != w.Inspection.SentHash {
			return fmt.Errorf("another inspection has this id: %w", models.ErrConflict)
		}
		w.sent = true
		return nil
	}, w.Inspection.ID)
}

// findSuperseded learns on which item the inspection to be replaced stands.
func (s *Store) findSuperseded(ctx context.Context, p pipeline, w *inspectionWrite) error {
	b := &batch{}
	s.askSent(b, w)
	b.query("SELECT CAST(item_id AS text) FROM inspections WHERE id = ?", func(row []any) error {
		w.addItem(textOf(row[0]))
		w.supersededItem = textOf(row[0])
		return nil
	}, *w.Inspection.Supersedes)
	if err := p.send(ctx, b); err != nil {
		return err
	}
	if !w.sent && w.supersededItem == "" {
		return fmt.Errorf("the inspection to be replaced, %s: %w", *w.Inspection.Supersedes, models.ErrNotFound)
	}
	return nil
}

// askItems locks the items in the order of their keys, so that two corrections
// never wait for each other, and reads their standing inspections. A new item
// has none. Whether the inspection was sent before is asked behind the locks:
// the same one may be on its way twice.
func (s *Store) askItems(b *batch, w *inspectionWrite) {
	for _, item := range w.items {
		if w.NewItem != nil && item.id == w.NewItem.ID {
			item.found, item.state = true, w.StateBefore
			continue
		}
		b.query("SELECT state FROM items WHERE id = ?"+s.forUpdate(), func(row []any) error {
			item.found, item.state = true, textOf(row[0])
			return nil
		}, item.id)
	}
	s.askSent(b, w)
	for _, item := range w.items {
		if w.NewItem != nil && item.id == w.NewItem.ID {
			continue
		}
		b.query("SELECT CAST(id AS text), stage, measured_at, round, CASE WHEN first_set THEN 1 ELSE 0 END, verdict "+
			"FROM inspections WHERE item_id = ? AND superseded_by IS NULL", func(row []any) error {
			measured, _ := row[2].(time.Time)
			item.standing = append(item.standing, standing{id: textOf(row[0]), stage: textOf(row[1]), measuredAt: measured.UTC(),
				round: wholeOf(row[3]), firstSet: wholeOf(row[4]) == 1, passes: passing(textOf(row[5]))})
			return nil
		}, item.id)
	}
}

// queueInspection queues the writes. Order matters twice: marks of a first set
// are taken away before one is given, and rows stand before others name them.
func (s *Store) queueInspection(b *batch, w *inspectionWrite) error {
	i := &w.Inspection
	if w.NewItem != nil {
		s.insert(b, itemsTable, [][]any{itemRow(w.NewItem)})
	}
	changed := w.rank()
	for _, c := range changed {
		if c.firstSetTaken() {
			b.exec("UPDATE inspections SET first_set = ? WHERE id = ?", false, c.id)
		}
	}
	if i.Supersedes != nil {
		b.exec("UPDATE inspections SET first_set = ? WHERE id = ?", false, *i.Supersedes)
	}
	row, err := inspectionRow(i)
	if err != nil {
		return err
	}
	s.insert(b, inspectionsTable, [][]any{row})
	if i.Supersedes != nil {
		b.exec("UPDATE inspections SET superseded_by = ?, round = 0, first_set = ? WHERE id = ?", i.ID, false, *i.Supersedes)
	}
	for _, c := range changed {
		b.exec("UPDATE inspections SET round = ?, first_set = ? WHERE id = ?", c.round, c.firstSet, c.id)
	}
	sets, results := make([][]any, len(w.Sets)), make([][]any, len(w.Results))
	for n := range w.Sets {
		if sets[n], err = readingSetRow(&w.Sets[n]); err != nil {
			return err
		}
	}
	for n := range w.Results {
		if results[n], err = resultRow(&w.Results[n]); err != nil {
			return err
		}
	}
	s.insert(b, readingSetsTable, sets)
	s.insert(b, resultsTable, results)
	parts := make([][]any, len(w.Parts))
	for n := range w.Parts {
		parts[n] = fittedPartRow(&w.Parts[n])
	}
	s.insert(b, fittedPartsTable, parts)
	if w.Hold != nil {
		s.insert(b, holdsTable, [][]any{holdRow(w.Hold)})
	}
	for _, item := range w.items {
		if item.stateAfter != item.state && (w.NewItem == nil || item.id != w.NewItem.ID) {
			b.exec("UPDATE items SET state = ? WHERE id = ?", item.stateAfter, item.id)
		}
	}
	b.exec("UPDATE drafts SET closed_at = ? WHERE id = ? AND closed_at IS NULL", w.stamp.At, i.ID)
	entries := make([][]any, len(w.entries))
	for n := range w.entries {
		entries[n] = trailRow(&w.entries[n])
	}
	s.insert(b, trailTable, entries)
	return nil
}
