package store

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"slices"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

const notVoided = "NOT EXISTS (SELECT 1 FROM shipment_voids WHERE shipment_voids.shipment_id = shipments.id)"

// AddShipment numbers a shipment and says of everything in it that it is
// shipped: the items named and what lies in those that are kits. models.ErrStale
// says that one of them is no longer here, or, where nothing went against the gate now
// or at its packing, is not released any more, or rests on something else than its
// Grounds. It goes no earlier than what is known of it (see noEarlier).
func (s *Store) AddShipment(ctx context.Context, stamp models.Stamp, year2 int, sh models.Shipment) (models.Shipment, error) {
	sh.ID, sh.ShippedAt, sh.ShippedBy = orNewID(sh.ID), settled(sh.ShippedAt, stamp), orActor(sh.ShippedBy, stamp)
	if sh.Against == nil {
		sh.Against = []models.Remark{}
	}
	slices.Sort(sh.Items)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		err := s.letOut(tx, &sh)
		if err != nil {
			return err
		}
		err = s.keepCustomer(tx, sh.Customer)
		if err != nil {
			return err
		}
		if sh.Number, err = counted(tx, "shipment_counters", "S", year2); err != nil {
			return err
		}
		if err := add(tx, &sh); err != nil {
			return err
		}
		rows := make([]models.ShipmentItem, len(sh.Items))
		for i, id := range sh.Items {
			rows[i] = models.ShipmentItem{ShipmentID: sh.ID, ItemID: id}
		}
		if err := add(tx, &rows); err != nil {
			return err
		}
		return enter(tx, stamp, sh, "")
	})
	return sh, fault(err, "add a shipment")
}

// letOut locks everything that goes, in the order of the keys, refuses what is
// not here, and says of the rest that it is shipped. What the owner let into a kit goes
// by that word: its packing keeps what it went in against.
func (s *Store) letOut(tx *gorm.DB, sh *models.Shipment) error {
	kits := slices.Clone(sh.Items)
	slices.Sort(kits)
	for _, key := range kits { // A kit that is locked is packed no further.
		if _, err := s.lockItem(tx, key); err != nil {
			return err
		}
	}
	all, err := withContents(tx, sh.Items)
	if err != nil {
		return err
	}
	items := make([]models.Item, len(all))
	for i, key := range all {
		if items[i], err = s.lockItem(tx, key); err != nil {
			return err
		}
		if inKit, err := kitNow(tx, key); err != nil {
			return err
		} else if inKit != "" && !slices.Contains(sh.Items, inKit) {
			return fmt.Errorf("%s lies in kit %s: %w", items[i].Name(), inKit, models.ErrStale)
		}
	}
	if err := s.sameContents(tx, items, sh.Grounds); err != nil {
		return err
	}
	packed, err := packedIn(tx, sh.Items)
	if err != nil {
		return err
	}
	if sh.ShippedAt, err = noEarlier(tx, sh.ShippedAt, all); err != nil {
		return err
	}
	for _, item := range items { // Which kit it lies in hangs on what is here: all are looked at first.
		how := flow.Ship
		letIn := slices.ContainsFunc(packed, func(p models.KitPacking) bool { return *p.ItemID == item.ID && len(p.Against) > 0 })
		if (len(sh.Against) > 0 || letIn) && !flow.Allows(item.State, how) || item.Kind == models.KindKit && item.State != models.StateHeld {
			how = flow.ShipAgainst
		}
		if err := leave(tx, item, how); err != nil {
			return fmt.Errorf("%s: %w", item.Name(), err)
		}
	}
	return nil
}

// noEarlier is the moment at which items go: after the last packing of each, and the
// last certificate and hold, also where the clock was set back since. What went, and
// with which paper, is told by what came before.
func noEarlier(tx *gorm.DB, at time.Time, items []string) (time.Time, error) {
	for _, last := range []*gorm.DB{
		tx.Model(&models.KitPacking{}).Where("kit_id IN ?", items).Select("packed_at").Order("packed_at DESC"),
		tx.Model(&models.Certificate{}).Where("item_id IN ?", items).Select("issued_at").Order("issued_at DESC"),
		tx.Model(&models.Hold{}).Where("item_id IN ?", items).Select("raised_at").Order("raised_at DESC"),
	} {
		var found []time.Time
		if err := last.Limit(1).Scan(&found).Error; err != nil {
			return at, err
		}
		if len(found) > 0 && found[0].After(at) {
			at = found[0].Add(time.Millisecond) // The keys of one millisecond were made before it, and after.
		}
	}
	return at, nil
}

