package nonconforming

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
	"tracewright/models/trade/ident"
	"tracewright/models/trade/kinds"
)

// LongestNote is the longest note, in characters.
const LongestNote = 500

// closedShown is how many of those that are closed a list has.
const closedShown = 200

// Store is what this package reads and writes. Each change writes its trail entries
// in the same transaction; a single record that is not there is models.ErrNotFound.
type Store interface {
	Item(ctx context.Context, id string) (models.Item, error)
	ItemBySerial(ctx context.Context, serial string) (models.Item, error)
	InspectionsOf(ctx context.Context, itemID string) ([]models.Inspection, error)
	InspectionView(ctx context.Context, id string) (models.InspectionView, error)
	OpenHolds(ctx context.Context, itemID string) ([]models.Hold, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	Settings(ctx context.Context) (map[string]string, error)
	Defects(ctx context.Context) (models.Defects, error)
	// SpecificationInForce is the newest of the product, or of its family.
	SpecificationInForce(ctx context.Context, familyID string, productID *string) (models.Specification, error)

	// AddNonconformity numbers one and puts its item on hold where it is not; where
	// the item was to be inspected again, it adds that this failed to the one that is
	// open. models.ErrConflict when another is open, models.ErrStale when the item is
	// not here.
	AddNonconformity(ctx context.Context, s models.Stamp, year2 int, n models.Nonconformity, hold models.Hold) (models.NonconformityView, error)
	// AddNonconformityStep adds a step and moves the item; models.ErrStale when the
	// step is none of its state.
	AddNonconformityStep(ctx context.Context, s models.Stamp, id string, step models.NonconformityStep) error
	NonconformityNumbered(ctx context.Context, number string) (models.NonconformityView, error)
	NonconformitiesOf(ctx context.Context, itemID string) ([]models.NonconformityView, error)
	OpenNonconformities(ctx context.Context) ([]models.NonconformityView, error)
	ClosedNonconformities(ctx context.Context, limit int) ([]models.NonconformityView, error)
}

// Service keeps the nonconformities.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service on its store; now is the clock, zone the shop's.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// One finds a nonconformity by its number.
func (s *Service) One(ctx context.Context, number string) (models.NonconformityView, error) {
	v, err := s.store.NonconformityNumbered(ctx, number)
	if err != nil {
		return v, fmt.Errorf("nonconformity %.40q: %w", number, err)
	}
	return v, s.weigh(ctx, []models.NonconformityView{v})
}

// weigh says how bad what was found later is. The codes are read only where something
// was.
func (s *Service) weigh(ctx context.Context, list []models.NonconformityView) error {
	found := func(step models.NonconformityStep) bool { return len(step.Found) > 0 }
	if !slices.ContainsFunc(list, func(v models.NonconformityView) bool { return slices.ContainsFunc(v.Steps, found) }) {
		return nil
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return fmt.Errorf("codes of defects: %w", err)
	}
	defects.Weigh(list)
	return nil
}

// Of lists those of an item, oldest first.
func (s *Service) Of(ctx context.Context, itemID string) ([]models.NonconformityView, error) {
	list, err := s.store.NonconformitiesOf(ctx, itemID)
	if err != nil {
		return nil, fmt.Errorf("nonconformities: %w", err)
	}
	return list, s.weigh(ctx, list)
}

// Open lists those that are not closed: the worst first, of one severity the oldest
// first.
func (s *Service) Open(ctx context.Context) ([]models.NonconformityView, error) {
	list, err := s.store.OpenNonconformities(ctx)
	if err != nil {
		return nil, fmt.Errorf("open nonconformities: %w", err)
	}
	if err := s.weigh(ctx, list); err != nil {
		return nil, err
	}
	slices.SortStableFunc(list, func(a, b models.NonconformityView) int {
		return cmp.Compare(slices.Index(models.Severities, a.Worst()), slices.Index(models.Severities, b.Worst()))
	})
	return list, nil
}

// Closed lists the last ones that are closed, newest first.
func (s *Service) Closed(ctx context.Context) ([]models.NonconformityView, error) {
	list, err := s.store.ClosedNonconformities(ctx, closedShown)
	if err != nil {
		return nil, fmt.Errorf("closed nonconformities: %w", err)
	}
	return list, s.weigh(ctx, list)
}

// Opening says what does not conform.
type Opening struct {
	Item string // serial or id
	Code string
	// Severity is how bad this one is, where that is worse than its code says; empty
	// is as the code says.
	Severity string
	Note     string
}

// Add opens a nonconformity: work is closed as nonconforming, or it is to be
// decided about what is on hold. Of an item that was to be inspected again it goes
// on with the one that is open, which what failed now makes worse by its code, or by
// what is said of it, and never better. Errors: an
// InvalidError with every problem; a RefusedError where the item has one that is
// open, or is not here.
func (s *Service) Add(ctx context.Context, actor models.Actor, in Opening) (models.NonconformityView, error) {
	in.Note = models.Trimmed(in.Note)
	item, err := s.find(ctx, in.Item)
	if err != nil {
		return models.NonconformityView{}, err
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return models.NonconformityView{}, fmt.Errorf("codes of defects: %w", err)
	}
	invalid := &models.InvalidError{}
	if !defects.Offered(in.Code) {
		invalid.Add("code", "unknown_code", "code", models.Shortened(in.Code))
	}
	if in.Note == "" {
		invalid.Add("note", "reason_needed")
	}
	invalid.Lines("note", in.Note, LongestNote)
	severity := defects.Now(in.Code).Severity
	if in.Severity != "" {
		severity = raised(severity, in, invalid)
	}
	if err := invalid.OrNil(); err != nil {
		return models.NonconformityView{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	n := models.Nonconformity{ItemID: item.ID, Code: in.Code, Severity: severity, Note: in.Note}
	judged, err := s.judged(ctx, item)
	if err != nil {
		return models.NonconformityView{}, err
	}
	if judged != nil {
		n.InspectionID, n.Failed = &judged.Inspection.ID, failedOf(*judged)
	}
	year2 := stamp.At.In(s.zone(ctx)).Year() % 100
	v, err := s.store.AddNonconformity(ctx, stamp, year2, n, models.Hold{Code: in.Code, Reason: in.Note})
	switch {
	case errors.Is(err, models.ErrStale): // Which is a conflict too.
		err = errors.Join(err, refused("nonconformity_not_here", "serial", item.Name(), "state", item.State))
	case errors.Is(err, models.ErrConflict):
		err = errors.Join(err, refused("nonconformity_open", "serial", item.Name()))
	}
	if err != nil {
		return models.NonconformityView{}, fmt.Errorf("open a nonconformity of %s: %w", item.Name(), err)
	}
	if len(v.Steps) > 0 { // It went on with one that is open.
		return s.One(ctx, v.Number)
	}
	return v, nil
}

// raised is the severity of one case: as its code says, or worse. What touches
// safety by its code is never said to be less.
func raised(ofCode models.Severity, in Opening, invalid *models.InvalidError) models.Severity {
	at, least := slices.Index(models.Severities, models.Severity(in.Severity)), slices.Index(models.Severities, ofCode)
	switch {
	case at < 0:
		invalid.Add("severity", "unknown_choice", "typed", models.Shortened(in.Severity))
	case at > least:
		invalid.Add("severity", "severity_below", "code", in.Code)
	default:
		return models.Severities[at]
	}
	return ofCode
}

func refused(code string, values ...string) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, values...)}}
}

