package store

import (
	"context"
	"slices"
	"strings"
	"time"

	"tracewright/models"
)

// ShippedDays gives what left of a family by day, from a day on: all of it, and what
// held pieces of each lot. See CountShipped.
func (s *Store) ShippedDays(ctx context.Context, familyID, from string) (all, byLot []models.ShippedDay, err error) {
	err = s.read.WithContext(ctx).Raw("SELECT day, units FROM shipped_days WHERE family_id = ? AND day >= ? ORDER BY day", familyID, from).Scan(&all).Error
	if err == nil {
		err = s.read.WithContext(ctx).Raw("SELECT lot_id, day, units FROM shipped_lot_days WHERE family_id = ? AND day >= ? ORDER BY lot_id, day", familyID, from).Scan(&byLot).Error
	}
	return all, byLot, fault(err, "read what left of family %s", familyID)
}

// SharedLots counts, by lot and day, the items of a family that left with pieces of
// a lot and held pieces of the others too.
func (s *Store) SharedLots(ctx context.Context, familyID, lotID, from string, zone *time.Location) ([]models.ShippedDay, error) {
	var days []models.ShippedDay
	for _, way := range waysOut {
		var rows []shippedRow
		err := s.read.WithContext(ctx).Raw(`SELECT shipments.shipped_at, coalesce(g.lot_id, c.lot_id) AS lot_id, count(DISTINCT items.id) AS units FROM `+way+holding("f", "b")+holding("g", "c")+`
	WHERE items.family_id = ? AND shipments.shipped_at >= ? AND coalesce(f.lot_id, b.lot_id) = ? AND coalesce(g.lot_id, c.lot_id) IS NOT NULL AND `+itemsOfLot+` AND `+notVoided+` AND `+leftFirst+`
	GROUP BY shipments.shipped_at, coalesce(g.lot_id, c.lot_id)`, familyID, models.Moment(dayIn(from, zone)), lotID, lotID, lotID).Scan(&rows).Error
		if err != nil {
			return nil, fault(err, "count what left with lot %s and others", lotID)
		}
		for _, r := range rows {
			days = append(days, models.ShippedDay{LotID: r.LotID, Day: r.ShippedAt.In(zone).Format(time.DateOnly), Units: r.Units})
		}
	}
	return days, nil
}

// itemsOfLot keeps the items that ever held pieces of a lot, or blocks of it.
const itemsOfLot = `items.id IN (SELECT item_id FROM fitted_parts WHERE lot_id = ? UNION SELECT fb.item_id FROM block_receipts AS rb JOIN fitted_parts AS fb ON fb.part_id = rb.item_id WHERE rb.lot_id = ?)`

// ShippedItems lists the items that an answer counts, the first to leave first.
func (s *Store) ShippedItems(ctx context.Context, q models.ShippedQuery) ([]models.ShippedItem, error) {
	var out []models.ShippedItem
	for _, way := range waysOut {
		var rows []models.ShippedItem
		text := `SELECT items.id AS item_id, coalesce(items.serial, items.maker_number, '') AS serial, shipments.shipped_at FROM ` + way
		where, args := ` WHERE items.family_id = ? AND shipments.shipped_at >= ? AND shipments.shipped_at < ? AND `+notVoided+` AND `+leftFirst, []any{q.FamilyID, models.Moment(q.From), models.Moment(q.To)}
		if q.LotID != "" {
			where += ` AND ` + itemsOfLot + ` AND EXISTS (SELECT 1 FROM fitted_parts AS f LEFT JOIN block_receipts AS b ON b.item_id = f.part_id WHERE f.item_id = items.id AND coalesce(f.lot_id, b.lot_id) = ?
	AND f.fitted_at <= shipments.shipped_at AND (f.out_at IS NULL OR f.out_at > shipments.shipped_at))`
			args = append(args, q.LotID, q.LotID, q.LotID)
		}
		if err := s.read.WithContext(ctx).Raw(text+where+` ORDER BY shipments.shipped_at, items.id LIMIT ?`, append(args, q.Limit)...).Scan(&rows).Error; err != nil {
			return nil, fault(err, "list what left of family %s", q.FamilyID)
		}
		out = append(out, rows...)
	}
	slices.SortFunc(out, func(a, b models.ShippedItem) int {
		if d := a.ShippedAt.Compare(b.ShippedAt); d != 0 {
			return d
		}
		return strings.Compare(a.ItemID, b.ItemID)
	})
	return out[:min(len(out), q.Limit)], nil
}

