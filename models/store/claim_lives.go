package store

import (
	"context"
	"slices"
	"strings"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// lifeFacts are the questions of ServiceLives, each an item with a moment: when
// items of a family went out by themselves, and within a kit; when they were
// claimed.
var lifeFacts = []string{
	`SELECT items.id AS item_id, shipments.shipped_at AS at FROM items JOIN shipment_items ON shipment_items.item_id = items.id JOIN shipments ON shipments.id = shipment_items.shipment_id WHERE items.family_id = ? AND ` + notVoided,
	`SELECT items.id AS item_id, shipments.shipped_at AS at FROM ` + wentInKit + ` JOIN items ON items.id = p.item_id WHERE items.family_id = ? AND ` + notVoided,
	`SELECT items.id AS item_id, claims.opened_at AS at FROM items JOIN claims ON claims.item_id = items.id WHERE items.family_id = ?
		AND coalesce((SELECT e.decision FROM claim_events AS e WHERE e.claim_id = claims.id AND e.what = 'decided' ORDER BY e.id DESC LIMIT 1), '') <> 'no_fault'`,
}

// ServiceLives lists the items of a family that left the shop, in the order of
// their keys.
func (s *Store) ServiceLives(ctx context.Context, familyID string) ([]models.ServiceLife, error) {
	type fact struct {
		ItemID string
		At     time.Time
	}
	lives := map[string]*models.ServiceLife{}
	err := s.read.WithContext(ctx).Transaction(func(tx *gorm.DB) error { // One state of the records for all.
		var facts [3][]fact
		for i, q := range lifeFacts {
			if err := tx.Raw(q, familyID).Scan(&facts[i]).Error; err != nil {
				return err
			}
		}
		for _, f := range slices.Concat(facts[0], facts[1]) {
			l := lives[f.ItemID]
			if l == nil {
				l = &models.ServiceLife{ItemID: f.ItemID, ShippedAt: f.At}
				lives[f.ItemID] = l
			}
			if f.At.Before(l.ShippedAt) {
				l.ShippedAt = f.At
			}
		}
		for _, f := range facts[2] {
			if l := lives[f.ItemID]; l != nil && (l.ClaimedAt == nil || f.At.Before(*l.ClaimedAt)) && !f.At.Before(l.ShippedAt) {
				l.ClaimedAt = &f.At
			}
		}
		var items []models.Item
		if err := tx.Select("id", "serial", "product_id", "created_at", "built_on").Where("family_id = ?", familyID).Find(&items).Error; err != nil {
			return err
		}
		for _, i := range items {
			if l := lives[i.ID]; l != nil {
				l.MadeAt = i.MadeAt()
				if i.Serial != nil {
					l.Serial = *i.Serial
				}
				if i.ProductID != nil {
					l.ProductID = *i.ProductID
				}
			}
		}
		var places []models.Inspection
		if err := tx.Select("item_id", "place").Where("family_id = ? AND first_set", familyID).Find(&places).Error; err != nil {
			return err
		}
		for _, p := range places {
			if l := lives[p.ItemID]; l != nil {
				l.Place = p.Place
			}
		}
		return nil
	})
	if err != nil {
		return nil, fault(err, "list what left the shop of family %s", familyID)
	}
	var out []models.ServiceLife
	for _, l := range lives {
		out = append(out, *l)
	}
	slices.SortFunc(out, func(a, b models.ServiceLife) int { return strings.Compare(a.ItemID, b.ItemID) })
	return out, nil
}

// EverHeld lists which items hold or held pieces of each of the lots, without
// those that only passed through a bin.
func (s *Store) EverHeld(ctx context.Context, lotIDs []string) (map[string][]string, error) {
	if len(lotIDs) == 0 {
		return nil, nil
	}
	parts, err := list[models.FittedPart](ctx, s, "list what holds the lots", "lot_id, item_id", "lot_id IN ?", lotIDs)
	held := map[string][]string{}
	for _, p := range parts {
		held[*p.LotID] = append(held[*p.LotID], p.ItemID)
	}
	return held, err
}