// judged is the newest standing inspection that judged an item; nil for none.
func (s *Service) judged(ctx context.Context, item models.Item) (*models.InspectionView, error) {
	kind, known := kinds.Named(item.Kind)
	if !known {
		return nil, nil
	}
	inspections, err := s.store.InspectionsOf(ctx, item.ID)
	if err != nil {
		return nil, fmt.Errorf("inspections of %s: %w", item.Name(), err)
	}
	newest := kind.Judged(inspections)
	if newest == nil {
		return nil, nil
	}
	v, err := s.store.InspectionView(ctx, newest.ID)
	if err != nil {
		return nil, fmt.Errorf("inspection %s: %w", newest.ID, err)
	}
	return &v, nil
}

// failedOf lists the characteristics that failed, in the order of the
// specification.
func failedOf(v models.InspectionView) []string {
	failed := []string{}
	for _, c := range v.Specification.Characteristics {
		if slices.ContainsFunc(v.Results, func(r models.Result) bool {
			_, of, known := v.Specification.Limit(r.Code)
			return (models.Failed(r.Verdict) || models.Undecided(r.Verdict)) && known && of.Code == c.Code
		}) {
			failed = append(failed, c.Code)
		}
	}
	return failed
}

func (s *Service) find(ctx context.Context, serialOrID string) (models.Item, error) {
	serial, notSerial := ident.Normalise(serialOrID)
	var item models.Item
	var err error
	if notSerial == nil {
		item, err = s.store.ItemBySerial(ctx, serial)
	} else {
		item, err = s.store.Item(ctx, serialOrID)
	}
	switch {
	case errors.Is(err, models.ErrNotFound) && notSerial == nil:
		return item, models.Invalid("item", "unknown_serial", "serial", serial)
	case errors.Is(err, models.ErrNotFound):
		return item, models.Invalid("item", "unknown_item", "item", models.Shortened(serialOrID))
	case err != nil:
		return item, fmt.Errorf("find item %.40q: %w", serialOrID, err)
	}
	return item, nil
}
