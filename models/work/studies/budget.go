package studies

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/stats"
)

// usualCoverage is the probability of a budget where none is typed: k = 2 for
// infinitely many degrees of freedom.
const usualCoverage = "0.9545"

// mostLines is more than any budget of a workshop has.
const mostLines = 20

func sdOf(values []float64) (float64, error) { return stats.SD(values) }

// BudgetChange is the next revision of a budget.
type BudgetChange struct {
	FamilyID string
	Result   string
	From     int // the newest revision that it was made on, 0 for none
	Coverage string
	Lines    []models.BudgetLine
	Reason   string
}

// BudgetView is a budget with what its lines come to.
type BudgetView struct {
	models.UncertaintyBudget
	Family        models.Family
	Contributions []gauge.Contribution
	Floor         *gauge.NoiseFloor // of a full run-out reading
	Newest        bool
	By            string
}

// Budgets lists every revision, the newest of each first; of all families for "".
func (s *Service) Budgets(ctx context.Context, familyID string) ([]models.UncertaintyBudget, error) {
	list, err := s.store.Budgets(ctx, familyID)
	if err != nil {
		return nil, fmt.Errorf("budgets of uncertainty: %w", err)
	}
	return list, nil
}

// NewestBudget is the newest revision of a family's budget for a result; nil where
// there is none.
func (s *Service) NewestBudget(ctx context.Context, familyID, result string) (*models.UncertaintyBudget, error) {
	list, err := s.Budgets(ctx, familyID)
	if err != nil {
		return nil, err
	}
	for i := range list {
		if list[i].Result == result {
			return &list[i], nil
		}
	}
	return nil, nil
}

// Budget returns one revision by its id.
func (s *Service) Budget(ctx context.Context, id string) (BudgetView, error) {
	b, err := s.store.Budget(ctx, id)
	if err != nil {
		return BudgetView{}, fmt.Errorf("budget %.40q: %w", id, err)
	}
	v, err := s.Weigh(ctx, b)
	if err != nil {
		return BudgetView{}, err
	}
	newest, err := s.NewestBudget(ctx, b.FamilyID, b.Result)
	if err != nil {
		return BudgetView{}, err
	}
	v.Newest = newest != nil && newest.ID == b.ID
	people, err := s.store.People(ctx)
	if err != nil {
		return BudgetView{}, fmt.Errorf("people: %w", err)
	}
	for _, p := range people {
		if p.ID == b.MadeBy {
			v.By = p.Name
		}
	}
	return v, nil
}

// Weigh works a budget out, stored or not.
func (s *Service) Weigh(ctx context.Context, b models.UncertaintyBudget) (BudgetView, error) {
	v := BudgetView{UncertaintyBudget: b}
	var err error
	if v.Family, err = s.store.Family(ctx, b.FamilyID); err != nil {
		return v, fmt.Errorf("family %.40q: %w", b.FamilyID, err)
	}
	combined, err := combine(b)
	if err != nil {
		return v, err
	}
	v.Contributions = combined.Contributions
	if isRunOut(b.Result) {
		holes, err := s.holes(ctx, b.FamilyID)
		if err != nil {
			return v, err
		}
		if noise := noiseOf(v); noise > 0 {
			floor, err := gauge.TIRNoiseFloor(holes, noise)
			if err != nil {
				return v, fmt.Errorf("noise floor: %w", err)
			}
			v.Floor = &floor
		}
	}
	return v, nil
}

// isRunOut says whether a result is a full indicator reading: the difference of
// two extremes.
func isRunOut(result string) bool { return strings.HasSuffix(result, "_tir") }

// noiseOf is the scatter of single readings behind a full reading's budget: what
// differs from reading to reading, its repeats and the step of the dial, divided by
// the root of 2 that a difference of two readings multiplies it by. Calibration and
// what persons do are the same at every spoke and make no noise.
func noiseOf(v BudgetView) float64 {
	sum := 0.0
	for i, l := range v.Lines {
		if l.Source == models.FromResolution || l.Shape == string(gauge.Repeats) && l.Name != "persons" {
			sum += v.Contributions[i].U * v.Contributions[i].U
		}
	}
	return math.Sqrt(sum / 2)
}

