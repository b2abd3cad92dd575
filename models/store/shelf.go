package store

import (
	"context"
	"time"

	"gorm.io/gorm"

	"tracewright/models"
)

// ShelfPlacesOf lists where an item stood, oldest first.
func (s *Store) ShelfPlacesOf(ctx context.Context, itemID string) ([]models.ShelfPlace, error) {
	return list[models.ShelfPlace](ctx, s, "list places of item "+itemID, "since, id", "item_id = ?", itemID)
}

// AddShelfPlace says where an item stands from a moment on.
func (s *Store) AddShelfPlace(ctx context.Context, stamp models.Stamp, p models.ShelfPlace) error {
	settlePlace(&p, stamp)
	return fault(addRecorded(ctx, s, stamp, &p), "place item %s on the shelf", p.ItemID)
}

func settlePlace(p *models.ShelfPlace, stamp models.Stamp) {
	p.ID, p.Since, p.PlacedBy, p.EnteredAt = orNewID(p.ID), settled(p.Since, stamp), orActor(p.PlacedBy, stamp), stamp.At
}

// ChangeShelf says anew where an item stands and for which day it is wanted, as decide
// answers, nil for what stays. It is given what stands, empty for none, the item locked.
func (s *Store) ChangeShelf(ctx context.Context, stamp models.Stamp, itemID string, decide func(place, day string) (*models.ShelfPlace, *models.WantedDate, error)) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		if _, err := s.lockItem(tx, itemID); err != nil {
			return err
		}
		var place models.ShelfPlace
		if err := tx.Where("item_id = ?", itemID).Order("since DESC, id DESC").Limit(1).Find(&place).Error; err != nil {
			return err
		}
		var wanted models.WantedDate
		if err := tx.Where("item_id = ?", itemID).Order("set_at DESC, id DESC").Limit(1).Find(&wanted).Error; err != nil {
			return err
		}
		p, w, err := decide(place.Place, wanted.Day)
		if err == nil && p != nil {
			settlePlace(p, stamp)
			if err = add(tx, p); err == nil {
				err = enter(tx, stamp, *p, "")
			}
		}
		if err == nil && w != nil {
			settleWanted(w, stamp)
			if err = add(tx, w); err == nil {
				err = enter(tx, stamp, *w, "")
			}
		}
		return err
	})
	return fault(err, "change the place and day of item %s", itemID)
}

// ShelfTemperatures lists the temperatures that were entered since a moment, of
// every place, by place and moment.
func (s *Store) ShelfTemperatures(ctx context.Context, enteredSince time.Time) ([]models.ShelfTemperature, error) {
	return list[models.ShelfTemperature](ctx, s, "list shelf temperatures", "place, at, id", "entered_at >= ?", models.Moment(enteredSince))
}

// AddShelfTemperature adds one.
func (s *Store) AddShelfTemperature(ctx context.Context, stamp models.Stamp, t models.ShelfTemperature) error {
	t.ID = orNewID(t.ID)
	t.At, t.EnteredBy = settled(t.At, stamp), orActor(t.EnteredBy, stamp)
	t.EnteredAt = stamp.At
	return fault(addRecorded(ctx, s, stamp, &t), "add a temperature of %s", t.Place)
}

// WantedDate gives the newest day that an item is wanted for, empty for none.
func (s *Store) WantedDate(ctx context.Context, itemID string) (models.WantedDate, error) {
	return newest[models.WantedDate](ctx, s, "find the day item "+itemID+" is wanted for", "set_at DESC, id DESC", "item_id = ?", itemID)
}

// AddWantedDate says for which day an item is wanted.
func (s *Store) AddWantedDate(ctx context.Context, stamp models.Stamp, w models.WantedDate) error {
	settleWanted(&w, stamp)
	return fault(addRecorded(ctx, s, stamp, &w), "set the day item %s is wanted for", w.ItemID)
}

func settleWanted(w *models.WantedDate, stamp models.Stamp) {
	w.ID, w.SetAt, w.SetBy = orNewID(w.ID), settled(w.SetAt, stamp), orActor(w.SetBy, stamp)
}