// sameContents says models.ErrStale where something else lies in what goes than was
// asked about, or rests on something else now.
func (s *Store) sameContents(tx *gorm.DB, items []models.Item, grounds map[string]string) error {
	if grounds == nil {
		return nil
	}
	if len(items) != len(grounds) {
		return fmt.Errorf("something else lies in what goes: %w", models.ErrStale)
	}
	for _, item := range items {
		if err := s.sameGrounds(tx, item, cmp.Or(grounds[item.ID], "none")); err != nil {
			return err
		}
	}
	return nil
}

// withContents adds to items what lies in those that are kits.
func withContents(tx *gorm.DB, items []string) ([]string, error) {
	packed, err := packedIn(tx, items)
	all := slices.Clone(items)
	for _, p := range packed {
		all = append(all, *p.ItemID)
	}
	slices.Sort(all)
	return slices.Compact(all), err
}

// packedIn lists the packings of what lies in items that are kits.
func packedIn(tx *gorm.DB, items []string) (packed []models.KitPacking, err error) {
	err = tx.Where("kit_id IN ? AND added AND item_id IS NOT NULL AND id = (SELECT q.id FROM kit_packings AS q WHERE q.item_id = kit_packings.item_id ORDER BY q.id DESC LIMIT 1)", items).Find(&packed).Error
	return packed, err
}

// VoidShipment says that a shipment did not go: everything in it is here again as it
// was before (see beforeShipment), and what was called back meanwhile on hold for
// that. What came back and went with a later one stays with that. A shipment that is
// void already is models.ErrConflict.
func (s *Store) VoidShipment(ctx context.Context, stamp models.Stamp, v models.ShipmentVoid) error {
	v.VoidedAt, v.VoidedBy = settled(v.VoidedAt, stamp), orActor(v.VoidedBy, stamp)
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var sent models.Shipment
		if err := tx.Where("id = ?", v.ShipmentID).Take(&sent).Error; err != nil {
			return err
		}
		var rows []models.ShipmentItem
		if err := tx.Where("shipment_id = ?", v.ShipmentID).Order("item_id").Find(&rows).Error; err != nil {
			return err
		}
		items := make([]string, len(rows))
		for i, r := range rows {
			items[i] = r.ItemID
		}
		all, err := withContents(tx, items)
		if err != nil {
			return err
		}
		if err := add(tx, &v); err != nil {
			return err
		}
		for _, key := range all {
			item, err := s.lockItem(tx, key)
			if err != nil {
				return err
			}
			later, err := wentLater(tx, v.ShipmentID, key)
			if err != nil {
				return err
			}
			if later {
				continue
			}
			if item.State == models.StateHeld { // It is here already: the end of its hold says as what (see backTo).
				if err := s.heldCalledBack(tx, stamp, item); err != nil {
					return err
				}
			}
			if !flow.Allows(item.State, flow.VoidShipment) {
				continue
			}
			before, err := beforeShipment(tx, item, sent)
			if err == nil {
				err = setState(tx, key, before)
			}
			if err != nil {
				return err
			}
			if item.State != models.StateRecalled {
				continue
			}
			if _, err := s.holdForRecalls(tx, stamp, item); err != nil {
				return err
			}
		}
		return enter(tx, stamp, v, "")
	})
	return fault(err, "void shipment %s", v.ShipmentID)
}

// heldCalledBack holds what was called back, and lies here on another hold, for that
// as well.
func (s *Store) heldCalledBack(tx *gorm.DB, stamp models.Stamp, item models.Item) error {
	var called int64
	err := tx.Model(&models.Hold{}).Where("item_id = ? AND state_before = ? AND "+notLifted, item.ID, models.StateRecalled).Count(&called).Error
	if err == nil && called > 0 {
		_, err = s.holdForRecalls(tx, stamp, item)
	}
	return err
}

// wentLater says whether an item came back and went with a later shipment, by
// itself or in the kit that it lies in now.
func wentLater(tx *gorm.DB, shipmentID, itemID string) (bool, error) {
	kit, err := kitNow(tx, itemID)
	if err != nil {
		return false, err
	}
	keys := []string{itemID}
	if kit != "" {
		keys = append(keys, kit)
	}
	var n int64
	err = tx.Model(&models.Shipment{}).Where("id <> ? AND number > (SELECT number FROM shipments WHERE id = ?) AND id IN (SELECT shipment_id FROM shipment_items WHERE item_id IN ?) AND "+notVoided, shipmentID, shipmentID, keys).Count(&n).Error
	return n > 0, err
}

