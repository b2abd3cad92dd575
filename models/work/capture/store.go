package capture

import (
	"context"
	"time"

	"tracewright/models"
)

// Store is what capture asks of the database.
type Store interface {
	// Place finds an item by its normalised serial with everything to judge it
	// by, and the instruments of the codes asked for; or models.ErrNotFound.
	Place(ctx context.Context, serial string, instruments []string) (models.Placement, error)
	// PlaceItem is Place by an item's key.
	PlaceItem(ctx context.Context, id string, instruments []string) (models.Placement, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	// Disposition gives the newest decision about a block, or models.ErrNotFound.
	Disposition(ctx context.Context, itemID string) (models.Disposition, error)
	// Parts lists what went into an item, FittedInto where a part went.
	Parts(ctx context.Context, itemID string) ([]models.PartView, error)
	FittedInto(ctx context.Context, partID string) ([]models.FittedPart, error)
	// ChargesReaching lists the charges of an item and its parts, and their
	// discharges.
	ChargesReaching(ctx context.Context, itemID string) ([]models.ChargeView, error)
	// ItemLife says since when an item may have been measured here.
	ItemLife(ctx context.Context, itemID string) (models.ItemLife, error)
	// OpenNonconformity is the one of an item that is not closed, or
	// models.ErrNotFound.
	OpenNonconformity(ctx context.Context, itemID string) (models.NonconformityView, error)
	// RollFor finds the roll of printed labels a serial's counter lies on, or
	// models.ErrNotFound.
	RollFor(ctx context.Context, letter string, year, counter int) (models.SerialRoll, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	Families(ctx context.Context) ([]models.Family, error)
	ProductRevision(ctx context.Context, productID string, revision int) (models.ProductRevision, error)
	// SpecificationInForce gives the newest of the product, or of its family.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	// InstrumentsByCode gives those that exist of the codes asked for.
	InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error)
	Instruments(ctx context.Context) ([]models.Instrument, error)
	// HowGaugesStood gives what was known of instruments at any time, and which reverse
	// traces were made since readings of a moment.
	HowGaugesStood(ctx context.Context, instrumentIDs []string, measured time.Time) (models.GaugesStood, error)
	// TraceAgain says of reverse traces that readings from before them came at a moment.
	TraceAgain(ctx context.Context, traceIDs []string, at time.Time) error
	// GaugeTables lists every table of some instruments, newest first for each
	// spoke.
	GaugeTables(ctx context.Context, instrumentIDs []string) ([]models.GaugeTable, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	// LotStops names what keeps each of the lots from being fitted, and
	// BlockLotStops the lot that a block came in by.
	LotStops(ctx context.Context, lotIDs []string) ([]models.LotStop, error)
	BlockLotStops(ctx context.Context, itemID string) ([]models.LotStop, error)
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	// LotTotals sums up lots by their keys.
	LotTotals(ctx context.Context, lotIDs []string) (map[string]models.LotTotals, error)
	Materials(ctx context.Context) ([]models.Material, error)
	// ItemsByMakerNumber finds motors and blocks that carry a maker's number, capitals
	// aside: those written just so first, then by supplier and model.
	ItemsByMakerNumber(ctx context.Context, number string, limit int) ([]models.Item, error)
	ItemsByTail(ctx context.Context, tail string, limit int) ([]models.Item, error)
	// Inspection finds one by id, or models.ErrNotFound.
	Inspection(ctx context.Context, id string) (models.Inspection, error)
	InspectionView(ctx context.Context, id string) (models.InspectionView, error)
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)
	Item(ctx context.Context, id string) (models.Item, error)
	OpenHolds(ctx context.Context, itemID string) ([]models.Hold, error)
	// HeldFrom gives the state that a hold on an item interrupted, or what became
	// of it under the hold.
	HeldFrom(ctx context.Context, item models.Item) (string, error)
	// AddInspection writes everything of one inspection in one transaction.
	// The same id with the same SentHash gives the stored one, created false;
	// with another hash models.ErrConflict. models.ErrStale says that the
	// item's state is no longer StateBefore.
	AddInspection(ctx context.Context, stamp models.Stamp, n models.NewInspection) (inspection models.Inspection, created bool, err error)
	// AddUnplaced keeps an inspection that could not be placed; repeating it
	// is harmless, as with AddInspection.
	AddUnplaced(ctx context.Context, stamp models.Stamp, u models.Unplaced) error
	Unplaced(ctx context.Context, id string) (models.Unplaced, error)
	OpenUnplaced(ctx context.Context) ([]models.Unplaced, error)
	SettleUnplaced(ctx context.Context, stamp models.Stamp, s models.UnplacedSettlement) error
	Draft(ctx context.Context, id string) (models.Draft, error)
	// SaveDraft writes a draft when the stored version is expected (0: none
	// yet) and returns it with the next version; models.ErrStale otherwise,
	// models.ErrConflict when it is closed.
	SaveDraft(ctx context.Context, d models.Draft, expected int) (models.Draft, error)
	OpenDrafts(ctx context.Context) ([]models.Draft, error)
	CloseDraft(ctx context.Context, id string, at time.Time) error
	People(ctx context.Context) ([]models.Person, error)
	Settings(ctx context.Context) (map[string]string, error)
}

// Service records inspections.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
	// against is nil where nobody keeps a stock.
	against Against
	// tell is nil where nobody counts.
	tell func(took time.Duration, out Outcome, err error)
}

// New makes the service; now is the server's clock, zone the shop's time zone,
// which decides on which day a gauge is overdue.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}
