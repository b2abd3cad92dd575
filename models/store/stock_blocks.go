package store

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"tracewright/models"
)

// The questions of the stock; %s limits them to some blocks.
const (
	stockItems = `SELECT i.id, i.kind, i.serial, i.supplier, i.model, i.maker_number, i.family_id, i.product_id, i.state, i.origin, i.created_at, i.created_by,
	r.row_id, r.n, r.lot_id, r.date_code, r.made_on, r.sent_hash, r.received_at, r.received_by, l.code,
	CASE WHEN EXISTS (SELECT 1 FROM fitted_parts AS f WHERE f.part_id = i.id AND f.out_at IS NULL) THEN 1 ELSE 0 END,
	CASE WHEN EXISTS (SELECT 1 FROM charges AS c WHERE c.item_id = i.id AND NOT EXISTS (SELECT 1 FROM charge_ends AS e WHERE e.charge_id = c.id)) THEN 1 ELSE 0 END
	FROM items AS i LEFT JOIN block_receipts AS r ON r.item_id = i.id LEFT JOIN lots AS l ON l.id = r.lot_id
	WHERE i.id IN (%s) ORDER BY r.received_at, i.serial, i.maker_number, i.id`
	stockReadings = `SELECT i.item_id, i.id, i.stage, i.measured_at, i.verdict, CAST(i.remarks AS text), CAST(i.conditions AS text), v.value, CAST(v.detail AS text), r.value, t.value, s.instrument_id, g.resolution, g.unit,
	(SELECT m.manner FROM reading_sets AS m WHERE m.inspection_id = i.id AND m.code = 'block_resistance' AND m.method = 'whole'), c.verdict
	FROM inspections AS i
	LEFT JOIN results AS v ON v.inspection_id = i.id AND v.code = 'block_ocv25' AND v.position = ''
	LEFT JOIN results AS r ON r.inspection_id = i.id AND r.code = 'block_r25' AND r.position = ''
	LEFT JOIN results AS t ON t.inspection_id = i.id AND t.code = 'temperature' AND t.position = ''
	LEFT JOIN results AS c ON c.inspection_id = i.id AND c.code = 'case_sound' AND c.position = ''
	LEFT JOIN reading_sets AS s ON s.inspection_id = i.id AND s.code = 'block_voltage' AND s.method = 'whole'
	LEFT JOIN instruments AS g ON g.id = s.instrument_id
	WHERE i.superseded_by IS NULL AND i.item_id IN (%s) ORDER BY i.item_id, i.measured_at, i.id`
	stockFailed = `SELECT i.item_id, r.inspection_id, r.code FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id
	WHERE i.superseded_by IS NULL AND i.verdict = 'fail' AND r.verdict = 'fail' AND i.item_id IN (%s) ORDER BY r.inspection_id, r.code`
	stockDecisions = `SELECT id, item_id, decision, code, reason, decided_by, decided_at FROM dispositions WHERE item_id IN (%s) ORDER BY decided_at, id`
	stockHolds     = `SELECT h.item_id, h.reason FROM holds AS h WHERE h.item_id IN (%s) AND NOT EXISTS (SELECT 1 FROM hold_lifts AS l WHERE l.hold_id = h.id)`
	stockLotHolds  = `SELECT b.item_id, h.reason FROM block_receipts AS b JOIN holds AS h ON h.lot_id = b.lot_id
	WHERE b.item_id IN (%s) AND NOT EXISTS (SELECT 1 FROM hold_lifts AS l WHERE l.hold_id = h.id)`
	stockLotStops = `SELECT b.item_id, l.code FROM block_receipts AS b JOIN lots AS l ON l.id = b.lot_id WHERE b.item_id IN (%s) AND `
	stockCharges  = `SELECT item_id, kind, started_at FROM charges WHERE item_id IN (%s) ORDER BY started_at, id`
	stockEnds     = `SELECT c.item_id, e.ended_at FROM charges AS c JOIN charge_ends AS e ON e.charge_id = c.id WHERE c.item_id IN (%s)`
	// What a pack went through while the block was in it, the block did too.
	stockPackCharges = `SELECT f.part_id, c.kind, c.started_at, e.ended_at FROM ` + chargedWith + ` WHERE f.part_id IN (%s)`
	stockPlaced      = `SELECT p.item_id, p.match_id FROM match_placements AS p WHERE p.item_id IN (%s) AND NOT EXISTS (SELECT 1 FROM match_ends AS e WHERE e.match_id = p.match_id)`
)