// Shipments lists the last ones, the newest first.
func (s *Store) Shipments(ctx context.Context, limit int) ([]models.ShipmentView, error) {
	var found []models.Shipment
	if err := s.read.WithContext(ctx).Order("shipped_at DESC, number DESC").Limit(limit).Find(&found).Error; err != nil {
		return nil, fault(err, "list shipments")
	}
	return s.shipmentViews(ctx, found)
}

// ShipmentNumbered finds one by its number.
func (s *Store) ShipmentNumbered(ctx context.Context, number string) (models.ShipmentView, error) {
	found, err := first[models.Shipment](ctx, s, "find shipment "+number, "number = ?", number)
	if err != nil {
		return models.ShipmentView{}, err
	}
	views, err := s.shipmentViews(ctx, []models.Shipment{found})
	if err != nil {
		return models.ShipmentView{}, err
	}
	return views[0], nil
}

// ShipmentsOfOrder lists the shipments of an order that stand.
func (s *Store) ShipmentsOfOrder(ctx context.Context, ref string) ([]models.ShipmentView, error) {
	found, err := list[models.Shipment](ctx, s, "list shipments of order "+ref, "shipped_at, id", "order_ref = ? AND "+notVoided, ref)
	if err != nil {
		return nil, err
	}
	return s.shipmentViews(ctx, found)
}

// wentInKit joins packings AS p with the shipments that their item went with in
// that kit: it was put in before, and neither taken out nor into another one.
var wentInKit = "kit_packings AS p JOIN shipment_items ON shipment_items.item_id = p.kit_id JOIN shipments ON shipments.id = shipment_items.shipment_id AND p.added AND " + packedBefore("p") +
	" AND NOT EXISTS (SELECT 1 FROM kit_packings AS q WHERE q.item_id = p.item_id AND q.id > p.id AND " + packedBefore("q") + ")"

// wentWith lists the keys of the shipments that an item went with, by itself or in a kit.
var wentWith = "SELECT shipment_id FROM shipment_items WHERE item_id = ? UNION SELECT shipments.id FROM " + wentInKit + " WHERE p.item_id = ?"

// packedBefore says of a packing that it came before the shipment. In one
// millisecond the keys tell, which sort by the moment.
func packedBefore(packing string) string {
	return "(" + packing + ".packed_at < shipments.shipped_at OR " + packing + ".packed_at = shipments.shipped_at AND " + packing + ".id < shipments.id)"
}

// SentPackings lists what went in the kits of a shipment, as it had been packed: the
// last packing of each item, and of small parts all of them, oldest first.
func (s *Store) SentPackings(ctx context.Context, shipmentID string) ([]models.KitPacking, error) {
	return list[models.KitPacking](ctx, s, "list what was packed into the kits of shipment "+shipmentID, "id", `id IN (SELECT p.id FROM `+wentInKit+` WHERE shipments.id = @shipment
	UNION SELECT p.id FROM shipments JOIN shipment_items ON shipment_items.shipment_id = shipments.id JOIN kit_packings AS p ON p.kit_id = shipment_items.item_id WHERE shipments.id = @shipment AND p.item_id IS NULL AND `+packedBefore("p")+`)`,
		sql.Named("shipment", shipmentID))
}

// ShipmentsOf lists the shipments that an item went with, by itself or in a kit,
// the newest first; also those that it came back from.
func (s *Store) ShipmentsOf(ctx context.Context, itemID string) ([]models.ShipmentView, error) {
	found, err := list[models.Shipment](ctx, s, "list shipments of item "+itemID, "shipped_at DESC, id DESC",
		"id IN ("+wentWith+")", itemID, itemID)
	if err != nil {
		return nil, err
	}
	return s.shipmentViews(ctx, found)
}

func (s *Store) shipmentViews(ctx context.Context, found []models.Shipment) ([]models.ShipmentView, error) {
	if len(found) == 0 {
		return nil, nil
	}
	ids, views := make([]string, len(found)), make([]models.ShipmentView, len(found))
	for i, sh := range found {
		ids[i], views[i].Shipment = sh.ID, sh
	}
	rows, err := list[models.ShipmentItem](ctx, s, "list what was shipped", "shipment_id, item_id", "shipment_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	voids, err := list[models.ShipmentVoid](ctx, s, "list void shipments", "shipment_id", "shipment_id IN ?", ids)
	if err != nil {
		return nil, err
	}
	for i := range views {
		for _, r := range rows {
			if r.ShipmentID == views[i].ID {
				views[i].Items = append(views[i].Items, r.ItemID)
			}
		}
		for k := range voids {
			if voids[k].ShipmentID == views[i].ID {
				views[i].Void = &voids[k]
			}
		}
	}
	return views, nil
}
