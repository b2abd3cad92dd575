package goodness

import (
	"context"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/numbers/stats"
)

const (
	confidence = 0.95
	// FewUnits: of fewer only counts are said.
	FewUnits = 20
	// mostPoints is how many values an answer takes, the newest: ten times as many
	// would tell a share no better than one tells it that is two years old.
	mostPoints = 5000
	// UsualDays is how far back it looks where nobody says.
	UsualDays = 365
	// mostBeyond is how many items beyond a limit are listed.
	mostBeyond = 200
)

// Store is what this package reads. A single record that is not there is
// [models.ErrNotFound]; none of many is an empty list.
type Store interface {
	Families(ctx context.Context) ([]models.Family, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	// SpecificationInForce returns the newest specification of the product, or of its
	// family where the product has none of its own.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	// MeasuredFirst returns the newest first values, oldest first; MeasuredLast those
	// that were certified.
	MeasuredFirst(ctx context.Context, q models.MeasuredQuery) ([]models.MeasuredPoint, error)
	MeasuredLast(ctx context.Context, q models.MeasuredQuery) ([]models.MeasuredPoint, error)
	// ResultShares counts every result of the newest first sets.
	ResultShares(ctx context.Context, q models.MeasuredQuery) ([]models.ResultShare, error)
	// FailedFirst returns those of the newest first sets that failed a result without a
	// value, newest first.
	FailedFirst(ctx context.Context, q models.MeasuredQuery, most int) ([]models.MeasuredPoint, error)
	// Rounds counts the newest wheels with a first set, and those it did not pass.
	Rounds(ctx context.Context, q models.MeasuredQuery) (models.RoundCount, error)
	// BlockFalls returns what blocks fell by between two readings.
	BlockFalls(ctx context.Context, q models.MeasuredQuery) ([]models.BlockFall, error)
}

// Charted is what the control chart of the same values said.
type Charted struct {
	Control spc.Control
	Signals int
}

// Chart asks for the chart of a key over from <= t < to.
type Chart func(ctx context.Context, key models.ChartKey, from, to time.Time) (Charted, error)

// Service answers how good.
type Service struct {
	store Store
	chart Chart
	now   func() time.Time
}

// New returns the service on its store; chart says of a process whether it was in
// control, now is the clock.
func New(store Store, chart Chart, now func() time.Time) *Service {
	return &Service{store: store, chart: chart, now: now}
}

// Query asks about a family, and about one result of it. Without a start it looks
// back [UsualDays].
type Query struct {
	models.ChartKey
	From, To time.Time
}

// Share is k of n with its exact interval.
type Share = stats.Share

func shareOf(k, n int) (Share, error) { return stats.ShareOf(k, n, FewUnits) }

// settled checks a query and finds what it names.
func (s *Service) settled(ctx context.Context, q Query, result bool) (Query, models.Family, *models.Product, error) {
	invalid := &models.InvalidError{}
	if q.FamilyID == "" {
		invalid.Add("family", "missing")
	}
	if result && q.Result == "" {
		invalid.Add("result", "missing")
	}
	if !q.From.IsZero() && !q.To.IsZero() && q.To.Before(q.From) {
		invalid.Add("to", "end_before_start")
	}
	if err := invalid.OrNil(); err != nil {
		return q, models.Family{}, nil, err
	}
	if q.From.IsZero() && q.To.IsZero() {
		q.From = s.now().AddDate(0, 0, -UsualDays)
	}
	family, err := s.store.Family(ctx, q.FamilyID)
	if err != nil || q.ProductID == "" {
		return q, family, nil, err
	}
	product, err := s.store.Product(ctx, q.ProductID)
	if err == nil && product.FamilyID != family.ID {
		err = models.Invalid("product", "unknown_product", "product", product.Name)
	}
	return q, family, &product, err
}

func (q Query) measured(kind string) models.MeasuredQuery {
	return models.MeasuredQuery{FamilyID: q.FamilyID, Kind: kind, ProductID: q.ProductID, Place: q.Place, Result: q.Result, From: q.From, To: q.To, Limit: mostPoints}
}

func idOf(p *models.Product) *string {
	if p == nil {
		return nil
	}
	return &p.ID
}
