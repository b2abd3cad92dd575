package store

import (
	"context"

	"gorm.io/gorm"

	"tracewright/models"
)

// lotStopped is the condition that the lot of a column may not be fitted: its
// newest decision is quarantine or return. A lot that nobody decided about may.
func lotStopped(column string) string {
	return "coalesce((SELECT d.decision FROM lot_decisions AS d WHERE d.lot_id = " + column + " ORDER BY d.decided_at DESC, d.id DESC LIMIT 1), '') IN ('quarantine', 'return')"
}

// LotRecords gives everything recorded about a lot.
func (s *Store) LotRecords(ctx context.Context, lotID string) (r models.LotRecords, err error) {
	err = s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for all.
		for _, q := range []struct {
			into         any
			where, order string
		}{
			{&r.Checks, "lot_id = ?", "checked_at, id"}, {&r.Decisions, "lot_id = ?", "decided_at, id"}, {&r.Scraps, "lot_id = ?", "scrapped_at, id"}, {&r.Counts, "lot_id = ?", "counted_at, id"},
			{&r.Explanations, "lot_id = ?", "explained_at, id"}, {&r.Contents, "mix_id = ?", "mixed_at, id"}, {&r.Bins, "lot_id = ?", "mixed_at, id"},
		} {
			if err := tx.Where(q.where, lotID).Order(q.order).Find(q.into).Error; err != nil {
				return err
			}
		}
		return nil
	})
	return r, fault(err, "read the records of lot %s", lotID)
}

// NewestLots lists at most so many lots, last received first; of one material
// where it is named.
func (s *Store) NewestLots(ctx context.Context, material string, most int) ([]models.Lot, error) {
	return s.LotsBefore(ctx, material, models.LotKey{}, most)
}

// LotsBefore lists those that come behind one in the order of NewestLots; a zero
// key begins with the first.
func (s *Store) LotsBefore(ctx context.Context, material string, before models.LotKey, most int) ([]models.Lot, error) {
	var lots []models.Lot
	query := s.read.WithContext(ctx).Order("received_at DESC, code").Limit(most)
	if material != "" {
		query = query.Where("material = ?", material)
	}
	if !before.ReceivedAt.IsZero() {
		// The first condition is the index's, the second parts lots of one moment.
		query = query.Where("received_at <= ?", before.ReceivedAt).Where("received_at < ? OR code > ?", before.ReceivedAt, before.Code)
	}
	return lots, fault(query.Find(&lots).Error, "list lots")
}

// lotSums are the questions of LotTotals, each a lot with pieces. What was built
// in of a lot of blocks is told by the blocks that came in by it too, where their
// item does not name the lot.
const lotSums = `SELECT lot_id, 'built_in' AS what, sum(quantity - (SELECT coalesce(sum(b.quantity), 0) FROM part_removals AS b WHERE b.fitted_id = fitted_parts.id AND b.fate IN ('stock', 'never_in'))) AS pieces
		FROM fitted_parts WHERE lot_id IN @lots GROUP BY lot_id
	UNION ALL SELECT r.lot_id, 'built_in', count(DISTINCT r.item_id) FROM block_receipts AS r JOIN fitted_parts AS f ON f.part_id = r.item_id
		WHERE r.lot_id IN @lots AND NOT EXISTS (SELECT 1 FROM part_removals AS b WHERE b.fitted_id = f.id AND b.fate IN ('stock', 'never_in')) AND NOT EXISTS (SELECT 1 FROM fitted_parts AS n WHERE n.item_id = f.item_id AND n.lot_id = r.lot_id) GROUP BY r.lot_id
	UNION ALL SELECT lot_id, 'scrapped', sum(quantity) FROM lot_scraps WHERE lot_id IN @lots GROUP BY lot_id
	UNION ALL SELECT lot_id, 'returned', sum(quantity) FROM lot_decisions WHERE lot_id IN @lots AND decision = 'return' GROUP BY lot_id
	UNION ALL SELECT lot_id, 'mixed', sum(quantity) FROM lot_mixes WHERE lot_id IN @lots GROUP BY lot_id
	UNION ALL SELECT mix_id, 'put_in', sum(quantity) FROM lot_mixes WHERE mix_id IN @lots GROUP BY mix_id`

