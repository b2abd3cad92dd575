package assembly

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
)

const (
	longest = 200    // of a reason or a number, in characters
	most    = 10_000 // pieces in one fitting
)

// Store is what this package reads and writes. Each change writes its trail
// entries in the same transaction.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// ItemNamed finds one by its serial, however that is written, or by its id.
	ItemNamed(ctx context.Context, named string) (models.Item, error)
	// ItemsByMakerNumber finds them in capitals or not, those written just so first.
	ItemsByMakerNumber(ctx context.Context, number string, limit int) ([]models.Item, error)
	// LotByCode finds one by its code, capitals aside.
	LotByCode(ctx context.Context, code string) (models.Lot, error)
	LotsOfSupplierCode(ctx context.Context, code string) ([]models.Lot, error)
	// LotTotals sums up lots by their keys.
	LotTotals(ctx context.Context, lotIDs []string) (map[string]models.LotTotals, error)
	// LotStops names what keeps lots from being fitted, BlockLotStops what keeps
	// the lot of a block.
	LotStops(ctx context.Context, lotIDs []string) ([]models.LotStop, error)
	BlockLotStops(ctx context.Context, blockID string) ([]models.LotStop, error)
	Material(ctx context.Context, code string) (models.Material, error)
	Product(ctx context.Context, id string) (models.Product, error)
	ProductForm(ctx context.Context, productID string) (models.ProductRevision, error)

	// Parts lists what went into an item, what was taken out again too.
	Parts(ctx context.Context, itemID string) ([]models.PartView, error)
	// FittedInto lists where a part went, what it was taken out of too.
	FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error)
	// Disposition gives the newest of a block, or models.ErrNotFound.
	Disposition(ctx context.Context, itemID string) (models.Disposition, error)
	// ChangeParts takes parts out and puts others in: models.ErrStale when a part
	// is no longer where it was, models.ErrLoop when a part holds the item.
	ChangeParts(ctx context.Context, s models.Stamp, itemID string, out []models.PartRemoval, in []models.FittedPart) error
	// AddLaced adds a wheel with its parts under the next serial of the year, and
	// the motor where it is new.
	AddLaced(ctx context.Context, s models.Stamp, year int, l models.Laced) (models.Item, error)
	// LacedSince lists the wheels of a product that a person laced, newest first.
	LacedSince(ctx context.Context, productID, person string, since time.Time) ([]models.Item, error)
}

// Service keeps the build record.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service; now is the server's clock, zone the shop's.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

func (s *Service) item(ctx context.Context, named string) (models.Item, error) {
	item, err := s.store.ItemNamed(ctx, named)
	if err != nil {
		return models.Item{}, fmt.Errorf("item %.40q: %w", named, err)
	}
	return item, nil
}

// numbered finds a part by the shop's serial or by its maker's number; code
// names the problem when there is none, or more than one.
func (s *Service) numbered(ctx context.Context, named models.PartName) (item models.Item, code string, err error) {
	named.Number = ident.MakersNumber(named.Number)
	if serial, misread := ident.Normalise(named.Number); misread == nil {
		item, err = s.store.ItemBySerial(ctx, serial)
		if errors.Is(err, models.ErrNotFound) {
			return models.Item{}, "unknown_number", nil
		}
		return item, "", err
	}
	const several = 50 // suppliers and models that share a number
	found, err := s.store.ItemsByMakerNumber(ctx, named.Number, several)
	if err != nil {
		return models.Item{}, "", fmt.Errorf("find part %.40q: %w", named.Number, err)
	}
	item, code = models.OnlyItem(models.WrittenSo(slices.DeleteFunc(found, func(i models.Item) bool { return !named.Fits(i) }), named.Number))
	return item, code, nil
}

// ToUse finds the lot whose label was scanned to be used from now on; one that is
// set aside, or holds one that is, is an InvalidError on the field.
func (s *Service) ToUse(ctx context.Context, code, field string) (lot models.Lot, found bool, err error) {
	lot, found, err = s.Lot(ctx, code)
	if err != nil || !found {
		return lot, found, err
	}
	stops, err := s.store.LotStops(ctx, []string{lot.ID})
	if err != nil {
		return lot, true, fmt.Errorf("what was decided about lot %s: %w", lot.Code, err)
	}
	if len(stops) > 0 {
		return lot, true, models.Invalid(field, "lot_set_aside", "lot", stops[0].Code)
	}
	return lot, true, nil
}

// Lot finds one by its code, as it was scanned; found is false where there is
// none.
func (s *Service) Lot(ctx context.Context, code string) (lot models.Lot, found bool, err error) {
	lot, err = s.store.LotByCode(ctx, ident.WithoutPrefix(code))
	if errors.Is(err, models.ErrNotFound) {
		return models.Lot{}, false, nil
	}
	if err != nil {
		return models.Lot{}, false, fmt.Errorf("lot %.40q: %w", code, err)
	}
	return lot, true, nil
}
