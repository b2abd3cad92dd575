// Package corrective keeps work on the causes of problems: what is wrong, what
// keeps it from doing harm meanwhile, why it came about, what is done about it, by
// whom and by when, and whether that worked. One that did not is open again.
package corrective

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"tracewright/models"
)

const (
	longest     = 1000 // of a text, in characters
	mostLinked  = 40   // codes, lots, nonconformities
	closedShown = 200
)

// Store is what this package reads and writes. Each change writes its trail entries
// in the same transaction; a single record that is not there is models.ErrNotFound.
type Store interface {
	People(ctx context.Context) ([]models.Person, error)
	Defects(ctx context.Context) (models.Defects, error)
	LotsByCode(ctx context.Context, codes []string) ([]models.Lot, error)
	NonconformityNumbered(ctx context.Context, number string) (models.NonconformityView, error)
	Settings(ctx context.Context) (map[string]string, error)

	AddCorrectiveAction(ctx context.Context, s models.Stamp, year2 int, a models.CorrectiveAction, first models.CorrectiveActionStep) (models.CorrectiveActionView, error)
	// AddCorrectiveActionStep adds a step decided on in a state and, unless empty, on
	// the newest step from; models.ErrStale when either is another meanwhile.
	AddCorrectiveActionStep(ctx context.Context, s models.Stamp, id, state, from string, step models.CorrectiveActionStep) error
	CorrectiveActionNumbered(ctx context.Context, number string) (models.CorrectiveActionView, error)
	OpenCorrectiveActions(ctx context.Context) ([]models.CorrectiveActionView, error)
	ClosedCorrectiveActions(ctx context.Context, limit int) ([]models.CorrectiveActionView, error)
}

// Service keeps the corrective actions.
type Service struct {
	store Store
	now   func() time.Time
	zone  func(context.Context) *time.Location
}

// New returns the service on its store; now is the clock, zone the shop's.
func New(store Store, now func() time.Time, zone func(context.Context) *time.Location) *Service {
	return &Service{store: store, now: now, zone: zone}
}

// One finds a corrective action by its number.
func (s *Service) One(ctx context.Context, number string) (models.CorrectiveActionView, error) {
	v, err := s.store.CorrectiveActionNumbered(ctx, number)
	if err != nil {
		return v, fmt.Errorf("corrective action %.40q: %w", number, err)
	}
	return v, nil
}

// Open lists those that are not closed: what is due first comes first, what has no
// day last.
func (s *Service) Open(ctx context.Context) ([]models.CorrectiveActionView, error) {
	list, err := s.store.OpenCorrectiveActions(ctx)
	if err != nil {
		return nil, fmt.Errorf("open corrective actions: %w", err)
	}
	slices.SortStableFunc(list, func(a, b models.CorrectiveActionView) int {
		return cmp.Compare(cmp.Or(a.DueBy(), "~"), cmp.Or(b.DueBy(), "~")) // "~" sorts after every day.
	})
	return list, nil
}

// Closed lists the last ones that are closed, newest first.
func (s *Service) Closed(ctx context.Context) ([]models.CorrectiveActionView, error) {
	list, err := s.store.ClosedCorrectiveActions(ctx, closedShown)
	if err != nil {
		return nil, fmt.Errorf("closed corrective actions: %w", err)
	}
	return list, nil
}

// Today is the day that it now is in the shop: what is due before it is overdue.
func (s *Service) Today(ctx context.Context) string {
	return s.now().In(s.zone(ctx)).Format(time.DateOnly)
}

// Plan is what is known and planned.
type Plan struct {
	Problem, Containment, Cause, Action string
	Owner                               string // key of a person
	DueOn, CheckOn                      string
	Codes, Lots, Nonconformities        []string
}

