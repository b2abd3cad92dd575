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

// searchedFrom are the newest standing inspections of a family from a moment on,
// along the index of a family's series.
const searchedFrom = `FROM (SELECT * FROM inspections WHERE family_id = ? AND measured_at >= ? AND superseded_by IS NULL ORDER BY measured_at DESC, id DESC LIMIT ?) AS i `

// Searched reads what a search for differences goes through. Rows are many, so they are
// read one by one and nothing of them is kept twice.
func (s *Store) Searched(ctx context.Context, q models.SearchQuery) (models.Searched, error) {
	out := models.Searched{Values: map[string][]models.SearchedValue{}, Gauges: map[string][]models.SearchedGauge{}, Lots: map[string][]models.SearchedLot{}}
	args := []any{q.FamilyID, models.Moment(q.From), q.Limit}
	texts := map[string]string{} // keys, codes and positions come again and again
	text := func(t string) string {
		if kept, ok := texts[t]; ok {
			return kept
		}
		texts[t] = t
		return t
	}
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for all.
		if err := tx.Raw(`SELECT i.id, i.item_id, coalesce(t.serial, '') AS serial, coalesce(CAST(i.product_id AS text), '') AS product_id, i.stage, i.person_id, i.place, i.measured_at, i.round, i.first_set `+searchedFrom+`JOIN items AS t ON t.id = i.item_id ORDER BY i.measured_at, i.id`, args...).Scan(&out.Inspections).Error; err != nil {
			return err
		}
		err := eachRow(tx.Raw(`SELECT r.inspection_id, r.code, r.position, r.value_f `+searchedFrom+`JOIN results AS r ON r.inspection_id = i.id WHERE r.value_f IS NOT NULL AND r.code IN ?`, append(slices.Clone(args), q.Results)...), func(rows *sql.Rows) error {
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
			return err
		}
		err = eachRow(tx.Raw(`SELECT s.inspection_id, s.code, g.code `+searchedFrom+`JOIN reading_sets AS s ON s.inspection_id = i.id JOIN instruments AS g ON g.id = s.instrument_id`, args...), func(rows *sql.Rows) error {
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
		lot := func(rows *sql.Rows) error {
			var id string
			var l models.SearchedLot
			if err := rows.Scan(&id, &l.Material, &l.Code); err != nil {
				return err
			}
			id, l.Material, l.Code = text(id), text(l.Material), text(l.Code)
			out.Lots[id] = append(out.Lots[id], l)
			return nil
		}
		const ofLots = ` JOIN lots AS l ON l.id = p.lot_id ORDER BY 1, 2, 3`
		if err := eachRow(tx.Raw(`SELECT DISTINCT i.item_id, l.material, l.code `+searchedFrom+`JOIN fitted_parts AS p ON p.item_id = i.item_id`+ofLots, args...), lot); err != nil {
			return err
		}
		return eachRow(tx.Raw(`SELECT DISTINCT i.item_id, l.material, l.code `+searchedFrom+`JOIN block_receipts AS p ON p.item_id = i.item_id`+ofLots, args...), lot)
	})
	return out, fault(err, "read what is searched of family %s", q.FamilyID)
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
	for some := range slices.Chunk(itemIDs, 500) {
		err := eachRow(s.read.WithContext(ctx).Raw(`SELECT DISTINCT p.item_id, l.material, l.code FROM fitted_parts AS p JOIN lots AS l ON l.id = p.lot_id WHERE p.item_id IN ? ORDER BY 1, 2, 3`, some), func(rows *sql.Rows) error {
			var id string
			var l models.SearchedLot
			if err := rows.Scan(&id, &l.Material, &l.Code); err != nil {
				return err
			}
			out[id] = append(out[id], l)
			return nil
		})
		if err != nil {
			return nil, fault(err, "read the lots of %d items", len(itemIDs))
		}
	}
	return out, nil
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