// usualHoles are those of a wheel whose product is not known.
const usualHoles = 36

// holes are the most that a product of the family has.
func (s *Service) holes(ctx context.Context, familyID string) (int, error) {
	products, err := s.store.Products(ctx, familyID)
	if err != nil {
		return 0, fmt.Errorf("products: %w", err)
	}
	most := 0
	for _, p := range products {
		revisions, err := s.store.ProductRevisions(ctx, p.ID)
		if err != nil {
			return 0, fmt.Errorf("forms of %s: %w", p.Name, err)
		}
		if len(revisions) > 0 && revisions[0].Form.Wheel != nil {
			most = max(most, revisions[0].Form.Wheel.Holes)
		}
	}
	if most < 2 {
		return usualHoles, nil
	}
	return most, nil
}

// combine is the budget's arithmetic. Errors name the line.
func combine(b models.UncertaintyBudget) (gauge.Budget, error) {
	parts := make([]gauge.Component, len(b.Lines))
	for i, l := range b.Lines {
		parts[i] = gauge.Component{Name: l.Name, Shape: gauge.Shape(l.Shape), Value: number(l.Value), K: number(l.K), N: l.N, Sensitivity: number(l.Sensitivity), DoF: number(l.Freedom)}
	}
	return gauge.Combine(parts, number(b.Coverage))
}

// ReviseBudget adds the next revision of a budget. When there is a newer one than
// From meanwhile the error is [models.ErrStale].
func (s *Service) ReviseBudget(ctx context.Context, actor models.Actor, in BudgetChange) (BudgetView, error) {
	b, err := s.budgetOf(ctx, in)
	if err != nil {
		return BudgetView{}, err
	}
	if err := s.store.AddBudget(ctx, models.NewStamp(actor, s.now()), b); err != nil {
		if errors.Is(err, models.ErrConflict) {
			err = fmt.Errorf("%w: %w", models.ErrStale, err)
		}
		return BudgetView{}, fmt.Errorf("revise the budget of %s: %w", in.Result, err)
	}
	return s.Budget(ctx, b.ID)
}

// Preview works out what a revision would come to, without keeping it.
func (s *Service) Preview(ctx context.Context, in BudgetChange) (BudgetView, error) {
	b, err := s.budgetOf(ctx, in)
	if err != nil {
		return BudgetView{}, err
	}
	return s.Weigh(ctx, b)
}

// budgetOf checks a change and works it out.
func (s *Service) budgetOf(ctx context.Context, in BudgetChange) (models.UncertaintyBudget, error) {
	invalid := &models.InvalidError{}
	spec, err := known(invalid, "family", "unknown_family", in.FamilyID, func() (models.Specification, error) {
		return s.store.SpecificationInForce(ctx, in.FamilyID, nil)
	})
	if err != nil {
		return models.UncertaintyBudget{}, fmt.Errorf("specification in force: %w", err)
	}
	b := models.UncertaintyBudget{ID: models.NewID(), FamilyID: in.FamilyID, Result: in.Result, Revision: in.From + 1, Coverage: strings.TrimSpace(in.Coverage), Lines: slices.Clone(in.Lines), Reason: models.Trimmed(in.Reason)}
	if spec.ID != "" {
		limit, c, found := spec.Limit(in.Result)
		if !found || c.Form != models.Measured {
			invalid.Add("result", "unknown_code", "code", models.Shortened(in.Result))
		}
		b.Unit = limit.Unit
	}
	if b.Coverage == "" {
		b.Coverage = usualCoverage
	}
	decimal(invalid, "coverage", &b.Coverage)
	if c := number(b.Coverage); c < 0.5 || c > 0.9999 {
		invalid.Add("coverage", "coverage_between")
	}
	switch {
	case b.Reason == "":
		invalid.Add("reason", "reason_needed")
	default:
		invalid.Lines("reason", b.Reason, longestNote)
	}
	count(invalid, "lines", len(b.Lines), 1, mostLines)
	for i := range b.Lines {
		line(invalid, fmt.Sprintf("lines[%d]", i), &b.Lines[i])
	}
	if err := invalid.OrNil(); err != nil {
		return b, err
	}
	newest, err := s.NewestBudget(ctx, in.FamilyID, in.Result)
	if err != nil {
		return b, err
	}
	if newest != nil && newest.Revision != in.From || newest == nil && in.From != 0 {
		return b, fmt.Errorf("budget of %s, revision %d: %w", in.Result, in.From, models.ErrStale)
	}
	return b, work(&b)
}