// Add opens a corrective action. Errors: an InvalidError with every problem.
func (s *Service) Add(ctx context.Context, actor models.Actor, in Plan) (models.CorrectiveActionView, error) {
	step, err := s.stated(ctx, in)
	if err != nil {
		return models.CorrectiveActionView{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	v, err := s.store.AddCorrectiveAction(ctx, stamp, stamp.At.In(s.zone(ctx)).Year()%100, models.CorrectiveAction{}, step)
	if err != nil {
		return v, fmt.Errorf("open a corrective action: %w", err)
	}
	return v, nil
}

// State says anew what is known and planned; what was said before stays. The same
// again adds nothing. It says all of it, so it is said on the step that was the newest:
// models.ErrStale where another came meanwhile.
func (s *Service) State(ctx context.Context, actor models.Actor, number, from string, in Plan) error {
	v, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step, err := s.stated(ctx, in)
	if err == nil && same(v.Stated(), step) {
		return nil
	}
	if from != v.Newest() { // Said before the problems: what stands now may have none.
		return fmt.Errorf("corrective action %s: %w", v.Number, models.ErrStale)
	}
	if err != nil {
		return err
	}
	return s.add(ctx, actor, v, from, step)
}

func same(a, b models.CorrectiveActionStep) bool {
	return a.Problem == b.Problem && a.Containment == b.Containment && a.Cause == b.Cause && a.Action == b.Action && a.OwnerID == b.OwnerID && a.DueOn == b.DueOn && a.CheckOn == b.CheckOn &&
		slices.Equal(a.Codes, b.Codes) && slices.Equal(a.Lots, b.Lots) && slices.Equal(a.Nonconformities, b.Nonconformities)
}

// Carried says that the action was carried out. Whether it worked is looked at on
// the day named for that.
func (s *Service) Carried(ctx context.Context, actor models.Actor, number, note string) error {
	v, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	invalid := &models.InvalidError{}
	stated := v.Stated()
	for _, x := range []struct{ field, value string }{{"cause", stated.Cause}, {"action", stated.Action}, {"check_on", stated.CheckOn}} {
		if x.value == "" {
			invalid.Add(x.field, "missing")
		}
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if v.State != models.ActionOpen {
		return refused("action_other_state", v)
	}
	return s.add(ctx, actor, v, "", models.CorrectiveActionStep{What: models.ActionCarried, Note: models.Trimmed(note)})
}

// Checked says whether it worked, and by what that was seen. One that did not is
// open again.
func (s *Service) Checked(ctx context.Context, actor models.Actor, number string, worked bool, note string) error {
	v, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	step := models.CorrectiveActionStep{What: models.ActionChecked, Worked: worked, Note: models.Trimmed(note)}
	if step.Note == "" {
		return models.Invalid("note", "reason_needed")
	}
	if v.State != models.ActionDone {
		return refused("action_other_state", v)
	}
	return s.add(ctx, actor, v, "", step)
}

// Close ends one that worked; where the shop wants that, by another person than who
// saw to it or looked whether it worked.
func (s *Service) Close(ctx context.Context, actor models.Actor, number, note string) error {
	v, err := s.open(ctx, number)
	if err != nil {
		return err
	}
	if v.State != models.ActionWorked {
		return refused("action_other_state", v)
	}
	settings, err := s.store.Settings(ctx)
	if err != nil {
		return fmt.Errorf("settings of the shop: %w", err)
	}
	checked := v.Last(models.ActionChecked)
	if models.WantsSecond(settings, "corrective_action") && (actor.String() == v.Stated().OwnerID || checked != nil && actor.String() == checked.MadeBy) {
		return refused("action_second_person", v)
	}
	return s.add(ctx, actor, v, "", models.CorrectiveActionStep{What: models.ActionEnded, Note: models.Trimmed(note)})
}

func (s *Service) open(ctx context.Context, number string) (models.CorrectiveActionView, error) {
	v, err := s.One(ctx, number)
	if err == nil && v.State == models.ActionClosed {
		err = refused("action_closed", v)
	}
	return v, err
}

func refused(code string, v models.CorrectiveActionView) error {
	return &models.RefusedError{Reasons: []models.Remark{models.NewRemark(code, "number", v.Number)}}
}

func (s *Service) add(ctx context.Context, actor models.Actor, v models.CorrectiveActionView, from string, step models.CorrectiveActionStep) error {
	invalid := &models.InvalidError{}
	invalid.Lines("note", step.Note, longest)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if err := s.store.AddCorrectiveActionStep(ctx, models.NewStamp(actor, s.now()), v.ID, v.State, from, step); err != nil {
		return fmt.Errorf("add to corrective action %s: %w", v.Number, err)
	}
	return nil
}

// stated checks a plan.
func (s *Service) stated(ctx context.Context, in Plan) (models.CorrectiveActionStep, error) {
	step := models.CorrectiveActionStep{What: models.ActionStated, Problem: models.Trimmed(in.Problem), Containment: models.Trimmed(in.Containment), Cause: models.Trimmed(in.Cause), Action: models.Trimmed(in.Action),
		OwnerID: in.Owner, DueOn: in.DueOn, CheckOn: in.CheckOn}
	invalid := &models.InvalidError{}
	if step.Problem == "" {
		invalid.Add("problem", "missing")
	}
	for _, x := range []struct{ field, value string }{{"problem", step.Problem}, {"containment", step.Containment}, {"cause", step.Cause}, {"action", step.Action}} {
		invalid.Lines(x.field, x.value, longest)
	}
	people, err := s.store.People(ctx)
	if err != nil {
		return step, fmt.Errorf("people: %w", err)
	}
	if !slices.ContainsFunc(people, func(p models.Person) bool { return p.ID == step.OwnerID && p.Active }) {
		invalid.Add("owner", "unknown_person")
	}
	for _, x := range []struct{ field, day string }{{"due_on", step.DueOn}, {"check_on", step.CheckOn}} {
		switch day, err := time.Parse(time.DateOnly, x.day); {
		case err == nil:
			invalid.TooEarly(x.field, day.Year())
		case x.day != "" || x.field == "due_on":
			invalid.Add(x.field, "not_a_day")
		}
	}
	if step.CheckOn != "" && step.CheckOn < step.DueOn {
		invalid.Add("check_on", "check_before_due")
	}
	if err := s.link(ctx, in, &step, invalid); err != nil {
		return step, err
	}
	return step, invalid.OrNil()
}

// link checks what an action is about.
func (s *Service) link(ctx context.Context, in Plan, step *models.CorrectiveActionStep, invalid *models.InvalidError) error {
	step.Codes, step.Lots, step.Nonconformities = listed(in.Codes), listed(in.Lots), listed(in.Nonconformities)
	if len(step.Codes)+len(step.Lots)+len(step.Nonconformities) > mostLinked {
		invalid.Add("codes", "too_big", "most", fmt.Sprint(mostLinked))
		return nil
	}
	defects, err := s.store.Defects(ctx)
	if err != nil {
		return fmt.Errorf("codes of defects: %w", err)
	}
	for _, code := range step.Codes {
		if !defects.Known(code) {
			invalid.Add("codes", "unknown_code", "code", models.Shortened(code))
		}
	}
	lots, err := s.store.LotsByCode(ctx, step.Lots)
	if err != nil {
		return fmt.Errorf("lots of a corrective action: %w", err)
	}
	for i, code := range step.Lots {
		lot, ok := models.CodedAs(lots, code)
		if !ok {
			invalid.Add("lots", "unknown_lot", "lot", models.Shortened(code))
			continue
		}
		step.Lots[i] = lot.Code
	}
	step.Lots = listed(step.Lots)
	for _, number := range step.Nonconformities {
		_, err := s.store.NonconformityNumbered(ctx, number)
		if errors.Is(err, models.ErrNotFound) {
			invalid.Add("nonconformities", "unknown_nonconformity", "number", models.Shortened(number))
			continue
		}
		if err != nil {
			return fmt.Errorf("nonconformity %.40q: %w", number, err)
		}
	}
	return nil
}

// listed trims a list and leaves each out that stands in it before.
func listed(list []string) []string {
	out := []string{}
	for _, x := range list {
		if x = models.Trimmed(x); x != "" && !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out
}
