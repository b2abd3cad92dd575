package effect

import (
	"context"
	"fmt"
	"time"

	"tracewright/models"
	"tracewright/models/trade/kinds"
)

// Store is what the service reads.
type Store interface {
	Families(ctx context.Context) ([]models.Family, error)
	Family(ctx context.Context, id string) (models.Family, error)
	Product(ctx context.Context, id string) (models.Product, error)
	Person(ctx context.Context, id string) (models.Person, error)
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	Specifications(ctx context.Context, familyID string) ([]models.Specification, error)
	Searched(ctx context.Context, q models.SearchQuery) (models.Searched, error)
	Instruments(ctx context.Context) ([]models.Instrument, error)
	CalibrationsOf(ctx context.Context, instrumentIDs []string) ([]models.Calibration, error)
	OpenCorrectiveActions(ctx context.Context) ([]models.CorrectiveActionView, error)
	ClosedCorrectiveActions(ctx context.Context, limit int) ([]models.CorrectiveActionView, error)
}

const (
	// LookBack is how far back the moment may lie, and the values that are taken.
	LookBack        = 365 * 24 * time.Hour
	mostInspections = 25_000
	// Each side needs so many values on so many days.
	FewestValues = 8
	FewestDays   = 5
	shuffles     = 10_000
	seed         = 20270524
)

// Query says what is looked at, and when it changed.
type Query struct {
	FamilyID  string
	Result    string
	ProductID string // empty: all
	Place     string
	PersonID  string
	// At is the first moment of the time after; zero asks for nothing but the
	// events to choose from.
	At time.Time
	// Days is how many days are taken on each side; 0: all of the last year.
	Days int
}

// View is the answer.
type View struct {
	Query
	Day      string // of At, in the shop's zone, YYYY-MM-DD
	Family   models.Family
	Product  *models.Product
	Person   *models.Person
	Unit     string
	Decimals int
	Log      bool // compared on logarithms
	Events   []Event
	Event    *Event // the one whose moment was asked for
	Points   []Point
	Before   Side
	After    Side
	Answered bool // there is a difference to speak of; else Answer says why not
	// Effect is after less before with its 95 % interval, in the unit.
	Effect, Low, High float64
	P                 float64
	Larger, Drawn     int
	Exact             bool
	Others            *Compared // what all others did over the same moment
	Answer            models.Remark
	Chance            models.Remark // how often shuffled days give as much; no code where nothing is answered
	Notes             []models.Remark
}

// Point is one value.
type Point struct {
	InspectionID, ItemID, Serial, Place string
	At                                  time.Time
	Value                               float64
	After                               bool
	day                                 int
	product                             string
}

// Side is the values of one side of the moment. Level is their mean over days, of
// logarithms where these are compared; it is bounded from two days on.
type Side struct {
	N, Days          int
	Level, Low, High float64
	Bounded          bool
}

// Compared is the same difference of others.
type Compared struct {
	N                 int
	Effect, Low, High float64
}

// Service answers.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New makes the service.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// For is [Service.Effect] as somebody may ask it: who asks for another builder
// without seeing builders is refused with [models.ErrForbidden].
func (s *Service) For(ctx context.Context, actor models.Actor, q Query) (View, error) {
	if q.PersonID != "" && q.PersonID != actor.PersonID && !actor.SeesBuilders() {
		return View{}, fmt.Errorf("before and after of another person: %w", models.ErrForbidden)
	}
	return s.Effect(ctx, q)
}

