package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// RemovalsOf lists what was taken out of an item, oldest first.
func (s *Store) RemovalsOf(ctx context.Context, itemID string) ([]models.PartRemoval, error) {
	return list[models.PartRemoval](ctx, s, "list what was taken out of item "+itemID, "removed_at, id", "item_id = ?", itemID)
}

// ChangeParts takes parts out of an item and puts others in, in one
// transaction, the item and every part with a number locked. models.ErrStale
// says that pieces are no longer there to be taken out, or a part no longer
// free to be put in; models.ErrLoop that a part holds the item itself.
//
// Whatever is really taken out opens the item again: conforming or released, it
// is in process until it is inspected anew. Of one that is not here nothing can be
// taken, which is models.ErrStale; its record may be put right. A part with a number that is
// scrapped or sent back is marked so; a block that was taken out for a fault and
// goes back into the stock is set aside.
func (s *Store) ChangeParts(ctx context.Context, stamp models.Stamp, itemID string, out []models.PartRemoval, in []models.FittedPart) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		fitted, err := s.partsToTakeOut(tx, itemID, out)
		if err != nil {
			return err
		}
		item, err := s.lockChanged(tx, itemID, fitted, in)
		if err != nil {
			return err
		}
		opened := false
		for _, r := range out {
			if r.Physical() && item.Elsewhere() {
				return fmt.Errorf("%s is %s: %w", item.Name(), item.State, models.ErrStale)
			}
			r.ItemID = itemID
			settleRemoval(&r, stamp)
			if err := s.takeOut(tx, stamp, fitted[r.FittedID].PartID, r); err != nil {
				return err
			}
			opened = opened || r.Physical()
		}
		for _, p := range in {
			p.ItemID = itemID
			settlePart(&p, stamp)
			if err := s.putIn(tx, stamp, p); err != nil {
				return err
			}
		}
		if opened && flow.Allows(item.State, flow.Opened) {
			return move(tx, item, flow.Opened)
		}
		return nil
	})
	return fault(err, "change the parts of item %s", itemID)
}

// partsToTakeOut finds what removals name, by its key.
func (s *Store) partsToTakeOut(tx *gorm.DB, itemID string, out []models.PartRemoval) (map[string]models.FittedPart, error) {
	ids := make([]string, len(out))
	for i, r := range out {
		ids[i] = r.FittedID
	}
	var parts []models.FittedPart
	if err := tx.Where("item_id = ? AND id IN ?", itemID, ids).Find(&parts).Error; err != nil {
		return nil, err
	}
	found := map[string]models.FittedPart{}
	for _, p := range parts {
		found[p.ID] = p
	}
	for _, id := range ids {
		if _, ok := found[id]; !ok {
			return nil, fmt.Errorf("part %s is not of this item: %w", id, models.ErrNotFound)
		}
	}
	return found, nil
}

// lockChanged locks the item and the parts with a number, in the order of their
// keys, so that two changes never wait for each other.
func (s *Store) lockChanged(tx *gorm.DB, itemID string, out map[string]models.FittedPart, in []models.FittedPart) (item models.Item, err error) {
	keys := []string{itemID}
	add := func(id *string) {
		if id != nil {
			keys = append(keys, *id)
		}
	}
	for _, p := range out {
		add(p.PartID)
	}
	for _, p := range in {
		add(p.PartID)
	}
	slices.Sort(keys)
	for _, key := range slices.Compact(keys) {
		locked, err := s.lockItem(tx, key)
		if err != nil {
			return item, err
		}
		if key == itemID {
			item = locked
		}
	}
	return item, nil
}

func (s *Store) takeOut(tx *gorm.DB, stamp models.Stamp, partID *string, r models.PartRemoval) error {
	done := tx.Model(&models.FittedPart{}).Where("id = ? AND quantity - taken_out >= ?", r.FittedID, r.Quantity).
		Updates(map[string]any{"taken_out": gorm.Expr("taken_out + ?", r.Quantity), "out_at": gorm.Expr("CASE WHEN quantity = taken_out + ? THEN "+s.momentOf("?")+" END", r.Quantity, r.RemovedAt)})
	if done.Error != nil {
		return done.Error
	}
	if done.RowsAffected == 0 {
		return fmt.Errorf("%d pieces of part %s are not in it: %w", r.Quantity, r.FittedID, models.ErrStale)
	}
	if err := add(tx, &r); err != nil {
		return err
	}
	gone := map[string]flow.Event{models.FateScrap: flow.PartScrapped, models.FateSupplier: flow.PartReturned}[r.Fate]
	if partID != nil && gone != "" {
		if err := s.partGone(tx, stamp, *partID, gone, r.Reason); err != nil {
			return err
		}
	}
	if code := models.SetsAside[r.Code]; partID != nil && r.Fate == models.FateStock && code != "" {
		if err := setAside(tx, stamp, *partID, code, r.Reason); err != nil {
			return err
		}
	}
	return enter(tx, stamp, r, "")
}

// partGone marks a part as scrapped or sent back. What was open about it is closed
// by that: nothing is left to decide.
func (s *Store) partGone(tx *gorm.DB, stamp models.Stamp, partID string, event flow.Event, reason string) error {
	part, err := s.lockItem(tx, partID)
	if err != nil {
		return err
	}
	open, err := openNonconformity(tx, partID)
	if err != nil {
		return err
	}
	if open == nil {
		return move(tx, part, event)
	}
	return s.addStep(tx, stamp, open, part, models.NonconformityStep{What: string(event), Note: reason})
}

// setAside keeps a block that was taken out for a fault from being fitted again.
func setAside(tx *gorm.DB, stamp models.Stamp, partID, code, reason string) error {
	var kind string
	if err := tx.Model(&models.Item{}).Where("id = ?", partID).Pluck("kind", &kind).Error; err != nil || kind != models.KindBlock {
		return err
	}
	d := models.Disposition{ID: models.NewID(), ItemID: partID, Decision: models.Quarantine, Code: code, Reason: reason, DecidedBy: stamp.By.PersonID, DecidedAt: models.Moment(stamp.At)}
	if err := add(tx, &d); err != nil {
		return err
	}
	return enter(tx, stamp, d, "")
}

// momentOf says to PostgreSQL what a placeholder is, where nothing else does.
func (s *Store) momentOf(placeholder string) string {
	if s.dialect == Postgres {
		return "CAST(" + placeholder + " AS timestamptz)"
	}
	return placeholder
}

func (s *Store) putIn(tx *gorm.DB, stamp models.Stamp, p models.FittedPart) error {
	if p.PartID != nil {
		if err := free(tx, *p.PartID); err != nil {
			return err
		}
		var n int64
		if err := tx.Raw(within+"SELECT count(*) FROM within WHERE id = @item", sql.Named("from", *p.PartID), sql.Named("item", p.ItemID)).Scan(&n).Error; err != nil {
			return err
		}
		if n > 0 {
			return fmt.Errorf("part %s holds item %s: %w", *p.PartID, p.ItemID, models.ErrLoop)
		}
	}
	if err := add(tx, &p); err != nil {
		return err
	}
	return enter(tx, stamp, p, "")
}
