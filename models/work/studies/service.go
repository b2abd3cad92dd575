package studies

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"tracewright/models"
)

// Store is what this package keeps its records in. A single record that is not
// there is [models.ErrNotFound]; each Add writes its trail entries in the same
// transaction.
type Store interface {
	Family(ctx context.Context, id string) (models.Family, error)
	Products(ctx context.Context, familyID string) ([]models.Product, error)
	ProductRevisions(ctx context.Context, productID string) ([]models.ProductRevision, error)
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)
	Instruments(ctx context.Context) ([]models.Instrument, error)
	InstrumentsByCode(ctx context.Context, codes []string) ([]models.Instrument, error)
	People(ctx context.Context) ([]models.Person, error)
	Series(ctx context.Context, query models.SeriesQuery) ([]models.SeriesPoint, error)

	// AddStudy numbers the study and returns it.
	AddStudy(ctx context.Context, s models.Stamp, study models.GaugeStudy) (models.GaugeStudy, error)
	Studies(ctx context.Context) ([]models.GaugeStudy, error)
	StudyNumbered(ctx context.Context, number int) (models.StudyView, error)
	StudyViews(ctx context.Context, studies []models.GaugeStudy) ([]models.StudyView, error)
	// AddStudyReading keeps a reading once: the same again is no change, a turn that
	// was read meanwhile or a study that has ended is [models.ErrStale].
	AddStudyReading(ctx context.Context, s models.Stamp, r models.StudyReading) error
	StrikeStudyReading(ctx context.Context, s models.Stamp, x models.StudyStrike) error
	// EndStudy keeps the end and, where there is one, the budget in one transaction.
	EndStudy(ctx context.Context, s models.Stamp, end models.StudyEnd, budget *models.UncertaintyBudget) error
	Budgets(ctx context.Context, familyID string) ([]models.UncertaintyBudget, error)
	Budget(ctx context.Context, id string) (models.UncertaintyBudget, error)
	AddBudget(ctx context.Context, s models.Stamp, b models.UncertaintyBudget) error
}

// Service plans and evaluates studies, and keeps budgets.
type Service struct {
	store Store
	now   func() time.Time
	seed  func() int64
}

// New returns the service on its store; now is the clock.
func New(store Store, now func() time.Time) *Service {
	return &Service{store: store, now: now, seed: rand.Int64}
}

// View is a study with the names that go with it.
type View struct {
	models.StudyView
	Instrument models.Instrument
	Family     models.Family
	People     map[string]string // names by id, of everybody
}

// Left counts the turns that nobody has read yet.
func (v View) Left() int {
	n := 0
	for _, r := range v.Standing() {
		if r == nil {
			n++
		}
	}
	return n
}

// Studies lists every study, the newest first.
func (s *Service) Studies(ctx context.Context) ([]View, error) {
	list, err := s.store.Studies(ctx)
	if err != nil {
		return nil, fmt.Errorf("gauge studies: %w", err)
	}
	views, err := s.store.StudyViews(ctx, list)
	if err != nil {
		return nil, fmt.Errorf("readings of gauge studies: %w", err)
	}
	return s.named(ctx, views)
}

// Study returns one by its number.
func (s *Service) Study(ctx context.Context, number int) (View, error) {
	v, err := s.store.StudyNumbered(ctx, number)
	if err != nil {
		return View{}, fmt.Errorf("gauge study %d: %w", number, err)
	}
	views, err := s.named(ctx, []models.StudyView{v})
	if err != nil {
		return View{}, err
	}
	return views[0], nil
}

// named joins studies with the names of gauges, families and people.
func (s *Service) named(ctx context.Context, views []models.StudyView) ([]View, error) {
	instruments, err := s.store.Instruments(ctx)
	if err != nil {
		return nil, fmt.Errorf("instruments: %w", err)
	}
	gauges := map[string]models.Instrument{}
	for _, i := range instruments {
		gauges[i.ID] = i
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("people: %w", err)
	}
	names := map[string]string{}
	for _, p := range people {
		names[p.ID] = p.Name
	}
	families := map[string]models.Family{}
	out := make([]View, len(views))
	for i, v := range views {
		family, known := families[v.Study.FamilyID]
		if !known {
			if family, err = s.store.Family(ctx, v.Study.FamilyID); err != nil {
				return nil, fmt.Errorf("family of gauge study %d: %w", v.Study.Number, err)
			}
			families[v.Study.FamilyID] = family
		}
		out[i] = View{StudyView: v, Instrument: gauges[v.Study.InstrumentID], Family: family, People: names}
	}
	return out, nil
}

// instrument finds a gauge by its code.
func (s *Service) instrument(ctx context.Context, code string) (models.Instrument, error) {
	found, err := s.store.InstrumentsByCode(ctx, []string{code})
	if err == nil && len(found) == 0 {
		err = models.ErrNotFound
	}
	if err != nil {
		return models.Instrument{}, fmt.Errorf("instrument %.40q: %w", code, err)
	}
	return found[0], nil
}

// known finds what an input names, and notes where there is no such thing.
func known[T any](invalid *models.InvalidError, field, code, name string, find func() (T, error)) (T, error) {
	found, err := find()
	if errors.Is(err, models.ErrNotFound) {
		invalid.Add(field, code, "code", models.Shortened(name))
		return found, nil
	}
	return found, err
}
