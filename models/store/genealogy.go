package store

import (
	"context"
	"database/sql"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// A trace is one recursive query over fitted_parts, upward by its indexes of
// lot and part, downward by that of the item. UNION keeps each item once, so
// that a loop in the records ends. A lot is fitted by itself, by the bins that
// it was mixed into (lot_mixes holds a row for each, also for those that a bin
// went on into), and by the blocks that came in by it.
const (
	partFirst = `SELECT %[1]s FROM fitted_parts WHERE part_id = @from`
	lotFirst  = `SELECT %[1]s FROM fitted_parts WHERE lot_id = @from
	UNION SELECT fitted_parts.%[1]s FROM lot_mixes JOIN fitted_parts ON fitted_parts.lot_id = lot_mixes.mix_id WHERE lot_mixes.lot_id = @from
	UNION SELECT fitted_parts.%[1]s FROM block_receipts JOIN fitted_parts ON fitted_parts.part_id = block_receipts.item_id WHERE block_receipts.lot_id = @from`
	above = `WITH RECURSIVE above(id) AS (
	%s
	UNION SELECT fitted_parts.item_id FROM above JOIN fitted_parts ON fitted_parts.part_id = above.id) `
	onTheWayUp = `fitted_parts.id IN (%s
	UNION SELECT fitted_parts.id FROM above JOIN fitted_parts ON fitted_parts.part_id = above.id)`
	below = `WITH RECURSIVE below(id) AS (
	SELECT id FROM items WHERE id = @from
	UNION SELECT fitted_parts.part_id FROM below JOIN fitted_parts ON fitted_parts.item_id = below.id WHERE fitted_parts.part_id IS NOT NULL) `
	onTheWayDown = `fitted_parts.item_id IN (SELECT id FROM below)`
	inOrder      = " ORDER BY fitted_parts.fitted_at, fitted_parts.id"
)

// OutputsOfLot follows a lot into every item that holds it, through all levels.
func (s *Store) OutputsOfLot(ctx context.Context, lotID string) (models.Traced, error) {
	return s.outputs(ctx, lotFirst, lotID)
}

// OutputsOfPart follows a part the same way.
func (s *Store) OutputsOfPart(ctx context.Context, partID string) (models.Traced, error) {
	return s.outputs(ctx, partFirst, partID)
}

func (s *Store) outputs(ctx context.Context, first, from string) (models.Traced, error) {
	// The first step alone is no recursion: in brackets, it is one arm.
	up := fmt.Sprintf(above, "SELECT * FROM ("+fmt.Sprintf(first, "item_id")+") AS held")
	return s.traced(ctx, up+partViews+fmt.Sprintf(onTheWayUp, fmt.Sprintf(first, "id"))+inOrder, up+"SELECT items.* FROM items JOIN above ON above.id = items.id ORDER BY items.id", from)
}

// SourcesOf follows an item back to everything that went into it, through all
// levels.
func (s *Store) SourcesOf(ctx context.Context, itemID string) (models.Traced, error) {
	return s.traced(ctx, below+partViews+onTheWayDown+inOrder, below+"SELECT items.* FROM items JOIN below ON below.id = items.id ORDER BY items.id", itemID)
}

func (s *Store) traced(ctx context.Context, fitted, items, from string) (models.Traced, error) {
	var out models.Traced
	key := sql.Named("from", from)
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for both.
		if err := tx.Raw(fitted, key).Scan(&out.Fitted).Error; err != nil {
			return err
		}
		return tx.Raw(items, key).Scan(&out.Items).Error
	})
	return out, fault(err, "trace what is built into what")
}