// Which blocks are asked for.
const (
	looseOf  = `SELECT id FROM items WHERE kind = 'block' AND product_id = ? AND state NOT IN ('scrapped', 'returned_to_supplier') AND NOT EXISTS (SELECT 1 FROM fitted_parts WHERE part_id = items.id AND out_at IS NULL)`
	ofLot    = `SELECT item_id FROM block_receipts WHERE lot_id = ?`
	thisItem = `?`
)

// StockOf gives the blocks of a model that are in no item.
func (s *Store) StockOf(ctx context.Context, productID string) ([]models.StockBlock, error) {
	return s.stock(ctx, looseOf, productID)
}

// StockOfLot gives every block of a lot, those that were built in among them.
func (s *Store) StockOfLot(ctx context.Context, lotID string) ([]models.StockBlock, error) {
	return s.stock(ctx, ofLot, lotID)
}

// StockBlock gives one block.
func (s *Store) StockBlock(ctx context.Context, itemID string) (models.StockBlock, error) {
	found, err := s.stock(ctx, thisItem, itemID)
	if err == nil && len(found) == 0 {
		err = fault(models.ErrNotFound, "find block %s", itemID)
	}
	if err != nil {
		return models.StockBlock{}, err
	}
	return found[0], nil
}

func (s *Store) stock(ctx context.Context, which, key string) ([]models.StockBlock, error) {
	blocks := []models.StockBlock{}
	at, recharged := map[string]int{}, map[string]time.Time{}
	of := func(text string, row func(scan func(...any) error) error) question {
		return question{strings.Replace(text, "%s", which, 1), []any{key}, row}
	}
	on := func(id string) *models.StockBlock {
		if i, ok := at[id]; ok {
			return &blocks[i]
		}
		return &models.StockBlock{} // came in between two questions
	}
	err := s.ask(ctx,
		of(stockItems, func(scan func(...any) error) error {
			b, err := scannedBlock(scan)
			at[b.Item.ID] = len(blocks)
			blocks = append(blocks, b)
			return err
		}),
		of(stockReadings, func(scan func(...any) error) error {
			item, r, err := scannedReading(scan)
			b := on(item)
			b.Readings = append(b.Readings, r)
			return err
		}),
		of(stockDecisions, func(scan func(...any) error) error {
			var d models.Disposition
			err := scan(&d.ID, &d.ItemID, &d.Decision, &d.Code, &d.Reason, &d.DecidedBy, &d.DecidedAt)
			d.DecidedAt = d.DecidedAt.UTC()
			on(d.ItemID).Disposition = &d
			return err
		}),
		of(stockCharges, func(scan func(...any) error) error {
			var item, kind string
			var began time.Time
			err := scan(&item, &kind, &began)
			b := on(item)
			if b.Charges = append(b.Charges, began.UTC()); kind != models.ChargeLoad {
				recharged[item] = began.UTC()
			}
			return err
		}),
		of(stockEnds, func(scan func(...any) error) error {
			var item string
			var at time.Time
			err := scan(&item, &at)
			worked(on(item), at)
			return err
		}),
		of(stockPackCharges, func(scan func(...any) error) error {
			var item, kind string
			var began, ended time.Time
			err := scan(&item, &kind, &began, &ended)
			b := on(item)
			worked(b, ended)
			if b.Charges = append(b.Charges, began.UTC()); kind != models.ChargeLoad && began.After(recharged[item]) {
				recharged[item] = began.UTC()
			}
			return err
		}),
		s.dischargesOf(discharges, which, []any{key}, func(d models.ChargeView) {
			b := on(d.ItemID)
			if b.Charges = append(b.Charges, d.StartedAt); d.End.EndedAt.After(b.EmptiedAt) {
				b.EmptiedAt, b.Emptied = d.End.EndedAt, models.Emptied(&d, recharged[d.ItemID])
			}
			worked(b, d.End.EndedAt)
		}),
		of(stockFailed, func(scan func(...any) error) error {
			var item, inspection, code string
			err := scan(&item, &inspection, &code)
			for i, b := 0, on(item); i < len(b.Readings); i++ {
				if r := &b.Readings[i]; r.InspectionID == inspection {
					r.Failed = append(r.Failed, code)
				}
			}
			return err
		}),
		of(stockHolds, heldBy(on)), of(stockLotHolds, heldBy(on)),
		of(stockLotStops+lotStopped("b.lot_id"), func(scan func(...any) error) error {
			var item, lot string
			err := scan(&item, &lot)
			on(item).LotAside = lot
			return err
		}),
		of(stockPlaced, func(scan func(...any) error) error {
			var item, match string
			err := scan(&item, &match)
			on(item).Match = match
			return err
		}))
	return blocks, fault(err, "read the stock of blocks")
}

