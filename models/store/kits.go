package store

import (
	"context"
	"fmt"
	"slices"

	"gorm.io/gorm"

	"tracewright/models"
)

// inKitNow says of items AS i, which are here, whether the newest packing put them
// into a kit that is here too.
const inKitNow = `(SELECT p.added AND k.state NOT IN ('shipped', 'recalled', 'scrapped', 'returned_to_supplier') FROM kit_packings AS p JOIN items AS k ON k.id = p.kit_id
	WHERE p.item_id = i.id ORDER BY p.id DESC LIMIT 1)`

// KitPackings lists what was put into a kit and taken out, oldest first.
func (s *Store) KitPackings(ctx context.Context, kitID string) ([]models.KitPacking, error) {
	return list[models.KitPacking](ctx, s, "list what was packed into kit "+kitID, "id", "kit_id = ?", kitID)
}

// PackingsOf lists the kits that an item was put into and taken out of, oldest
// first.
func (s *Store) PackingsOf(ctx context.Context, itemID string) ([]models.KitPacking, error) {
	return list[models.KitPacking](ctx, s, "list the kits of item "+itemID, "id", "item_id = ?", itemID)
}

// PackKit puts something into a kit or takes it out, the kit and the item
// locked. What was scrapped or sent back is taken out like anything else. models.ErrStale
// says that the kit is shipped, or the item in another kit or shipped meanwhile, or
// not in this one.
func (s *Store) PackKit(ctx context.Context, stamp models.Stamp, p models.KitPacking) error {
	p.ID, p.PackedAt, p.PackedBy = orNewID(p.ID), settled(p.PackedAt, stamp), orActor(p.PackedBy, stamp)
	if p.Against == nil {
		p.Against = []models.Remark{}
	}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		keys := []string{p.KitID}
		if p.ItemID != nil {
			keys = append(keys, *p.ItemID)
		}
		slices.Sort(keys)
		for _, key := range keys {
			item, err := s.lockItem(tx, key)
			if err != nil {
				return err
			}
			if gone(item.State) && (p.Added || key == p.KitID || away(item.State)) {
				return fmt.Errorf("%s is %s: %w", item.Name(), item.State, models.ErrStale)
			}
		}
		if p.ItemID != nil {
			kit, err := kitNow(tx, *p.ItemID)
			if err != nil {
				return err
			}
			if p.Added && kit != "" || !p.Added && kit != p.KitID {
				return fmt.Errorf("item %s is in kit %q now: %w", *p.ItemID, kit, models.ErrStale)
			}
		}
		if err := add(tx, &p); err != nil {
			return err
		}
		return enter(tx, stamp, p, "")
	})
	return fault(err, "pack kit %s", p.KitID)
}

// gone says of a state that the item is no longer in the house.
func gone(state string) bool {
	return slices.Contains([]string{models.StateShipped, models.StateRecalled, models.StateScrapped, models.StateReturned}, state)
}

// kitNow is the kit that an item lies in, "" for none. What is here came back out
// of a kit that is not.
func kitNow(tx *gorm.DB, itemID string) (string, error) {
	var last []struct {
		KitID, Kit, Item string // the states of both
		Added            bool
	}
	err := tx.Raw(`SELECT CAST(p.kit_id AS text) AS kit_id, p.added, k.state AS kit, i.state AS item FROM kit_packings AS p JOIN items AS k ON k.id = p.kit_id JOIN items AS i ON i.id = p.item_id
	WHERE p.item_id = ? ORDER BY p.id DESC LIMIT 1`, itemID).Scan(&last).Error
	if err != nil || len(last) == 0 || !last[0].Added || gone(last[0].Kit) && !gone(last[0].Item) {
		return "", err
	}
	return last[0].KitID, nil
}

// KitOf is the key of the kit that an item lies in, "" for none.
func (s *Store) KitOf(ctx context.Context, itemID string) (string, error) {
	kit, err := kitNow(s.read.WithContext(ctx), itemID)
	return kit, fault(err, "find the kit of item %s", itemID)
}

// OpenKits lists the kits that are not shipped, the oldest first.
func (s *Store) OpenKits(ctx context.Context) ([]models.Item, error) {
	return list[models.Item](ctx, s, "list open kits", "created_at, id", "kind = 'kit' AND state IN ('in_process', 'conforming', 'held', 'released')")
}

// onCharger says of an item i that it is on a charger now: it cannot leave.
const onCharger = "EXISTS (SELECT 1 FROM charges WHERE charges.item_id = i.id AND " + notEnded + ")"

// ReadyOf lists items of a product that are released, in no kit, on no charger and
// not shipped, the oldest first.
func (s *Store) ReadyOf(ctx context.Context, productID string, limit int) ([]models.Item, error) {
	var items []models.Item
	err := s.read.WithContext(ctx).Raw("SELECT i.* FROM items AS i WHERE i.state = 'released' AND i.product_id = ? AND coalesce("+inKitNow+", ?) = ? AND NOT "+onCharger+" ORDER BY i.created_at, i.id LIMIT ?", productID, false, false, limit).Scan(&items).Error
	return items, fault(err, "list what is ready of product %s", productID)
}
