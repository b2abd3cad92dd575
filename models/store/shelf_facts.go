package store

import (
	"context"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// atRest is an inspection that stands and passed the gate: none of its four
// reasons is among the remarks.
const atRest = `i.superseded_by IS NULL AND CAST(i.remarks AS text) NOT LIKE '%"rest_too_short"%' AND CAST(i.remarks AS text) NOT LIKE '%"on_charger"%'
	AND CAST(i.remarks AS text) NOT LIKE '%"under_load"%' AND CAST(i.remarks AS text) NOT LIKE '%"surface_charge_suspected"%'`

// The questions of the shelf; %s limits them to some items.
const (
	shelfItems = `SELECT id, kind, serial, supplier, model, maker_number, family_id, product_id, state, created_at,
	CASE WHEN kind = 'block' AND EXISTS (SELECT 1 FROM fitted_parts WHERE part_id = items.id AND out_at IS NULL) THEN 1 WHEN state IN ('scrapped', 'returned_to_supplier') THEN 1 ELSE 0 END
	FROM items WHERE kind IN ('pack', 'block') AND %s`
	shelfReadings = `SELECT i.item_id, i.id, i.measured_at,
	(SELECT min(value_f) FROM results WHERE inspection_id = i.id AND code = 'block_ocv25'),
	(SELECT min(value_f) FROM results WHERE inspection_id = i.id AND code = 'block_soc'),
	(SELECT low FROM results WHERE inspection_id = i.id AND code = 'ocv_lowest' AND position = '')
	FROM inspections AS i WHERE i.stage IN ('incoming', 'second_reading', 'final', 'recheck') AND ` + atRest + ` AND i.item_id IN (SELECT id FROM items WHERE kind IN ('pack', 'block') AND %s)
	ORDER BY i.item_id, i.measured_at DESC, i.id DESC`
	shelfPlaces  = `SELECT id, item_id, place, since, placed_by, entered_at FROM shelf_places WHERE item_id IN (SELECT id FROM items WHERE %s) ORDER BY since, id`
	shelfCharges = `SELECT c.id, c.item_id, ` + chargeRow + ` FROM charges AS c LEFT JOIN charge_ends AS e ON e.charge_id = c.id WHERE c.item_id IN (SELECT id FROM items WHERE %s)
	UNION ALL SELECT c.id, f.part_id, ` + chargeRow + ` FROM ` + chargedWith + ` WHERE f.part_id IN (SELECT id FROM items WHERE %s)
	ORDER BY 5, 1`
	chargeRow   = `c.kind, c.charger, c.started_at, c.started_by, c.entered_at, e.ended_at, e.end_current, e.ended_by, e.entered_at`
	shelfWanted = `SELECT item_id, day FROM wanted_dates WHERE item_id IN (SELECT id FROM items WHERE %s) ORDER BY set_at, id`
	// By itself, and in a kit that it lay in then.
	shelfLeft = `SELECT shipment_items.item_id, shipments.shipped_at FROM shipment_items JOIN shipments ON shipments.id = shipment_items.shipment_id
	WHERE ` + notVoided + ` AND shipment_items.item_id IN (SELECT id FROM items WHERE %s)
	UNION ALL SELECT p.item_id, shipments.shipped_at FROM kit_packings AS p JOIN shipment_items ON shipment_items.item_id = p.kit_id JOIN shipments ON shipments.id = shipment_items.shipment_id
	WHERE ` + notVoided + ` AND p.added AND p.item_id IN (SELECT id FROM items WHERE %s) AND p.packed_at <= shipments.shipped_at
	AND NOT EXISTS (SELECT 1 FROM kit_packings AS q WHERE q.item_id = p.item_id AND q.id > p.id AND q.packed_at <= shipments.shipped_at)`
)

// ShelfFacts gives what the shelf is computed from: of these items, or of every
// pack and block when none is named. Keys that are no pack and no block are
// left out.
func (s *Store) ShelfFacts(ctx context.Context, itemIDs []string) ([]models.ShelfFact, error) {
	where, args := everything, []any(nil)
	if len(itemIDs) > 0 {
		where = "id IN (?" + strings.Repeat(", ?", len(itemIDs)-1) + ")"
		for _, id := range itemIDs {
			args = append(args, id)
		}
	}
	facts := []models.ShelfFact{}
	at := map[string]int{}
	of := func(text string, row func(scan func(...any) error) error) question {
		return question{strings.ReplaceAll(text, "%s", where), slices.Repeat(args, strings.Count(text, "%s")), row}
	}
	on := func(id string) *models.ShelfFact {
		if i, ok := at[id]; ok {
			return &facts[i]
		}
		return &models.ShelfFact{} // of something that is no pack and no block
	}
	err := s.ask(ctx,
		of(shelfItems, func(scan func(...any) error) error {
			var i models.Item
			fitted := 0
			err := scan(&i.ID, &i.Kind, &i.Serial, &i.Supplier, &i.Model, &i.MakerNumber, &i.FamilyID, &i.ProductID, &i.State, &i.CreatedAt, &fitted)
			i.CreatedAt = i.CreatedAt.UTC()
			at[i.ID] = len(facts)
			facts = append(facts, models.ShelfFact{Item: i, Fitted: fitted == 1})
			return err
		}),
		of(shelfReadings, func(scan func(...any) error) error {
			var (
				r      models.RestedReading
				item   string
				volts  *float64
				lowest *string
			)
			if err := scan(&item, &r.InspectionID, &r.MeasuredAt, &volts, &r.SoCPct, &lowest); err != nil || volts == nil {
				return err
			}
			if f := on(item); f.Reading == nil {
				r.OCV25, r.MeasuredAt = *volts, r.MeasuredAt.UTC()
				if lowest != nil {
					r.Lowest = *lowest
				}
				f.Reading = &r
			}
			return nil
		}),
		of(shelfPlaces, func(scan func(...any) error) error {
			var p models.ShelfPlace
			err := scan(&p.ID, &p.ItemID, &p.Place, &p.Since, &p.PlacedBy, &p.EnteredAt)
			p.Since, p.EnteredAt = p.Since.UTC(), p.EnteredAt.UTC()
			f := on(p.ItemID)
			f.Places = append(f.Places, p)
			return err
		}),
		of(shelfCharges, func(scan func(...any) error) error {
			c, err := scannedCharge(scan)
			if err != nil {
				return err
			}
			f := on(c.ItemID)
			if f.Charge = c; c.Kind != models.ChargeLoad {
				f.Recharged = c.StartedAt
			}
			return nil
		}),
		s.dischargesOf(discharges, "SELECT id FROM items WHERE "+where, args, func(d models.ChargeView) {
			if f := on(d.ItemID); f.Discharge == nil || d.End.EndedAt.After(f.Discharge.End.EndedAt) {
				f.Discharge = &d
			}
		}),
		of(shelfWanted, func(scan func(...any) error) error {
			var item, day string
			err := scan(&item, &day)
			on(item).Wanted = day
			return err
		}),
		of(shelfLeft, func(scan func(...any) error) error {
			var (
				item string
				left time.Time
			)
			err := scan(&item, &left)
			if f := on(item); left.After(f.Left) {
				f.Left = left.UTC()
			}
			return err
		}))
	return facts, fault(err, "read what stands on the shelf")
}

// shippedSince are the shipments that went since a moment, and those that were found
// since not to have gone.
const shippedSince = `SELECT id FROM shipments WHERE shipped_at >= ? UNION ALL SELECT shipment_id FROM shipment_voids WHERE voided_at >= ?`

// shelfTouched finds the items whose place on the shelf, or reading, may have
// changed since a moment. A correction touches the item of what it replaces too.
const shelfTouched = `SELECT item_id FROM inspections WHERE received_at >= ?
	UNION SELECT o.item_id FROM inspections AS n JOIN inspections AS o ON o.id = n.supersedes WHERE n.received_at >= ?
	UNION SELECT item_id FROM charges WHERE entered_at >= ?
	UNION SELECT c.item_id FROM charge_ends AS e JOIN charges AS c ON c.id = e.charge_id WHERE e.entered_at >= ?
	UNION SELECT f.part_id FROM charge_ends AS e JOIN charges AS c ON c.id = e.charge_id JOIN fitted_parts AS f ON f.item_id = c.item_id WHERE e.entered_at >= ? AND f.part_id IS NOT NULL
	UNION SELECT item_id FROM capacity_tests WHERE entered_at >= ?
	UNION SELECT f.part_id FROM capacity_tests AS t JOIN fitted_parts AS f ON f.item_id = t.item_id WHERE t.entered_at >= ? AND f.part_id IS NOT NULL
	UNION SELECT item_id FROM shelf_places WHERE entered_at >= ?
	UNION SELECT item_id FROM wanted_dates WHERE set_at >= ?
	UNION SELECT item_id FROM holds WHERE raised_at >= ? AND item_id IS NOT NULL
	UNION SELECT h.item_id FROM hold_lifts AS l JOIN holds AS h ON h.id = l.hold_id WHERE l.lifted_at >= ? AND h.item_id IS NOT NULL
	UNION SELECT part_id FROM fitted_parts WHERE fitted_at >= ? AND part_id IS NOT NULL
	UNION SELECT part_id FROM fitted_parts WHERE out_at >= ? AND part_id IS NOT NULL
	UNION SELECT item_id FROM fitted_parts WHERE out_at >= ?
	UNION SELECT item_id FROM shipment_items WHERE shipment_id IN (` + shippedSince + `)
	UNION SELECT item_id FROM kit_packings WHERE item_id IS NOT NULL AND kit_id IN (SELECT item_id FROM shipment_items WHERE shipment_id IN (` + shippedSince + `))`

// ShelfTouched lists the items that something happened to since a moment, by
// the server's clock.
func (s *Store) ShelfTouched(ctx context.Context, since time.Time) ([]string, error) {
	var ids []string
	args := make([]any, strings.Count(shelfTouched, "?"))
	for i := range args {
		args[i] = models.Moment(since)
	}
	err := s.ask(ctx, question{shelfTouched, args, func(scan func(...any) error) error {
		var id string
		err := scan(&id)
		ids = append(ids, id)
		return err
	}})
	return ids, fault(err, "find what changed on the shelf")
}
