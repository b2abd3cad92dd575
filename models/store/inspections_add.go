package store

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"slices"
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
// Inspections that arrive together are written together: see [groups].
//
// The item that a correction takes an inspection away from goes back to in
// process when it was conforming and no standing inspection passes any more.
func (s *Store) AddInspection(ctx context.Context, stamp models.Stamp, n models.NewInspection) (inspection models.Inspection, created bool, err error) {
	w, err := newInspectionWrite(stamp, n)
	if err == nil {
		if w.Inspection.Supersedes != nil {
			err = s.writeCorrection(ctx, w)
		} else {
			err = s.groups.write(ctx, s, w)
		}
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

// writeCorrection asks first which items a correction touches, and then writes
// it by itself.
func (s *Store) writeCorrection(ctx context.Context, w *inspectionWrite) error {
	err := s.transact(ctx, func(p pipeline) error {
		if err := s.findSuperseded(ctx, p, w); err != nil {
			return err
		}
		return s.writeInspections(ctx, p, []*inspectionWrite{w})
	})
	return cmp.Or(err, w.refused)
}

// findSuperseded learns on which item the inspection to be replaced stands.
func (s *Store) findSuperseded(ctx context.Context, p pipeline, w *inspectionWrite) error {
	b := &batch{}
	b.query("SELECT CAST(item_id AS text) FROM inspections WHERE id = ?", func(row []any) error {
		w.addItem(textOf(row[0]))
		w.supersededItem = textOf(row[0])
		return nil
	}, *w.Inspection.Supersedes)
	if err := p.send(ctx, b); err != nil {
		return err
	}
	if w.supersededItem == "" {
		return fmt.Errorf("the inspection to be replaced, %s: %w", *w.Inspection.Supersedes, models.ErrNotFound)
	}
	return nil
}

// writeInspections is two batches: what there is, then what is added. The
// error of one inspection alone is kept in it and does not stop the others;
// one that is returned means that nothing was written.
func (s *Store) writeInspections(ctx context.Context, p pipeline, group []*inspectionWrite) error {
	look := &batch{}
	s.lookUp(look, group)
	if err := p.send(ctx, look); err != nil {
		return err
	}
	good := make([]*inspectionWrite, 0, len(group))
	for _, w := range group {
		if w.refused == nil && !w.sent {
			w.refused = w.check()
		}
		if w.refused == nil && !w.sent {
			good = append(good, w)
		}
	}
	if len(good) == 0 {
		return nil
	}
	write := &batch{}
	if err := s.queueInspections(write, good); err != nil {
		return err
	}
	if err := p.commit(ctx, write); err != nil {
		return translated(err)
	}
	return nil
}

// writeInspection writes one by itself.
func (s *Store) writeInspection(ctx context.Context, w *inspectionWrite) error {
	err := s.transact(ctx, func(p pipeline) error { return s.writeInspections(ctx, p, []*inspectionWrite{w}) })
	if err != nil {
		return w.explain(err)
	}
	return w.refused
}

// queueInspections queues the writes. Order matters twice: marks of a first set
// are taken away before one is given, and rows stand before others name them.
func (s *Store) queueInspections(b *batch, group []*inspectionWrite) error {
	var rows inspectionRows
	var changed []standing
	for _, w := range group {
		changed = append(changed, w.rank()...)
		row, err := inspectionRow(&w.Inspection)
		if err != nil {
			return err
		}
		rows.inspections = append(rows.inspections, row)
		rows.append(&w.rows)
	}
	s.insert(b, itemsTable, rows.items)
	for _, c := range changed {
		if c.firstSetTaken() {
			b.exec("UPDATE inspections SET first_set = ? WHERE id = ?", false, c.id)
		}
	}
	for _, w := range group {
		if w.Inspection.Supersedes != nil {
			b.exec("UPDATE inspections SET first_set = ? WHERE id = ?", false, *w.Inspection.Supersedes)
		}
	}
	s.insert(b, inspectionsTable, rows.inspections)
	for _, w := range group {
		if w.Inspection.Supersedes != nil {
			b.exec("UPDATE inspections SET superseded_by = ?, round = 0, first_set = ?, pass_rounds = 0, pass_minutes = 0 WHERE id = ?", w.Inspection.ID, false, *w.Inspection.Supersedes)
		}
	}
	for _, c := range changed {
		b.exec("UPDATE inspections SET round = ?, first_set = ?, pass_rounds = ?, pass_minutes = ? WHERE id = ?", c.round, c.firstSet, c.passRounds, c.passMinutes, c.id)
	}
	s.insert(b, readingSetsTable, rows.sets)
	s.insert(b, resultsTable, rows.results)
	s.insert(b, fittedPartsTable, rows.parts)
	s.insert(b, partRemovalsTable, rows.removals)
	for _, w := range group {
		for _, r := range w.Removals {
			b.exec("UPDATE fitted_parts SET taken_out = taken_out + ?, out_at = ? WHERE id = ?", r.Quantity, r.RemovedAt, r.FittedID)
		}
	}
	s.insert(b, holdsTable, rows.holds)
	s.insert(b, nonconformityStepsTable, rows.steps)
	s.insert(b, holdLiftsTable, rows.lifts)
	s.queueStates(b, group)
	s.insert(b, trailTable, rows.entries)
	return nil
}

// queueStates queues what becomes of the items and the drafts.
func (s *Store) queueStates(b *batch, group []*inspectionWrite) {
	moved := map[string][]string{} // state -> items
	for _, w := range group {
		for _, item := range w.items {
			if item.stateAfter != item.state && (w.NewItem == nil || item.id != w.NewItem.ID) {
				moved[item.stateAfter] = append(moved[item.stateAfter], item.id)
			}
		}
		if w.Inspection.Supersedes != nil { // The readings that turns were compared with may be gone, or stand on another item.
			for _, item := range w.items {
				b.exec(openTurns, item.id, item.id)
			}
		}
		if w.Passed != nil {
			b.exec("UPDATE nonconformities SET state = ? WHERE id = ?", models.NonconformityClosed, w.Passed.Step.NonconformityID)
			for _, l := range w.Passed.Lifts {
				b.exec("UPDATE holds SET lifted = ? WHERE id = ?", true, l.HoldID)
			}
		}
	}
	for _, state := range slices.Sorted(maps.Keys(moved)) {
		if s.dialect == Postgres {
			b.exec("UPDATE items SET state = ? WHERE id = ANY(?::text[]::uuid[])", state, moved[state])
			continue
		}
		for _, id := range moved[state] {
			b.exec("UPDATE items SET state = ? WHERE id = ?", state, id)
		}
	}
	s.closeDrafts(b, group)
}

// closeDrafts queues the end of the drafts that inspections were made from.
func (s *Store) closeDrafts(b *batch, group []*inspectionWrite) {
	if s.dialect == Postgres {
		ids, ends := make([]string, len(group)), make([]time.Time, len(group))
		for n, w := range group {
			ids[n], ends[n] = w.Inspection.ID, w.stamp.At
		}
		b.exec("UPDATE drafts AS d SET closed_at = r.at FROM unnest(?::text[]::uuid[], ?::timestamptz[]) AS r (id, at) WHERE d.id = r.id AND d.closed_at IS NULL", ids, ends)
		return
	}
	for _, w := range group {
		b.exec("UPDATE drafts SET closed_at = ? WHERE id = ? AND closed_at IS NULL", w.stamp.At, w.Inspection.ID)
	}
}

// inspectionRows are the rows of inspections, table by table.
type inspectionRows struct{ items, inspections, sets, results, parts, removals, holds, steps, lifts, entries [][]any }

func (r *inspectionRows) append(of *inspectionRows) {
	r.items = append(r.items, of.items...)
	r.sets = append(r.sets, of.sets...)
	r.results = append(r.results, of.results...)
	r.parts = append(r.parts, of.parts...)
	r.removals = append(r.removals, of.removals...)
	r.holds = append(r.holds, of.holds...)
	r.steps = append(r.steps, of.steps...)
	r.lifts = append(r.lifts, of.lifts...)
	r.entries = append(r.entries, of.entries...)
}

// layOut lays out all rows but the inspection's own, which stands among others only
// where it is written. Nothing of them is decided there, and whoever writes is waited
// for by all others: so they are laid out before.
func (w *inspectionWrite) layOut() (err error) {
	var row []any
	r := &w.rows
	if w.NewItem != nil {
		r.items = append(r.items, itemRow(w.NewItem))
	}
	for n := range w.Sets {
		if row, err = readingSetRow(&w.Sets[n], &w.Inspection, firstOfGauge(w.Sets, n)); err != nil {
			return err
		}
		r.sets = append(r.sets, row)
	}
	for n := range w.Results {
		if row, err = resultRow(&w.Results[n]); err != nil {
			return err
		}
		r.results = append(r.results, row)
	}
	for n := range w.Parts {
		r.parts = append(r.parts, fittedPartRow(&w.Parts[n]))
	}
	for n := range w.Removals {
		r.removals = append(r.removals, partRemovalRow(&w.Removals[n]))
	}
	if w.Hold != nil {
		r.holds = append(r.holds, holdRow(w.Hold))
	}
	if w.Passed != nil {
		if row, err = nonconformityStepRow(&w.Passed.Step); err != nil {
			return err
		}
		r.steps = append(r.steps, row)
		for n := range w.Passed.Lifts {
			r.lifts = append(r.lifts, holdLiftRow(&w.Passed.Lifts[n]))
		}
	}
	for n := range w.entries {
		r.entries = append(r.entries, trailRow(&w.entries[n]))
	}
	return nil
}
