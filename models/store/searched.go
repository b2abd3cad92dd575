package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// searchedAtOnce is how many keys one question names.
const searchedAtOnce = 500

// Searched reads what a search for differences goes through: the newest standing
// inspections of a family, along the index of its series, and then by their keys what
// belongs to them. Rows are many, so they are read one by one and nothing of them is
// kept twice.
func (s *Store) Searched(ctx context.Context, q models.SearchQuery) (models.Searched, error) {
	out := models.Searched{Values: map[string][]models.SearchedValue{}, Gauges: map[string][]models.SearchedGauge{}, Lots: map[string][]models.SearchedLot{}}
	texts := map[string]string{} // keys, codes and positions come again and again
	text := func(t string) string {
		if kept, ok := texts[t]; ok {
			return kept
		}
		texts[t] = t
		return t
	}
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for all.
		if err := tx.Raw(`SELECT i.id, i.item_id, coalesce(CAST(i.product_id AS text), '') AS product_id, i.stage, i.person_id, i.place, i.measured_at, i.round, i.first_set
FROM inspections AS i WHERE i.family_id = ? AND i.measured_at >= ? AND i.superseded_by IS NULL ORDER BY i.measured_at DESC, i.id DESC LIMIT ?`, q.FamilyID, models.Moment(q.From), q.Limit).Scan(&out.Inspections).Error; err != nil {
			return err
		}
		slices.Reverse(out.Inspections)
		inspections, items, known := make([]string, len(out.Inspections)), []string{}, map[string]string{}
		for i, n := range out.Inspections {
			inspections[i] = n.ID
			if _, ok := known[n.ItemID]; !ok {
				known[n.ItemID], items = "", append(items, n.ItemID)
			}
		}
		for some := range slices.Chunk(items, searchedAtOnce) {
			err := eachRow(tx.Raw(`SELECT id, coalesce(serial, '') FROM items WHERE id IN ?`, some), func(rows *sql.Rows) error {
				var id, serial string
				err := rows.Scan(&id, &serial)
				known[id] = serial
				return err
			})
			if err != nil {
				return err
			}
		}
		for i := range out.Inspections {
			out.Inspections[i].Serial = known[out.Inspections[i].ItemID]
		}
		for some := range slices.Chunk(inspections, searchedAtOnce) {
			err := eachRow(tx.Raw(`SELECT inspection_id, code, position, value_f FROM results WHERE inspection_id IN ? AND code IN ? AND value_f IS NOT NULL`, some, q.Results), func(rows *sql.Rows) error {
				var id string
				var v models.SearchedValue
				if err := rows.Scan(&id, &v.Code, &v.Position, &v.Value); err != nil {
					return err
				}
				id, v.Code, v.Position = text(id), text(v.Code), text(v.Position)
				out.Values[id] = append(out.Values[id], v)
				return nil
			})
			if err != nil || q.Bare {
				if err != nil {
					return err
				}
				continue
			}
			err = eachRow(tx.Raw(`SELECT s.inspection_id, s.code, g.code FROM reading_sets AS s JOIN instruments AS g ON g.id = s.instrument_id WHERE s.inspection_id IN ? ORDER BY 1, 2`, some), func(rows *sql.Rows) error {
				var id string
				var g models.SearchedGauge
				if err := rows.Scan(&id, &g.Characteristic, &g.Instrument); err != nil {
					return err
				}
				id, g.Characteristic, g.Instrument = text(id), text(g.Characteristic), text(g.Instrument)
				out.Gauges[id] = append(out.Gauges[id], g)
				return nil
			})
			if err != nil {
				return err
			}
		}
		if q.Bare {
			return nil
		}
		for _, from := range []string{"fitted_parts", "block_receipts"} {
			if err := lotsInto(tx, from, items, out.Lots); err != nil {
				return err
			}
		}
		return nil
	})
	return out, fault(err, "read what is searched of family %s", q.FamilyID)
}

// lotsInto adds the lots of items, of what was fitted or of what a block came with.
func lotsInto(tx *gorm.DB, from string, itemIDs []string, into map[string][]models.SearchedLot) error {
	for some := range slices.Chunk(itemIDs, searchedAtOnce) {
		err := eachRow(tx.Raw(`SELECT DISTINCT p.item_id, l.material, l.code FROM `+from+` AS p JOIN lots AS l ON l.id = p.lot_id WHERE p.item_id IN ? ORDER BY 1, 2, 3`, some), func(rows *sql.Rows) error {
			var id string
			var l models.SearchedLot
			if err := rows.Scan(&id, &l.Material, &l.Code); err != nil {
				return err
			}
			into[id] = append(into[id], l)
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// eachRow hands every row of a question to f.
func eachRow(q *gorm.DB, f func(*sql.Rows) error) error {
	rows, err := q.Rows()
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		if err := f(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// LotsInto gives the lots that went into items, whenever, by the key of the item.
func (s *Store) LotsInto(ctx context.Context, itemIDs []string) (map[string][]models.SearchedLot, error) {
	out := map[string][]models.SearchedLot{}
	err := lotsInto(s.read.WithContext(ctx), "fitted_parts", itemIDs, out)
	return out, fault(err, "read the lots of %d items", len(itemIDs))
}

// SearchState is a text that is another one as soon as anything has come that a
// search for differences would see: an inspection, a shipment, a claim or a
// specification.
func (s *Store) SearchState(ctx context.Context) (string, error) {
	var parts []string
	for _, q := range []string{
		`SELECT received_at AS at FROM inspections ORDER BY received_at DESC LIMIT 1`,
		`SELECT opened_at AS at FROM claims ORDER BY opened_at DESC LIMIT 1`,
		`SELECT shipped_at AS at FROM shipments ORDER BY shipped_at DESC LIMIT 1`,
	} {
		var newest []struct{ At time.Time }
		if err := s.read.WithContext(ctx).Raw(q).Scan(&newest).Error; err != nil {
			return "", fault(err, "read what is new for a search")
		}
		for _, n := range newest {
			parts = append(parts, n.At.UTC().Format(time.RFC3339Nano))
		}
	}
	var specifications int64
	err := s.read.WithContext(ctx).Raw(`SELECT count(*) FROM specifications`).Scan(&specifications).Error
	return fmt.Sprint(parts, specifications), fault(err, "read what is new for a search")
}
