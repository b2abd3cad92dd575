package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// A trace is one recursive query over fitted_parts, upward by its indexes of
// lot and part, downward by that of the item. UNION keeps each item once, so
// that a loop in the records ends. What was taken out again stays in a trace: it
// was in, and says when it went. A lot is fitted by itself, by the bins that it
// was mixed into (lot_mixes holds a row for each, also for those that a bin went
// on into), and by the blocks that came in by it, where there are any: asked for
// in vain, their join would cost the plan of all the rest.
const (
	ofPart   = "SELECT %[1]s FROM fitted_parts WHERE part_id = @from"
	ofLots   = "SELECT %[1]s FROM fitted_parts WHERE lot_id IN @lots"
	ofBlocks = " UNION SELECT fitted_parts.%[1]s FROM block_receipts JOIN fitted_parts ON fitted_parts.part_id = block_receipts.item_id WHERE block_receipts.lot_id = @from"
	above    = `WITH RECURSIVE above(id) AS (
	%s
	UNION SELECT fitted_parts.item_id FROM above JOIN fitted_parts ON fitted_parts.part_id = above.id) `
	onTheWayUp = `fitted_parts.id IN (%s
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
	var out models.Traced
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for all.
		lots, blocks := []string{}, 0
		if err := tx.Raw("SELECT DISTINCT CAST(mix_id AS text) FROM lot_mixes WHERE lot_id = ?", lotID).Scan(&lots).Error; err != nil {
			return err
		}
		if err := tx.Raw("SELECT count(*) FROM (SELECT 1 FROM block_receipts WHERE lot_id = ? LIMIT 1) AS one", lotID).Scan(&blocks).Error; err != nil {
			return err
		}
		first := ofLots
		if blocks > 0 {
			first = "SELECT * FROM (" + ofLots + ofBlocks + ") AS held"
		}
		return outputs(tx, &out, first, map[string]any{"from": lotID, "lots": append(lots, lotID)})
	})
	return out, fault(err, "trace where lot %s went", lotID)
}

// OutputsOfPart follows a part the same way.
func (s *Store) OutputsOfPart(ctx context.Context, partID string) (models.Traced, error) {
	var out models.Traced
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		return outputs(tx, &out, ofPart, map[string]any{"from": partID})
	})
	return out, fault(err, "trace where part %s went", partID)
}

func outputs(tx *gorm.DB, out *models.Traced, first string, named map[string]any) error {
	up := fmt.Sprintf(above, fmt.Sprintf(first, "item_id"))
	return traced(tx, out, up+partViews+fmt.Sprintf(onTheWayUp, fmt.Sprintf(first, "id"))+inOrder, up+"SELECT items.* FROM items JOIN above ON above.id = items.id ORDER BY items.id", named)
}

// SourcesOf follows an item back to everything that went into it, through all
// levels.
func (s *Store) SourcesOf(ctx context.Context, itemID string) (models.Traced, error) {
	var out models.Traced
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error {
		return traced(tx, &out, below+partViews+onTheWayDown+inOrder, below+"SELECT items.* FROM items JOIN below ON below.id = items.id ORDER BY items.id", map[string]any{"from": itemID})
	})
	return out, fault(err, "trace what went into item %s", itemID)
}

// traced asks both questions of a trace, in one state of the records.
func traced(tx *gorm.DB, out *models.Traced, fitted, items string, named map[string]any) error {
	if err := tx.Raw(fitted, named).Scan(&out.Fitted).Error; err != nil {
		return err
	}
	return tx.Raw(items, named).Scan(&out.Items).Error
}