// ReturnedItems lists what came back of a family: of each item its first claim since
// it first left, without those that found no fault, where that claim was opened from
// a moment on. The lots that they held are looked up where they are asked for.
func (s *Store) ReturnedItems(ctx context.Context, familyID string, since time.Time, withLots bool) ([]models.ReturnedItem, error) {
	var found []models.ReturnedItem
	err := s.read.WithContext(ctx).Raw(`SELECT claims.id AS claim_id, claims.number, claims.opened_at, items.id AS item_id, coalesce(items.serial, items.maker_number, '') AS serial, coalesce(CAST(items.product_id AS text), '') AS product_id,
	coalesce((SELECT e.decision FROM claim_events AS e WHERE e.claim_id = claims.id AND e.what = 'decided' ORDER BY e.id DESC LIMIT 1), '') AS decision,
	coalesce((SELECT e.code FROM claim_events AS e WHERE e.claim_id = claims.id AND e.what = 'coded' ORDER BY e.id DESC LIMIT 1), '') AS code,
	coalesce((SELECT e.amount FROM claim_events AS e WHERE e.claim_id = claims.id AND e.what = 'cost' ORDER BY e.id DESC LIMIT 1), '') AS amount,
	coalesce((SELECT e.currency FROM claim_events AS e WHERE e.claim_id = claims.id AND e.what = 'cost' ORDER BY e.id DESC LIMIT 1), '') AS currency
	FROM claims JOIN items ON items.id = claims.item_id WHERE claims.opened_at >= ? AND items.family_id = ? ORDER BY claims.opened_at, claims.id`, models.Moment(since), familyID).Scan(&found).Error
	if err != nil {
		return nil, fault(err, "list the claims on family %s", familyID)
	}
	ids := make([]string, len(found))
	for i, f := range found {
		ids[i] = f.ItemID
	}
	left, lots, err := s.howTheyLeft(ctx, ids, withLots)
	if err != nil {
		return nil, err
	}
	var out []models.ReturnedItem
	seen := map[string]bool{}
	for _, f := range found {
		at, went := left[f.ItemID]
		if !went || seen[f.ItemID] || f.Decision == models.ClaimNoFault || f.OpenedAt.Before(at) {
			continue
		}
		seen[f.ItemID] = true
		f.ShippedAt, f.LotIDs = at, lots[f.ItemID]
		out = append(out, f)
	}
	return out, nil
}

// howTheyLeft gives when items first left, and the lots that they held then.
func (s *Store) howTheyLeft(ctx context.Context, ids []string, withLots bool) (left map[string]time.Time, lots map[string][]string, err error) {
	left, lots = map[string]time.Time{}, map[string][]string{}
	for some := range slices.Chunk(ids, chunk) {
		for _, way := range waysOut {
			var rows []struct {
				ItemID, LotID string
				ShippedAt     time.Time
			}
			err := s.read.WithContext(ctx).Raw(`SELECT items.id AS item_id, shipments.shipped_at FROM `+way+` WHERE items.id IN ? AND `+notVoided+` AND `+leftFirst, some).Scan(&rows).Error
			if err != nil {
				return nil, nil, fault(err, "find when items left")
			}
			for _, r := range rows {
				left[r.ItemID] = r.ShippedAt.UTC()
			}
			if !withLots {
				continue
			}
			rows = rows[:0]
			err = s.read.WithContext(ctx).Raw(`SELECT DISTINCT items.id AS item_id, CAST(coalesce(f.lot_id, b.lot_id) AS text) AS lot_id FROM `+way+holding("f", "b")+` WHERE items.id IN ? AND coalesce(f.lot_id, b.lot_id) IS NOT NULL AND `+notVoided+` AND `+leftFirst, some).Scan(&rows).Error
			if err != nil {
				return nil, nil, fault(err, "find what items held when they left")
			}
			for _, r := range rows {
				lots[r.ItemID] = append(lots[r.ItemID], r.LotID)
			}
		}
	}
	return left, lots, nil
}
