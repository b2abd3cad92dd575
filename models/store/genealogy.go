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
// that a loop in the records ends. What was taken out again stays in a trace: it
// was in, and says when it went.
const (
	above = `WITH RECURSIVE above(id) AS (
	SELECT item_id FROM fitted_parts WHERE %[1]s = @from
	UNION SELECT fitted_parts.item_id FROM above JOIN fitted_parts ON fitted_parts.part_id = above.id) `
	onTheWayUp = `fitted_parts.id IN (SELECT id FROM fitted_parts WHERE %[1]s = @from
	UNION SELECT fitted_parts.id FROM above JOIN fitted_parts ON fitted_parts.part_id = above.id)`
	below = `WITH RECURSIVE below(id) AS (
	SELECT id FROM items WHERE id = @from
	UNION SELECT fitted_parts.part_id FROM below JOIN fitted_parts ON fitted_parts.item_id = below.id WHERE fitted_parts.part_id IS NOT NULL) `
	onTheWayDown = `fitted_parts.item_id IN (SELECT id FROM below)`
	inOrder      = " ORDER BY fitted_parts.fitted_at, fitted_parts.id"

	// within is an item and what is in it now, through all levels: below without
	// what was taken out again.
	within = `WITH RECURSIVE within(id) AS (
	SELECT id FROM items WHERE id = @from
	UNION SELECT fitted_parts.part_id FROM within JOIN fitted_parts ON fitted_parts.item_id = within.id WHERE fitted_parts.part_id IS NOT NULL AND fitted_parts.out_at IS NULL) `
)

// OutputsOfLot follows a lot into every item that holds it, through all levels.
func (s *Store) OutputsOfLot(ctx context.Context, lotID string) (models.Traced, error) {
	return s.outputs(ctx, "lot_id", lotID)
}

// OutputsOfPart follows a part the same way.
func (s *Store) OutputsOfPart(ctx context.Context, partID string) (models.Traced, error) {
	return s.outputs(ctx, "part_id", partID)
}

func (s *Store) outputs(ctx context.Context, column, from string) (models.Traced, error) {
	up := fmt.Sprintf(above, column)
	return s.traced(ctx, up+partViews+fmt.Sprintf(onTheWayUp, column)+inOrder, up+"SELECT items.* FROM items JOIN above ON above.id = items.id ORDER BY items.id", from)
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
