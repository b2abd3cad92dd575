package store

import (
	"context"
	"database/sql"

	"tracewright/models"
)

// PartsSetAside lists the parts of an item, through all levels, whose newest
// disposition is quarantine.
func (s *Store) PartsSetAside(ctx context.Context, itemID string) ([]models.Item, error) {
	return read[models.Item](ctx, s, "find what is set aside in item "+itemID, within, ` WHERE id IN (SELECT id FROM within
	WHERE (SELECT decision FROM dispositions WHERE dispositions.item_id = within.id ORDER BY decided_at DESC, dispositions.id DESC LIMIT 1) = 'quarantine') ORDER BY id`, sql.Named("from", itemID))
}

// PartsElsewhere lists the parts of an item that are fitted into another too.
func (s *Store) PartsElsewhere(ctx context.Context, itemID string) ([]models.Item, error) {
	return list[models.Item](ctx, s, "find parts of item "+itemID+" in another", "id",
		"id IN (SELECT here.part_id FROM fitted_parts AS here JOIN fitted_parts AS there ON there.part_id = here.part_id AND there.item_id <> here.item_id AND there.out_at IS NULL WHERE here.item_id = ? AND here.out_at IS NULL)", itemID)
}

// lotsWithin are the lots in an item now: fitted, mixed into a bin that was, or those
// that blocks of it came in by.
var lotsWithin = asWithin(`, held(id) AS (
	SELECT f.lot_id FROM within CROSS JOIN fitted_parts AS f WHERE f.item_id = within.id AND f.out_at IS NULL
	UNION SELECT m.lot_id FROM within CROSS JOIN fitted_parts AS f CROSS JOIN lot_mixes AS m WHERE f.item_id = within.id AND f.out_at IS NULL AND m.mix_id = f.lot_id
	UNION SELECT r.lot_id FROM within CROSS JOIN block_receipts AS r WHERE r.item_id = within.id)
	`)

// LotsSetAside lists the lots in an item now, through all levels, that are in
// quarantine or went back. What was taken out again is not asked about.
func (s *Store) LotsSetAside(ctx context.Context, itemID string) ([]models.Lot, error) {
	return read[models.Lot](ctx, s, "find lots that are set aside in item "+itemID, within+lotsWithin[s.dialect], " WHERE id IN (SELECT id FROM held WHERE "+lotStopped("held.id")+") ORDER BY code", sql.Named("from", itemID))
}
