package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

const notEnded = "NOT EXISTS (SELECT 1 FROM charge_ends WHERE charge_ends.charge_id = charges.id)"

// ChargesOf lists the charges of an item with their ends, newest first.
func (s *Store) ChargesOf(ctx context.Context, itemID string) ([]models.ChargeView, error) {
	charges, err := list[models.Charge](ctx, s, "list charges of item "+itemID, "started_at DESC, id DESC", "item_id = ?", itemID)
	if err != nil || len(charges) == 0 {
		return nil, err
	}
	ends, err := list[models.ChargeEnd](ctx, s, "list ends of charges of item "+itemID, "ended_at", "charge_id IN (SELECT id FROM charges WHERE item_id = ?)", itemID)
	if err != nil {
		return nil, err
	}
	return withEnds(charges, ends), nil
}

// ChargesReaching lists the charges of an item and of the parts in it, newest
// first, and then their discharges, each as a charge of the kind models.Discharge.
func (s *Store) ChargesReaching(ctx context.Context, itemID string) ([]models.ChargeView, error) {
	var charges []models.ChargeView
	err := s.ask(ctx, s.chargesReaching(byKey, itemID, &charges)...)
	return charges, fault(err, "list charges that reach item %s", itemID)
}

// withEnds joins charges with their ends.
func withEnds(charges []models.Charge, ends []models.ChargeEnd) []models.ChargeView {
	byCharge := make(map[string]*models.ChargeEnd, len(ends))
	for i := range ends {
		byCharge[ends[i].ChargeID] = &ends[i]
	}
	views := make([]models.ChargeView, len(charges))
	for i, c := range charges {
		views[i] = models.ChargeView{Charge: c, End: byCharge[c.ID]}
	}
	return views
}

// Charge finds one with its end.
func (s *Store) Charge(ctx context.Context, id string) (models.ChargeView, error) {
	charge, err := first[models.Charge](ctx, s, "find charge "+id, "id = ?", id)
	if err != nil {
		return models.ChargeView{}, err
	}
	ends, err := list[models.ChargeEnd](ctx, s, "find the end of charge "+id, "ended_at", "charge_id = ?", id)
	if err != nil {
		return models.ChargeView{}, err
	}
	return withEnds([]models.Charge{charge}, ends)[0], nil
}

// AddCharge puts an item on a charger. An item that is on one already is
// models.ErrConflict.
func (s *Store) AddCharge(ctx context.Context, stamp models.Stamp, c models.Charge) (models.Charge, error) {
	c.ID = orNewID(c.ID)
	c.StartedAt, c.StartedBy = settled(c.StartedAt, stamp), orActor(c.StartedBy, stamp)
	c.EnteredAt = stamp.At
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if _, err := s.lockItem(tx, c.ItemID); err != nil {
			return err
		}
		var open int64
		if err := tx.Model(&models.Charge{}).Where("item_id = ? AND "+notEnded, c.ItemID).Count(&open).Error; err != nil {
			return err
		}
		if open > 0 {
			return fmt.Errorf("item %s is on a charger already: %w", c.ItemID, models.ErrConflict)
		}
		if err := add(tx, &c); err != nil {
			return err
		}
		return enter(tx, stamp, c, "")
	})
	return c, fault(err, "start a charge of item %s", c.ItemID)
}

// EndCharge ends a charge, once: a second end is models.ErrConflict.
func (s *Store) EndCharge(ctx context.Context, stamp models.Stamp, e models.ChargeEnd) error {
	e.EndedAt, e.EndedBy = settled(e.EndedAt, stamp), orActor(e.EndedBy, stamp)
	e.EnteredAt = stamp.At
	return fault(addRecorded(ctx, s, stamp, &e), "end charge %s", e.ChargeID)
}
