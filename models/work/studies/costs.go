package studies

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/stats"
)

// fewValues is how many make the spread of a process worth a figure at all, and
// someValues from how many on it is no longer called few. Common practice.
const (
	fewValues  = 10
	someValues = 50
)

// Cost is what a rule does in the long run, per thousand items of the process.
type Cost struct {
	Rule, Factor   string
	FalseAccepts   float64 // let through, and not within the tolerance
	FalseRejects   float64 // failed, and within it
	Undecided      float64 // neither: somebody has to decide
	Refused        bool    // the gauge is unfit for this tolerance
	AcceptedByRule float64
}

// Basis is what the costs rest on.
type Basis struct {
	N         int
	Mean, SD  float64 // of the values
	FirstSets bool    // the first sets after relief; else every standing value
	Few       bool
	// NormalP is the probability of such a shape, or one further from the normal,
	// where it could be tested; the costs assume a normal process.
	NormalP     float64
	NormalKnown bool
	Known       bool // there is a process to reckon with; else a cost only says whether it is refused
	// Swamped: the values scatter no more than the uncertainty says they should, so
	// that the spread of the process cannot be told from the gauge's.
	Swamped bool
}

// Costs holds the rules side by side for one limit of a family: its values so far
// are the process, less what the gauge adds to their spread. Its U is the expanded
// uncertainty; behind one of a budget stands what the budget combined, behind any
// other half of it. Fewer than ten values give no costs.
func (s *Service) Costs(ctx context.Context, familyID string, limit models.Limit) ([]Cost, Basis, error) {
	family, err := s.store.Family(ctx, familyID)
	if err != nil {
		return nil, Basis{}, fmt.Errorf("family %.40q: %w", familyID, err)
	}
	basis := Basis{FirstSets: family.Kind == models.KindWheel}
	points, err := s.store.Series(ctx, models.SeriesQuery{FamilyID: familyID, Result: limit.Result, FirstSets: basis.FirstSets})
	if err != nil {
		return nil, basis, fmt.Errorf("values of %s: %w", limit.Result, err)
	}
	values := make([]float64, len(points))
	for i, p := range points {
		values[i] = p.ValueF
	}
	u := number(limit.U) / 2
	if limit.Budget != "" {
		b, err := s.store.Budget(ctx, limit.Budget)
		if err != nil {
			return nil, basis, fmt.Errorf("budget of %s: %w", limit.Result, err)
		}
		if b.U == limit.U {
			u = number(b.Combined)
		}
	}
	return costs(values, limit, u, basis)
}

func costs(values []float64, limit models.Limit, u float64, basis Basis) ([]Cost, Basis, error) {
	basis.N, basis.Few = len(values), len(values) < someValues
	expanded := number(limit.U)
	if expanded <= 0 || !limit.HasLimit() {
		return nil, basis, nil
	}
	var tolerance conformity.Range
	if limit.Low != "" {
		low := number(limit.Low)
		tolerance.Low = &low
	}
	if limit.High != "" {
		high := number(limit.High)
		tolerance.High = &high
	}
	if basis.N < fewValues {
		return unfit(expanded, tolerance), basis, nil
	}
	sum, err := stats.Summarise(values)
	if err != nil {
		return nil, basis, fmt.Errorf("summarise the values: %w", err)
	}
	basis.Mean, basis.SD = sum.Mean, sum.SD
	if basis.SD == 0 {
		return unfit(expanded, tolerance), basis, nil
	}
	basis.Known = true
	if basis.N <= 5000 {
		if _, p, err := stats.ShapiroWilk(values); err == nil {
			basis.NormalP, basis.NormalKnown = p, true
		}
	}
	process, err := conformity.ProcessBehind(basis.Mean, basis.SD, u)
	if err != nil { // No more scatter than the gauge's own.
		basis.Swamped = true
		process = conformity.Process{Mean: basis.Mean, SD: basis.SD}
	}
	var out []Cost
	for _, rule := range conformity.Rules() {
		c, err := costOf(rule, process, u, expanded, tolerance)
		if err != nil {
			return nil, basis, err
		}
		out = append(out, c)
	}
	return out, basis, nil
}

// unfit says which rules leave nothing to accept, where no process is known.
func unfit(expanded float64, tolerance conformity.Range) []Cost {
	var out []Cost
	for _, rule := range conformity.Rules() {
		_, err := tolerance.Inward(number(rule.UsualFactor()) * expanded)
		out = append(out, Cost{Rule: string(rule), Factor: rule.UsualFactor(), Refused: err != nil})
	}
	return out
}

// costOf takes what a rule accepts from the zone inside by w, and what it fails
// from beyond the tolerance: itself under the rule of three words, further out by w
// where nonconformity has to be shown.
func costOf(rule conformity.Rule, process conformity.Process, u, expanded float64, tolerance conformity.Range) (Cost, error) {
	c := Cost{Rule: string(rule)}
	w := 0.0
	if rule.NeedsUncertainty() {
		c.Factor = rule.UsualFactor()
		w = number(c.Factor) * expanded
	}
	risks := func(w float64) (conformity.Risks, error) {
		r, err := conformity.GlobalRisks(process, u, w, tolerance)
		if err != nil && !errors.Is(err, conformity.ErrNoAcceptanceZone) {
			err = fmt.Errorf("risks of the rule %s: %w", rule, err)
		}
		return r, err
	}
	inside, err := risks(w)
	if errors.Is(err, conformity.ErrNoAcceptanceZone) {
		c.Refused = true
		return c, nil
	}
	if err != nil {
		return c, err
	}
	fails := inside
	switch rule {
	case conformity.NonBinary:
		fails, err = risks(0)
	case conformity.ISO14253:
		fails, err = risks(-w)
	}
	if err != nil {
		return c, err
	}
	c.FalseAccepts, c.AcceptedByRule = 1000*inside.Consumer, 1000*inside.Accepted
	c.FalseRejects, c.Undecided = 1000*fails.Producer, 1000*(fails.Accepted-inside.Accepted)
	return c, nil
}
