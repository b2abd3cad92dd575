package stock

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what the stock asks of the database. A single record that is not
// there is models.ErrNotFound. Each change writes its trail entries in the same
// transaction.
type Store interface {
	Product(ctx context.Context, id string) (models.Product, error)
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	ItemsByID(ctx context.Context, ids []string) ([]models.Item, error)
	// ItemsByMakerNumber finds them in capitals or not, those written just so first.
	ItemsByMakerNumber(ctx context.Context, number string, limit int) ([]models.Item, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	// ItemLife says since when a block may have been measured here.
	ItemLife(ctx context.Context, itemID string) (models.ItemLife, error)
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)

	// RollFor finds the roll of printed labels a serial's counter lies on, or
	// models.ErrNotFound.
	RollFor(ctx context.Context, letter string, year, counter int) (models.SerialRoll, error)
	// AddBlocks takes blocks in, all or none, and numbers those that have neither a
	// serial nor a maker's number; models.ErrConflict where a number
	// or a row is there already.
	AddBlocks(ctx context.Context, s models.Stamp, year int, blocks []models.NewBlock) ([]models.Item, error)
	// BlockReceiptsOf lists the blocks that came in by these rows.
	BlockReceiptsOf(ctx context.Context, rowIDs []string) ([]models.BlockReceipt, error)
	// BlocksNumbered lists those of a supplier and model with these numbers.
	BlocksNumbered(ctx context.Context, supplier, model string, numbers []string) ([]models.Item, error)
	// StockOf gives the blocks of a model that are in no item, StockOfLot every
	// block of a lot, StockBlock one.
	StockOf(ctx context.Context, productID string) ([]models.StockBlock, error)
	StockOfLot(ctx context.Context, lotID string) ([]models.StockBlock, error)
	StockBlock(ctx context.Context, itemID string) (models.StockBlock, error)
	// AddDispositions decides about blocks, all or none.
	AddDispositions(ctx context.Context, s models.Stamp, decisions []models.Disposition) error
	Dispositions(ctx context.Context, itemID string) ([]models.Disposition, error)

	AddMatch(ctx context.Context, s models.Stamp, m models.Match) error
	Match(ctx context.Context, id string) (models.MatchView, error)
	OpenMatches(ctx context.Context) ([]models.Match, error)
	// PlaceBlock, KeepMatch and DropMatch are models.ErrConflict for a match that
	// has ended; the first two also for a block that is no longer loose.
	PlaceBlock(ctx context.Context, s models.Stamp, p models.MatchPlacement) error
	KeepMatch(ctx context.Context, s models.Stamp, matchID string, year int, packs []models.NewPack) ([]models.Item, error)
	DropMatch(ctx context.Context, s models.Stamp, matchID, reason string) error
}

// Recorder records inspections; it is package capture's service.
type Recorder interface {
	// Try says what is wrong with each submission for a new item of a product,
	// nil where nothing is, and stores nothing.
	Try(ctx context.Context, actor models.Actor, productID string, subs []models.Submission) ([]error, error)
	// RecordOne records a submission: what is stored, and whether it is new.
	// models.ErrConflict when its id is known with other content.
	RecordOne(ctx context.Context, actor models.Actor, sub models.Submission, sentAt time.Time) (inspection models.Inspection, created bool, err error)
}

// Service keeps the stock of blocks.
type Service struct {
	store  Store
	record Recorder
	now    func() time.Time
	zone   func(context.Context) *time.Location
}

// New makes the service; now is the server's clock, zone the shop's time zone,
// which decides what day it is.
func New(store Store, record Recorder, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, record: record, now: now, zone: zone}
}

// today is the shop's day, without a zone.
func (s *Service) today(ctx context.Context) time.Time {
	return dayOf(s.now().In(s.zone(ctx)))
}

// dayOf is the day of a local moment, as midnight UTC.
func dayOf(local time.Time) time.Time {
	year, month, day := local.Date()
	return time.Date(year, month, day, 0, 0, 0, 0, time.UTC)
}
