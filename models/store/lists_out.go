package store

import (
	"context"
	"strconv"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// noKey comes before every key there is.
const noKey = "00000000-0000-0000-0000-000000000000"

func orNoKey(key string) string {
	if key == "" {
		return noKey
	}
	return key
}

// LotsAfter lists lots in the order of their keys.
func (s *Store) LotsAfter(ctx context.Context, after string, most int) ([]models.Lot, error) {
	return list[models.Lot](ctx, s, "list lots", "id LIMIT "+strconv.Itoa(most), "id > ?", orNoKey(after))
}

// ItemsAfter lists items in the order of their keys.
func (s *Store) ItemsAfter(ctx context.Context, after string, most int) ([]models.ListedItem, error) {
	var items []models.ListedItem
	err := s.read.WithContext(ctx).Raw(`SELECT i.*, coalesce(p.name, '') AS product,
	coalesce((SELECT number || '/' || revision FROM certificates WHERE item_id = i.id AND `+inForce+`), '') AS certificate
FROM items AS i LEFT JOIN products AS p ON p.id = i.product_id WHERE i.id > ? ORDER BY i.id LIMIT ?`, orNoKey(after), most).Scan(&items).Error
	if err != nil {
		return nil, fault(err, "list items")
	}
	return items, s.shipped(ctx, items)
}

// shipped says of items when they left. Few do among many, so that it is asked of
// those alone.
func (s *Store) shipped(ctx context.Context, items []models.ListedItem) error {
	var gone []string
	at := map[string]*models.ListedItem{}
	for i := range items {
		if items[i].State == models.StateShipped || items[i].State == models.StateRecalled {
			gone = append(gone, items[i].ID)
			at[items[i].ID] = &items[i]
		}
	}
	if len(gone) == 0 {
		return nil
	}
	var rows []struct {
		ItemID    string
		ShippedAt time.Time
	}
	err := s.read.WithContext(ctx).Raw(`SELECT i.id AS item_id, sh.shipped_at FROM items AS i JOIN shipment_items AS si ON si.item_id IN (i.id,
		(SELECT CASE WHEN k.added THEN k.kit_id END FROM kit_packings AS k WHERE k.item_id = i.id ORDER BY k.id DESC LIMIT 1))
	JOIN shipments AS sh ON sh.id = si.shipment_id WHERE i.id IN ? AND NOT EXISTS (SELECT 1 FROM shipment_voids AS v WHERE v.shipment_id = sh.id) ORDER BY sh.shipped_at`, gone).Scan(&rows).Error
	for _, r := range rows {
		at[r.ItemID].ShippedAt = &r.ShippedAt
	}
	return fault(err, "find when items were shipped")
}

// PartsAfter lists what was built in, in the order of its keys.
func (s *Store) PartsAfter(ctx context.Context, after string, most int) ([]models.ListedPart, error) {
	var parts []models.ListedPart
	err := s.read.WithContext(ctx).Raw(`SELECT v.*, coalesce(i.serial, '') AS serial, coalesce(i.maker_number, '') AS item_number FROM (`+partViews+`fitted_parts.id > ? ORDER BY fitted_parts.id LIMIT ?) AS v
JOIN items AS i ON i.id = v.item_id ORDER BY v.id`, orNoKey(after), most).Scan(&parts).Error
	return parts, fault(err, "list what was built in")
}

// ResultsAfter lists the results of so many inspections in the order of their
// keys, without those that another one replaced. last is the key of the last
// inspection that was looked at, "" where there are no more.
func (s *Store) ResultsAfter(ctx context.Context, after string, most int) (results []models.ListedResult, last string, err error) {
	var ids []string
	if err := s.read.WithContext(ctx).Model(&models.Inspection{}).Where("id > ?", orNoKey(after)).Order("id").Limit(most).Pluck("id", &ids).Error; err != nil {
		return nil, "", fault(err, "list inspections")
	}
	if len(ids) == 0 {
		return nil, "", nil
	}
	err = s.read.WithContext(ctx).Raw(`SELECT r.*, t.kind, coalesce(t.serial, '') AS serial, coalesce(t.maker_number, '') AS number, i.stage, i.measured_at
FROM inspections AS i JOIN results AS r ON r.inspection_id = i.id JOIN items AS t ON t.id = i.item_id
WHERE i.id IN ? AND i.superseded_by IS NULL ORDER BY i.id, r.code, r.position`, ids).Scan(&results).Error
	if len(ids) == most {
		last = ids[most-1]
	}
	return results, last, fault(err, "list results")
}

// ShipmentsAfter lists shipments in the order of their keys, with the serials of
// what went.
func (s *Store) ShipmentsAfter(ctx context.Context, after string, most int) ([]models.ListedShipment, error) {
	found, err := list[models.Shipment](ctx, s, "list shipments", "id LIMIT "+strconv.Itoa(most), "id > ?", orNoKey(after))
	if err != nil {
		return nil, err
	}
	views, err := s.shipmentViews(ctx, found)
	if err != nil {
		return nil, err
	}
	var ids []string
	for _, v := range views {
		ids = append(ids, v.Items...)
	}
	items, err := inChunks[models.Item](ctx, s, "find what was shipped", "id", "id IN ?", ids)
	if err != nil {
		return nil, err
	}
	name := map[string]string{}
	for _, i := range items {
		name[i.ID] = i.Name()
	}
	out := make([]models.ListedShipment, len(views))
	for i, v := range views {
		out[i].ShipmentView = v
		for _, id := range v.Items {
			out[i].Names = append(out[i].Names, name[id])
		}
	}
	return out, nil
}

// CustomersAfter lists customers in the order of their keys, which say nothing.
// Each of them was looked at, which is recorded.
func (s *Store) CustomersAfter(ctx context.Context, stamp models.Stamp, after, reason string, most int) ([]models.Customer, error) {
	return s.lookedAt(ctx, stamp, reason, func(tx *gorm.DB) *gorm.DB { return tx.Where("id > ?", orNoKey(after)).Order("id").Limit(most) })
}

// CustomersLooked finds customers by their keys. Each of them was looked at, which
// is recorded; one that was erased is left out.
func (s *Store) CustomersLooked(ctx context.Context, stamp models.Stamp, ids []string, reason string) ([]models.Customer, error) {
	if len(ids) == 0 {
		return nil, nil
	}
	return s.lookedAt(ctx, stamp, reason, func(tx *gorm.DB) *gorm.DB { return tx.Where("id IN ?", ids).Order("id") })
}

func (s *Store) lookedAt(ctx context.Context, stamp models.Stamp, reason string, which func(*gorm.DB) *gorm.DB) ([]models.Customer, error) {
	stamp.At = models.Moment(stamp.At)
	var found []models.Customer
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if err := which(s.kept(tx)).Find(&found).Error; err != nil || len(found) == 0 {
			return err
		}
		looks := make([]models.CustomerLook, len(found))
		for i, c := range found {
			looks[i] = lookAt(stamp, c.ID, reason)
		}
		return writeAll(tx, stamp, looks)
	})
	return found, fault(err, "look customers up")
}
