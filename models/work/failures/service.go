package failures

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

// Store is what the package asks of the database.
type Store interface {
	// FoldTallies brings tallies up to the records, at most that many days of a
	// family, and returns how many are left.
	FoldTallies(ctx context.Context, zone *time.Location, most int) (int, error)
	// RebuildTallies sums every day up anew.
	RebuildTallies(ctx context.Context, zone *time.Location, progress func(done, total int)) error
	Tallies(ctx context.Context, q models.TallyQuery) (models.Tallied, error)
	// FirstSets lists first sets, newest first, and how many there are.
	FirstSets(ctx context.Context, q models.FirstSetQuery) ([]models.FirstSet, int, error)
	Families(ctx context.Context) ([]models.Family, error)
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	People(ctx context.Context) ([]models.Person, error)
	LotsByID(ctx context.Context, ids []string) ([]models.Lot, error)
	Settings(ctx context.Context) (map[string]string, error)
	Defects(ctx context.Context) (models.Defects, error)
}

// Service answers what fails.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New makes the service; now is the clock, zone the shop's time zone.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

const (
	// atOnce is how many days of a family one question sums up; what is left is
	// summed up beside the server, and said.
	atOnce = 2000
	// UsualWeeks is how far back is looked where nobody says otherwise.
	UsualWeeks = 12
	// FewestInGroup is the least number of first sets that are compared: common
	// practice, as for any share of so few.
	FewestInGroup = 20
)

// Keep brings the tallies up to date. The server does so now and then, that no
// question has much to sum up.
func (s *Service) Keep(ctx context.Context) error {
	_, err := s.store.FoldTallies(ctx, s.zone(ctx), 1<<30)
	return err
}

// Rebuild sums every tally up anew, whatever stands there.
func (s *Service) Rebuild(ctx context.Context, progress func(done, total int)) error {
	return s.store.RebuildTallies(ctx, s.zone(ctx), progress)
}

// Query is what is asked about.
type Query struct {
	What      string // a kind of item, or the id of a family; empty: wheels, or whatever kind there is
	From, To  string // days of the shop, YYYY-MM-DD, both included; empty: the last twelve weeks
	ProductID string
	Place     string
	Code      string // of a cause: groups are compared by what failed so; empty: by whatever failed
}

// asked is a query with what it names.
type asked struct {
	Query
	kind     string
	families []models.Family
	products []models.Product
	ids      []string
}

// settle completes a query. Errors: models.InvalidError with every problem,
// models.ErrNotFound for a family that there is not.
func (s *Service) settle(ctx context.Context, q Query) (asked, error) {
	invalid := &models.InvalidError{}
	today := s.now().In(s.zone(ctx))
	if q.To == "" {
		q.To = today.Format(time.DateOnly)
	}
	to, err := time.Parse(time.DateOnly, q.To)
	if err != nil {
		invalid.Add("to", "bad_date", "typed", models.Shortened(q.To))
	}
	if q.From == "" && err == nil { // The week of the last day, and those before.
		q.From = monday(to).AddDate(0, 0, -7*(UsualWeeks-1)).Format(time.DateOnly)
	}
	from, err := time.Parse(time.DateOnly, q.From)
	if err != nil && q.From != "" {
		invalid.Add("from", "bad_date", "typed", models.Shortened(q.From))
	}
	if invalid.OrNil() == nil && to.Before(from) {
		invalid.Add("to", "end_before_start")
	}
	if err := invalid.OrNil(); err != nil {
		return asked{}, err
	}
	if q.Code != "" {
		book, err := s.store.Defects(ctx)
		if err != nil {
			return asked{}, fmt.Errorf("codes of defects: %w", err)
		}
		if !knownCode(book, q.Code) {
			return asked{}, models.Invalid("code", "unknown_code", "code", models.Shortened(q.Code))
		}
	}
	all, err := s.store.Families(ctx)
	if err != nil {
		return asked{}, fmt.Errorf("families: %w", err)
	}
	a := asked{Query: q, kind: q.What}
	if q.What == "" && len(all) > 0 {
		a.kind = all[0].Kind
		if slices.ContainsFunc(all, func(f models.Family) bool { return f.Kind == models.KindWheel }) {
			a.kind = models.KindWheel
		}
	}
	for _, f := range all {
		if f.ID == q.What {
			a.kind = f.Kind
		}
	}
	for _, f := range all {
		if f.ID == q.What || f.Kind == a.kind && (q.What == "" || q.What == a.kind) {
			a.families, a.ids = append(a.families, f), append(a.ids, f.ID)
		}
	}
	if len(a.families) == 0 && q.What != "" && !slices.Contains(Kinds, q.What) {
		return asked{}, fmt.Errorf("family %.40q: %w", q.What, models.ErrNotFound)
	}
	for _, f := range a.families {
		list, err := s.store.Products(ctx, f.ID)
		if err != nil {
			return asked{}, fmt.Errorf("products of family %s: %w", f.Name, err)
		}
		a.products = append(a.products, list...)
	}
	if q.ProductID != "" && !slices.ContainsFunc(a.products, func(p models.Product) bool { return p.ID == q.ProductID }) {
		return asked{}, models.Invalid("product", "unknown_product", "product", models.Shortened(q.ProductID))
	}
	return a, nil
}

// Kinds are the kinds of item that have first sets.
var Kinds = []string{models.KindWheel, models.KindPack, models.KindBlock}

// monday is the first day of a day's week.
func monday(day time.Time) time.Time { return day.AddDate(0, 0, -(int(day.Weekday())+6)%7) }