func heldBy(on func(string) *models.StockBlock) func(scan func(...any) error) error {
	return func(scan func(...any) error) error {
		var item, reason string
		err := scan(&item, &reason)
		on(item).Held = reason
		return err
	}
}

// worked keeps the newest end of what changed a block's charge.
func worked(b *models.StockBlock, ended time.Time) {
	if ended.After(b.Worked) {
		b.Worked = ended.UTC()
	}
}

func scannedBlock(scan func(...any) error) (models.StockBlock, error) {
	var (
		b                                       models.StockBlock
		row, lotID, code, made, hash, by, named *string
		n                                       *int
		received                                *time.Time
		fitted, charging                        int
	)
	i := &b.Item
	err := scan(&i.ID, &i.Kind, &i.Serial, &i.Supplier, &i.Model, &i.MakerNumber, &i.FamilyID, &i.ProductID, &i.State, &i.Origin, &i.CreatedAt, &i.CreatedBy,
		&row, &n, &lotID, &code, &made, &hash, &received, &by, &named, &fitted, &charging)
	if err != nil {
		return b, err
	}
	i.CreatedAt = i.CreatedAt.UTC()
	b.Fitted, b.Charging = fitted == 1, charging == 1
	if row != nil {
		b.Receipt = &models.BlockReceipt{ItemID: i.ID, RowID: *row, N: *n, LotID: lotID, DateCode: *code, MadeOn: *made, SentHash: *hash, ReceivedAt: received.UTC(), ReceivedBy: *by}
	}
	if named != nil {
		b.Lot = *named
	}
	return b, nil
}

func scannedReading(scan func(...any) error) (item string, r models.StockReading, err error) {
	var (
		remarks, conditions                                                             string
		detail, volts, milliohm, temperature, meter, resolution, unit, mannerRow, sound *string
	)
	if err := scan(&item, &r.InspectionID, &r.Stage, &r.MeasuredAt, &r.Verdict, &remarks, &conditions, &volts, &detail, &milliohm, &temperature, &meter, &resolution, &unit, &mannerRow, &sound); err != nil {
		return "", r, err
	}
	r.MeasuredAt = r.MeasuredAt.UTC()
	for _, x := range []struct {
		into *string
		from *string
	}{{&r.Volts, volts}, {&r.Milliohm, milliohm}, {&r.TemperatureC, temperature}, {&r.Voltmeter, meter}, {&r.Resolution, resolution}, {&r.MeterUnit, unit}, {&r.Manner, mannerRow}, {&r.Case, sound}} {
		if x.from != nil {
			*x.into = *x.from
		}
	}
	if detail != nil {
		var d map[string]string
		if err := json.Unmarshal([]byte(*detail), &d); err != nil {
			return "", r, fmt.Errorf("detail of inspection %s: %w", r.InspectionID, err)
		}
		r.Read = d["read"]
	}
	var c models.Conditions
	if err := json.Unmarshal([]byte(conditions), &c); err != nil {
		return "", r, fmt.Errorf("conditions of inspection %s: %w", r.InspectionID, err)
	}
	r.RestHours = c.RestHours
	if err := json.Unmarshal([]byte(remarks), &r.Remarks); err != nil {
		return "", r, fmt.Errorf("remarks of inspection %s: %w", r.InspectionID, err)
	}
	return item, r, nil
}