// Effect compares before and after. Bad or missing parts of the query are
// [models.InvalidError]; an unknown family, product or person is
// [models.ErrNotFound]. Too few values are no error: the answer says so.
func (s *Service) Effect(ctx context.Context, q Query) (View, error) {
	invalid := &models.InvalidError{}
	if q.FamilyID == "" {
		invalid.Add("family", "missing")
	}
	if q.Result == "" {
		invalid.Add("result", "missing")
	}
	now := s.now()
	switch {
	case q.At.IsZero():
	case q.At.After(now):
		invalid.Add("at", "effect_in_future")
	case q.At.Before(now.Add(-LookBack)):
		invalid.Add("at", "effect_too_long_ago", "days", fmt.Sprint(int(LookBack.Hours()/24)))
	}
	if q.Days < 0 || q.Days > 365 {
		invalid.Add("days", "effect_days")
	}
	if err := invalid.OrNil(); err != nil {
		return View{}, err
	}
	v, characteristic, err := s.about(ctx, q)
	if err != nil {
		return v, err
	}
	all, err := s.store.Searched(ctx, models.SearchQuery{FamilyID: q.FamilyID, From: now.Add(-LookBack), Results: []string{q.Result}, Limit: mostInspections})
	if err != nil {
		return v, fmt.Errorf("values of %s: %w", q.Result, err)
	}
	if v.Events, err = s.events(ctx, v.Family, all, characteristic, now); err != nil {
		return v, err
	}
	for i, e := range v.Events {
		if e.At.Equal(q.At) {
			v.Event = &v.Events[i]
		}
	}
	v.Day = q.At.In(s.zone(ctx)).Format(time.DateOnly)
	own, others := v.points(all, s.zone(ctx))
	v.Points = own
	if q.At.IsZero() {
		v.Answer = models.NewRemark("effect_no_moment")
		return v, nil
	}
	return v, v.compare(others)
}

// about reads what the query names.
func (s *Service) about(ctx context.Context, q Query) (View, models.Characteristic, error) {
	v := View{Query: q}
	var err error
	if v.Family, err = s.store.Family(ctx, q.FamilyID); err != nil {
		return v, models.Characteristic{}, fmt.Errorf("effect in family %.40q: %w", q.FamilyID, err)
	}
	if q.ProductID != "" {
		p, err := s.store.Product(ctx, q.ProductID)
		if err != nil {
			return v, models.Characteristic{}, fmt.Errorf("effect for product %.40q: %w", q.ProductID, err)
		}
		if p.FamilyID != v.Family.ID {
			return v, models.Characteristic{}, models.Invalid("product", "unknown_product", "product", p.Name)
		}
		v.Product = &p
	}
	if q.PersonID != "" {
		p, err := s.store.Person(ctx, q.PersonID)
		if err != nil {
			return v, models.Characteristic{}, fmt.Errorf("effect for person %.40q: %w", q.PersonID, err)
		}
		v.Person = &p
	}
	var product *string
	if v.Product != nil {
		product = &v.Product.ID
	}
	spec, err := s.store.SpecificationInForce(ctx, v.Family.ID, product)
	if err != nil {
		return v, models.Characteristic{}, fmt.Errorf("specification of family %s: %w", v.Family.Name, err)
	}
	l, c, ok := spec.Limit(q.Result)
	if !ok || c.Form != models.Measured && c.Form != models.Counted {
		return v, c, models.Invalid("result", "unknown_code", "code", q.Result)
	}
	v.measures(l, c.Printed(l))
	return v, c, nil
}

func (v *View) measures(l models.Limit, decimals int) {
	v.Unit, v.Decimals, v.Log = l.Unit, decimals, kinds.Skewed(l.Result)
}

// points are the first readings that the query means, and those of all others of
// the family where it means a part; oldest first, those within the days asked for.
func (v *View) points(all models.Searched, zone *time.Location) (own, others []Point) {
	from, to := time.Time{}, time.Time{}
	if v.Days > 0 && !v.At.IsZero() {
		from, to = v.At.AddDate(0, 0, -v.Days), v.At.AddDate(0, 0, v.Days)
	}
	for _, i := range all.Inspections {
		first := i.FirstSet || i.Round == 1 && (i.Stage == models.Final || i.Stage == models.Incoming)
		if !first || i.MeasuredAt.Before(from) || !to.IsZero() && i.MeasuredAt.After(to) {
			continue
		}
		for _, x := range all.Values[i.ID] {
			if x.Code != v.Result || x.Position != "" {
				continue
			}
			local := i.MeasuredAt.In(zone)
			p := Point{InspectionID: i.ID, ItemID: i.ItemID, Serial: i.Serial, Place: i.Place, At: i.MeasuredAt, Value: x.Value, product: i.ProductID,
				After: !v.At.IsZero() && !i.MeasuredAt.Before(v.At), day: int(time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC).Unix() / (24 * 60 * 60))}
			if v.ProductID != "" && i.ProductID != v.ProductID || v.Place != "" && i.Place != v.Place || v.PersonID != "" && i.PersonID != v.PersonID {
				others = append(others, p)
			} else {
				own = append(own, p)
			}
		}
	}
	return own, others
}
