package store

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// lookUp locks the items in the order of their keys, so that two writers never
// wait for each other, and reads their standing inspections. A new item has
// none. Whether an inspection was sent before is asked behind the locks: the
// same one may be on its way twice.
func (s *Store) lookUp(b *batch, group []*inspectionWrite) {
	var items []*touchedItem
	for _, w := range group {
		w.forget()
		for _, item := range w.items {
			if w.NewItem != nil && item.id == w.NewItem.ID {
				item.found, item.state = true, w.StateBefore
			} else {
				items = append(items, item)
			}
		}
	}
	numbered := numberedOf(group)
	for _, part := range numbered {
		items = append(items, &touchedItem{id: part.id})
	}
	slices.SortFunc(items, func(a, b *touchedItem) int { return strings.Compare(a.id, b.id) })
	// The same item may stand there twice, as itself and as another's part.
	each := func(id string, do func(*touchedItem)) {
		n, _ := slices.BinarySearchFunc(items, id, func(i *touchedItem, id string) int { return strings.Compare(i.id, id) })
		for ; n < len(items) && items[n].id == id; n++ {
			do(items[n])
		}
	}
	keys := make([]string, len(items))
	for n, item := range items {
		keys[n] = item.id
	}
	s.ofKeys(b, keys, "SELECT CAST(id AS text), state FROM items WHERE ", "id", " ORDER BY id"+s.forUpdate(), func(row []any) error {
		each(textOf(row[0]), func(item *touchedItem) { item.found, item.state = true, textOf(row[1]) })
		return nil
	})
	for _, part := range numbered {
		part.ask(b)
	}
	ids := make([]string, len(group))
	for n, w := range group {
		ids[n] = w.Inspection.ID
	}
	s.ofKeys(b, ids, "SELECT CAST(id AS text), sent_hash FROM inspections WHERE ", "id", "", func(row []any) error {
		for _, w := range group {
			if w.Inspection.ID != textOf(row[0]) {
				continue
			}
			if w.sent = textOf(row[1]) == w.Inspection.SentHash; !w.sent {
				w.refused = fmt.Errorf("another inspection has this id: %w", models.ErrConflict)
			}
		}
		return nil
	})
	s.ofKeys(b, keys, "SELECT CAST(item_id AS text), CAST(id AS text), stage, measured_at, round, CASE WHEN first_set THEN 1 ELSE 0 END, verdict, started_at, pass_rounds, pass_minutes "+
		"FROM inspections WHERE superseded_by IS NULL AND ", "item_id", "", func(row []any) error {
		measured, _ := row[3].(time.Time)
		started, _ := row[7].(time.Time)
		found := standing{id: textOf(row[1]), stage: textOf(row[2]), measuredAt: measured.UTC(), startedAt: started.UTC(),
			ranks:  ranks{round: wholeOf(row[4]), firstSet: wholeOf(row[5]) == 1, passRounds: wholeOf(row[8]), passMinutes: wholeOf(row[9])},
			passes: passing(textOf(row[6]))}
		each(textOf(row[0]), func(item *touchedItem) { item.standing = append(item.standing, found) })
		return nil
	})
}

// ofKeys asks for rows of several keys: in one question on PostgreSQL, where
// each costs about as much as its row; one by one on SQLite, whose compiled
// questions cost less than a list of any length would. Keys that stand there
// twice are asked for once.
func (s *Store) ofKeys(b *batch, keys []string, text, column, rest string, row func([]any) error) {
	keys = slices.Compact(slices.Sorted(slices.Values(keys)))
	if len(keys) == 0 {
		return
	}
	if s.dialect == Postgres {
		b.query(text+column+" = ANY(?::text[]::uuid[])"+rest, row, keys)
		return
	}
	for _, key := range keys {
		b.query(text+column+" = ?", row, key)
	}
}
