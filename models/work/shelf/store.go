package shelf

import (
	"context"
	"sync"
	"time"

	"tracewright/models"
)

// Store is what the shelf asks of the database. Each change writes its trail
// entry in the same transaction.
type Store interface {
	// ShelfFacts gives what is known of these items, or of every pack and block
	// when none is named.
	ShelfFacts(ctx context.Context, itemIDs []string) ([]models.ShelfFact, error)
	// ShelfTouched lists the items that something happened to since a moment.
	ShelfTouched(ctx context.Context, since time.Time) ([]string, error)
	// ItemsHeld lists every item that an open hold reaches, by itself, by a part
	// or by a lot in it.
	ItemsHeld(ctx context.Context) ([]string, error)
	// ShelfTemperatures lists the temperatures entered since a moment.
	ShelfTemperatures(ctx context.Context, enteredSince time.Time) ([]models.ShelfTemperature, error)
	// Products lists those of a family, or all.
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error)
	// Awaited lists what open orders still wait for, the first due first.
	Awaited(ctx context.Context) ([]models.Awaited, error)
	Item(ctx context.Context, id string) (models.Item, error)
	// ItemNamed finds one by its serial, however that is written, or by its id.
	ItemNamed(ctx context.Context, named string) (models.Item, error)

	// FittedInto lists where a part went.
	FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error)
	// ItemLife says since when an item may have been charged here.
	ItemLife(ctx context.Context, itemID string) (models.ItemLife, error)
	ChargesOf(ctx context.Context, itemID string) ([]models.ChargeView, error)
	Charge(ctx context.Context, id string) (models.ChargeView, error)
	// AddCharge returns models.ErrConflict for an item that is on a charger.
	AddCharge(ctx context.Context, s models.Stamp, c models.Charge) (models.Charge, error)
	// EndCharge returns models.ErrConflict the second time.
	EndCharge(ctx context.Context, s models.Stamp, e models.ChargeEnd) error
	AddShelfPlace(ctx context.Context, s models.Stamp, p models.ShelfPlace) error
	// ChangeShelf adds what decide answers with, nil for nothing; it is given what
	// stands, the item locked.
	ChangeShelf(ctx context.Context, s models.Stamp, itemID string, decide func(place, day string) (*models.ShelfPlace, *models.WantedDate, error)) error
	AddShelfTemperature(ctx context.Context, s models.Stamp, t models.ShelfTemperature) error
	AddWantedDate(ctx context.Context, s models.Stamp, w models.WantedDate) error
}

// Service keeps watch.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location

	mu   sync.Mutex // one look brings what is known up to date at a time
	seen *known
}

// New returns the service on its store; now is the server's clock, zone the
// shop's time zone, which decides when a day ends.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}