// work fills in what the lines come to.
func work(b *models.UncertaintyBudget) error {
	combined, err := combine(*b)
	if err != nil {
		return models.Invalid("lines", "budget_empty")
	}
	_, u, err := gauge.Reported(0, combined.Expanded)
	if err != nil {
		return models.Invalid("lines", "budget_empty")
	}
	b.Combined, b.K, b.U = plain(combined.Combined), plain(combined.K), u.String()
	if !combined.Infinite {
		b.Freedom = plain(combined.DoFUsed)
	}
	return nil
}

// Sources and Shapes are what a line may be.
func Sources() []string {
	return []string{models.FromStudy, models.FromCalibration, models.FromResolution, models.FromTemperature, models.FromTyped}
}

// Shapes lists how a figure becomes a standard uncertainty.
func Shapes() []string {
	return []string{string(gauge.Stated), string(gauge.Repeats), string(gauge.Resolution), string(gauge.Rectangular), string(gauge.Triangular), string(gauge.UShaped)}
}

// line checks one line and brings its texts to the form in which they are stored.
func line(invalid *models.InvalidError, at string, l *models.BudgetLine) {
	l.Name = models.OneLine(l.Name)
	invalid.Line(at+".name", l.Name, longestName)
	if !slices.Contains(Sources(), l.Source) {
		invalid.Add(at+".source", "unknown_choice", "typed", models.Shortened(l.Source))
	}
	if l.Source == models.FromTyped && l.Name == "" {
		invalid.Add(at+".name", "missing")
	}
	if !slices.Contains(Shapes(), l.Shape) {
		invalid.Add(at+".shape", "unknown_choice", "typed", models.Shortened(l.Shape))
	}
	for _, x := range []struct {
		name  string
		value *string
		zero  bool
	}{{"value", &l.Value, true}, {"k", &l.K, false}, {"sensitivity", &l.Sensitivity, false}, {"freedom", &l.Freedom, false}} {
		d, ok := decimal(invalid, at+"."+x.name, x.value)
		switch {
		case !ok:
		case d.Sign() < 0:
			invalid.Add(at+"."+x.name, "negative_not_possible")
		case d.Sign() == 0 && !x.zero:
			invalid.Add(at+"."+x.name, "zero_not_possible")
		}
	}
	if l.Value == "" {
		invalid.Add(at+".value", "missing")
	}
	if l.Freedom != "" && number(l.Freedom) < 1 {
		invalid.Add(at+".freedom", "too_small", "least", "1")
	}
	// What belongs to another shape is dropped: the form shows every field.
	if l.Shape != string(gauge.Stated) {
		l.K = ""
	}
	if l.Shape != string(gauge.Repeats) {
		l.N = 0
		return
	}
	if l.N == 0 {
		l.N = 1
	}
	if l.N < 1 || l.N > 1000 {
		invalid.Add(at+".n", "too_big", "most", "1000")
	}
	if l.N == 1 && l.Freedom == "" {
		invalid.Add(at+".freedom", "freedom_of_one")
	}
}

// decimal reads a number, which may be empty, and stores it plainly.
func decimal(invalid *models.InvalidError, field string, value *string) (measure.Decimal, bool) {
	*value = strings.TrimSpace(*value)
	if *value == "" {
		return measure.Decimal{}, false
	}
	d, err := measure.ParseReading(*value)
	if err != nil {
		invalid.Add(field, "not_a_number", "typed", models.Shortened(*value))
		return d, false
	}
	*value = d.String()
	return d, true
}