// LotTotals sums up lots, by their keys.
func (s *Store) LotTotals(ctx context.Context, lotIDs []string) (map[string]models.LotTotals, error) {
	totals := map[string]models.LotTotals{}
	if len(lotIDs) == 0 {
		return totals, nil
	}
	var rows []struct {
		LotID  string
		What   string
		Pieces int
	}
	if err := s.read.WithContext(ctx).Raw(lotSums, map[string]any{"lots": lotIDs}).Scan(&rows).Error; err != nil {
		return nil, fault(err, "sum up %d lots", len(lotIDs))
	}
	for _, r := range rows {
		t := totals[r.LotID]
		t.LotID = r.LotID
		*map[string]*int{"built_in": &t.BuiltIn, "scrapped": &t.Scrapped, "returned": &t.Returned, "mixed": &t.Mixed, "put_in": &t.PutIn}[r.What] += r.Pieces
		totals[r.LotID] = t
	}
	return totals, nil
}

// NewestLotDecisions gives the decision that holds for each of the lots that
// have one.
func (s *Store) NewestLotDecisions(ctx context.Context, lotIDs []string) (map[string]models.LotDecision, error) {
	if len(lotIDs) == 0 {
		return map[string]models.LotDecision{}, nil
	}
	all, err := list[models.LotDecision](ctx, s, "list decisions about lots", "decided_at, id", "lot_id IN ?", lotIDs)
	newest := make(map[string]models.LotDecision, len(all))
	for _, d := range all {
		newest[d.LotID] = d
	}
	return newest, err
}

// LotsInQuarantine lists the lots whose newest decision is quarantine, with it,
// the oldest first.
func (s *Store) LotsInQuarantine(ctx context.Context) ([]models.LotDecision, error) {
	return list[models.LotDecision](ctx, s, "list lots in quarantine", "decided_at, id",
		"decision = 'quarantine' AND NOT EXISTS (SELECT 1 FROM lot_decisions AS later WHERE later.lot_id = lot_decisions.lot_id AND (later.decided_at > lot_decisions.decided_at OR later.decided_at = lot_decisions.decided_at AND later.id > lot_decisions.id))")
}

// LotsLookedAt names those of some lots of which an incoming inspection was finished.
func (s *Store) LotsLookedAt(ctx context.Context, lotIDs []string) ([]string, error) {
	if len(lotIDs) == 0 {
		return nil, nil
	}
	var ids []string
	err := s.read.WithContext(ctx).Raw("SELECT DISTINCT lot_id FROM lot_checks WHERE lot_id IN ? AND verdict <> ? ORDER BY lot_id", lotIDs, models.CheckUnfinished).Scan(&ids).Error
	return ids, fault(err, "find lots that were looked at")
}

// LotExplanations lists those of some lots, oldest first.
func (s *Store) LotExplanations(ctx context.Context, lotIDs []string) ([]models.LotExplanation, error) {
	if len(lotIDs) == 0 {
		return nil, nil
	}
	return list[models.LotExplanation](ctx, s, "list explanations of lots", "explained_at, id", "lot_id IN ?", lotIDs)
}

// UnexplainedCounts lists the counts with a difference that nobody has explained.
func (s *Store) UnexplainedCounts(ctx context.Context) ([]models.LotCount, error) {
	return list[models.LotCount](ctx, s, "list counts that differ", "counted_at, id", "counted <> expected AND NOT EXISTS (SELECT 1 FROM lot_explanations AS e WHERE e.count_id = lot_counts.id)")
}

// LotStops names what keeps each of the lots from being fitted: what was decided
// about it, or about a lot that was mixed into it.
func (s *Store) LotStops(ctx context.Context, lotIDs []string) ([]models.LotStop, error) {
	if len(lotIDs) == 0 {
		return nil, nil
	}
	var stops []models.LotStop
	const newest = "(SELECT d.decision FROM lot_decisions AS d WHERE d.lot_id = l.id ORDER BY d.decided_at DESC, d.id DESC LIMIT 1) AS decision"
	err := s.read.WithContext(ctx).Raw("SELECT l.id AS lot_id, l.code, "+newest+" FROM lots AS l WHERE l.id IN @lots AND "+lotStopped("l.id")+
		" UNION SELECT m.mix_id, l.code, "+newest+" FROM lot_mixes AS m JOIN lots AS l ON l.id = m.lot_id WHERE m.mix_id IN @lots AND "+lotStopped("l.id")+" ORDER BY 1, 2", map[string]any{"lots": lotIDs}).Scan(&stops).Error
	return stops, fault(err, "find lots that are set aside")
}

// BlockLotStops is LotStops of the lot that a block came in by.
func (s *Store) BlockLotStops(ctx context.Context, itemID string) ([]models.LotStop, error) {
	receipts, err := list[models.BlockReceipt](ctx, s, "find the lot of block "+itemID, "item_id", "item_id = ? AND lot_id IS NOT NULL", itemID)
	if err != nil || len(receipts) == 0 {
		return nil, err
	}
	return s.LotStops(ctx, []string{*receipts[0].LotID})
}
