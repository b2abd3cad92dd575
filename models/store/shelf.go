package store

import (
	"context"
	"time"

	"tracewright/models"
)

// ShelfPlacesOf lists where an item stood, oldest first.
func (s *Store) ShelfPlacesOf(ctx context.Context, itemID string) ([]models.ShelfPlace, error) {
	return list[models.ShelfPlace](ctx, s, "list places of item "+itemID, "since, id", "item_id = ?", itemID)
}

// AddShelfPlace says where an item stands from a moment on.
func (s *Store) AddShelfPlace(ctx context.Context, stamp models.Stamp, p models.ShelfPlace) error {
	p.ID = orNewID(p.ID)
	p.Since, p.PlacedBy = settled(p.Since, stamp), orActor(p.PlacedBy, stamp)
	p.EnteredAt = stamp.At
	return fault(addRecorded(ctx, s, stamp, &p), "place item %s on the shelf", p.ItemID)
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
	w.ID = orNewID(w.ID)
	w.SetAt, w.SetBy = settled(w.SetAt, stamp), orActor(w.SetBy, stamp)
	return fault(addRecorded(ctx, s, stamp, &w), "set the day item %s is wanted for", w.ItemID)
}
