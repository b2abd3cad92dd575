package lists

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what this package reads and writes. Each Add writes everything it is
// given, with its trail entries, in one transaction, or nothing: models.ErrConflict
// and models.ErrStale say that the records are no longer as they were looked at.
type Store interface {
	Lots(ctx context.Context) ([]models.Lot, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	// AddLots gives codes to those without: L, two-digit year, hyphen, a number.
	AddLots(ctx context.Context, s models.Stamp, year2 int, lots []models.Lot) error

	Products(ctx context.Context, familyID string) ([]models.Product, error)
	Families(ctx context.Context) ([]models.Family, error)
	Rolls(ctx context.Context) ([]models.SerialRoll, error)
	ItemsBySerial(ctx context.Context, serials []string) ([]models.Item, error)
	// ItemsByMakerNumbers finds them in capitals or not.
	ItemsByMakerNumbers(ctx context.Context, numbers []string) ([]models.Item, error)
	Suppliers(ctx context.Context) ([]models.Supplier, error)
	// AddListedItems gives serials of the year to wheels and packs without.
	AddListedItems(ctx context.Context, s models.Stamp, year2 int, items []models.Item) error

	People(ctx context.Context) ([]models.Person, error)
	// PartsOf lists what went into items, by their keys.
	PartsOf(ctx context.Context, itemIDs []string) (map[string][]models.PartView, error)
	AddFitted(ctx context.Context, s models.Stamp, parts []models.FittedPart) error

	// CustomersAlike finds customers by their whole names, capitals aside. It is
	// no look at them: they are compared with what somebody has in hand.
	CustomersAlike(ctx context.Context, names []string) ([]models.Customer, error)
	AddCustomers(ctx context.Context, s models.Stamp, list []models.Customer) error

	// The next records behind a key, "" to begin, at most so many.
	LotsAfter(ctx context.Context, after string, most int) ([]models.Lot, error)
	ItemsAfter(ctx context.Context, after string, most int) ([]models.ListedItem, error)
	PartsAfter(ctx context.Context, after string, most int) ([]models.ListedPart, error)
	ShipmentsAfter(ctx context.Context, after string, most int) ([]models.ListedShipment, error)
	// ResultsAfter counts inspections, and gives all the results of each that no
	// other has replaced; last is the key to go on with, "" at the end.
	ResultsAfter(ctx context.Context, after string, most int) (list []models.ListedResult, last string, err error)
	// CustomersAfter and CustomersLooked record a look at each.
	CustomersAfter(ctx context.Context, s models.Stamp, after, reason string, most int) ([]models.Customer, error)
	CustomersLooked(ctx context.Context, s models.Stamp, ids []string, reason string) ([]models.Customer, error)
}

// Checks are how the services whose records these are look at them, without
// storing anything: one entry for each that was given.
type Checks struct {
	Materials func(context.Context) ([]models.Material, error)
	Lots      func(context.Context, models.Actor, []models.Lot) ([]models.Lot, []*models.InvalidError, error)
	Parts     func(context.Context, []models.PartsToFit) ([][]models.FittedPart, []*models.InvalidError, error)
	Customer  func(models.Customer) (models.Customer, error)
	Reason    func(ctx context.Context, given string) error // to look at customers
}

// Words name what has no words here.
type Words struct {
	Stage, Result, Unit, Verdict func(code string) string
}

// Service takes lists in and writes them out.
type Service struct {
	store  Store
	checks Checks
	words  Words
	now    func() time.Time
	zone   func(context.Context) *time.Location
	taking chan struct{} // holds one while a list is taken in
}

// New returns the service; now is the server's clock, zone the shop's.
func New(store Store, checks Checks, words Words, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, checks: checks, words: words, now: now, zone: zone, taking: make(chan struct{}, 1)}
}
