package returns

import (
	"context"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
	"tracewright/models/numbers/stats"
)

const (
	confidence = 0.95
	// FewUnits: of fewer only counts are said.
	FewUnits = 20
	// FewAtRisk is where a curve ends: fewer stand behind a point. Common practice.
	FewAtRisk = 10
	// UsualMonths is how far back it looks where nobody says, MostMonths how far at most.
	UsualMonths, MostMonths = 36, 240
	// MostLag bounds the days from shipment to service that may be stated.
	MostLag = 365
	// daysAMonth is the mean of the calendar: 365.25/12.
	daysAMonth = 30.4375
	// mostListed is how many items a list shows.
	mostListed = 500
)

// Horizons are the months that are looked ahead.
var Horizons = []int{3, 6, 12}

// Store is what this package reads. A single record that is not there is
// [models.ErrNotFound]; none of many is an empty list.
type Store interface {
	Families(ctx context.Context) ([]models.Family, error)
	Family(ctx context.Context, id string) (models.Family, error)
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	// CountShipped brings the counts by day up to date. It is derived: whoever
	// counts again finds the same, and a second call changes nothing.
	CountShipped(ctx context.Context, zone *time.Location, now time.Time) error
	// RecountShipped counts everything anew; progress, where it is not nil, hears of
	// each month.
	RecountShipped(ctx context.Context, zone *time.Location, now time.Time, progress func(done, total int)) error
	// ShippedDays gives the counts of a family from a day on.
	ShippedDays(ctx context.Context, familyID, from string) (all, byLot []models.ShippedDay, err error)
	// SharedLots counts the items that held pieces of a lot and of others too.
	SharedLots(ctx context.Context, familyID, lotID, from string, zone *time.Location) ([]models.ShippedDay, error)
	// ShippedItems lists what a count counts.
	ShippedItems(ctx context.Context, q models.ShippedQuery) ([]models.ShippedItem, error)
	// ReturnedItems lists what came back of a family and was claimed from a moment on,
	// with the lots that it held where they are asked for.
	ReturnedItems(ctx context.Context, familyID string, since time.Time, withLots bool) ([]models.ReturnedItem, error)
}

// Service answers what comes back.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service on its store; now is the clock, zone the shop's time zone,
// in which days and months begin.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// Query asks about one family, or about those of it that left with pieces of a lot.
type Query struct {
	FamilyID string
	Lot      string // its code; empty: whatever they hold
	Months   int    // shipped in so many months up to now; 0 is [UsualMonths]
	LagDays  int    // from shipment to service, as the shop states it
}

// Share is k of n with its exact interval.
type Share = stats.Share

func shareOf(k, n int) (Share, error) { return stats.ShareOf(k, n, FewUnits) }

// View is the answer.
type View struct {
	Query  Query
	Family models.Family
	Lot    *models.Lot
	From   string // first day of shipment that is looked at
	Today  string
	Share  Share
	// Triangle is by calendar month of shipment and age in months; AsOf is the last
	// complete one. Ages is empty while no month is complete.
	Months []Month
	AsOf   string
	Ages   []life.AgeRow
	// Curve of what is asked about by months in service, up to Until, where fewer
	// than [FewAtRisk] units are that old; Rest is that of all others of the family,
	// where a lot is asked about.
	Curve *life.Curve
	Rest  *life.Curve
	Until float64
	// Lag is the days from shipment to service that ages are counted with: those of the
	// query, or 0 where claims before them contradict it. Waiting are the units whose
	// service has yet to begin; where it is all of them, there is no Law and nothing
	// Ahead.
	Lag, Waiting int
	Law          *Law
	Ahead        []Ahead
	Lots         []Lot
	Clock        models.Remark
	Claims       []models.ReturnedItem // those counted, newest first
	// LotsCompared and MonthsCompared are how many had enough units.
	LotsCompared, MonthsCompared int
}

// FamilyLine is one family in short.
type FamilyLine struct {
	Family models.Family
	Share  Share
}

// Month is what left in a month, and what came back of it by age.
type Month struct {
	Month   string // YYYY-MM
	Returns map[int]int
	Excess
	// Because names the lots that explain an excess: without what holds them there is
	// none.
	Because []string
}

// Lot is what left with pieces of a lot.
type Lot struct {
	Lot models.Lot
	Excess
	// Because names the lot that explains an excess: without the items that hold
	// pieces of both, there is none.
	Because string
}

// Rebuild counts everything that left anew.
func (s *Service) Rebuild(ctx context.Context, progress func(done, total int)) error {
	return s.store.RecountShipped(ctx, s.zone(ctx), s.now(), progress)
}

// Keep counts what left since, so that no page has much of it to do.
func (s *Service) Keep(ctx context.Context) error {
	return s.store.CountShipped(ctx, s.zone(ctx), s.now())
}
