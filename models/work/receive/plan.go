package receive

import (
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/sampling"
)

// The accept-on-zero plan that is offered: a lot with a fifth of its pieces bad
// passes in at most ten of a hundred cases. Common practice, no source.
const (
	UsualBad  = "20"
	UsualRisk = "10"
)

// Levels and AQLs that may be chosen, as MIL-STD-105E has them.
var (
	PlanLevels = []string{"S1", "S2", "S3", "S4", "I", "II", "III"}
	PlanAQLs   = []string{"0.40", "0.65", "1.0", "1.5", "2.5", "4.0", "6.5"}
)

// unknownLot stands for the size of a lot whose pieces nobody counted: at such a
// size a sample lets through what it does from any larger lot.
const unknownLot = 1_000_000

// Sample is a plan worked out for a lot, with what it lets through.
type Sample struct {
	Plan   models.LotPlan
	Lot    int // pieces; 0 where nobody knows
	Size   int // to look at
	Accept int // bad ones with which the lot still passes
	// A lot with Bad (a share in %) passes with the chance Passes: what the plan
	// lets through, in one figure.
	Bad, Passes float64
}

// Work works a plan out for a lot of so many pieces, 0 where nobody knows. The
// error is a *models.InvalidError on the fields of the plan.
func Work(plan models.LotPlan, lot int) (Sample, error) {
	plan, err := checkedPlan(plan)
	if err != nil {
		return Sample{}, err
	}
	s := Sample{Plan: plan, Lot: lot}
	pieces := lot
	if pieces == 0 {
		pieces = unknownLot
	}
	switch plan.Kind {
	case models.PlanNone:
		return s, nil
	case models.PlanAll:
		if lot == 0 {
			return Sample{}, models.Invalid("plan", "lot_size_unknown")
		}
		s.Size = lot
		return s, nil
	case models.PlanZero:
		err = s.zero(pieces)
	case models.PlanSingle:
		err = s.single(pieces)
	}
	return s, err
}

func (s *Sample) zero(pieces int) error {
	s.Bad = number(s.Plan.Bad)
	zero, err := sampling.ZeroAcceptance(pieces, badOf(pieces, s.Bad), number(s.Plan.Risk)/100)
	if err != nil {
		return fmt.Errorf("accept on zero for %d pieces: %w", pieces, err)
	}
	s.Size, s.Passes = zero.Size, zero.Accepts
	return nil
}

// badOf is how many of so many pieces a share is, at least one; rounded down,
// which asks for the larger sample. A share that comes out whole stays whole,
// whatever its last bits are.
func badOf(pieces int, percent float64) int {
	const lastBits = 1e-9
	return max(1, int(float64(pieces)*percent/100+lastBits))
}

// single says of a plan of the tables with which share of bad pieces a lot still
// passes in ten of a hundred cases.
func (s *Sample) single(pieces int) error {
	plan, err := sampling.For(max(2, pieces), sampling.Level(s.Plan.Level), number(s.Plan.AQL), sampling.Normal)
	if err != nil {
		return models.Invalid("aql", "no_such_plan", "typed", s.Plan.AQL)
	}
	s.Size, s.Accept = plan.Size, plan.Accept
	if plan.InspectAll(pieces) {
		s.Size, s.Accept = pieces, 0
		return nil
	}
	const passes = 0.10
	share, err := plan.QualityAt(passes)
	if err != nil {
		return fmt.Errorf("what the plan lets through: %w", err)
	}
	s.Bad, s.Passes = share*100, passes
	return nil
}

// Shown is what a finished sample lets through, in the figures of what was
// looked at in truth: a lot with the share bad, in %, passes with the chance.
// ok is false where nothing is left to chance, or nothing was looked at.
func Shown(c models.LotCheck) (bad, passes float64, ok bool, err error) {
	pieces := c.Lot
	if pieces == 0 {
		pieces = unknownLot
	}
	plan := sampling.Single{Size: min(c.Looked, pieces), Accept: min(c.Accept, c.Looked)}
	switch {
	case c.Looked == 0 || c.Plan.Kind == models.PlanAll || plan.Size == pieces:
		return 0, 0, false, nil
	case c.Plan.Kind == models.PlanSingle:
		passes = 0.10
		bad, err = plan.QualityAt(passes)
		return bad * 100, passes, err == nil, err
	}
	bad = number(c.Plan.Bad)
	passes, err = plan.Hypergeometric(pieces, badOf(pieces, bad))
	return bad, passes, err == nil, err
}

func checkedPlan(plan models.LotPlan) (models.LotPlan, error) {
	invalid := &models.InvalidError{}
	plan.Kind = strings.TrimSpace(plan.Kind)
	out := models.LotPlan{Kind: plan.Kind}
	switch plan.Kind {
	case models.PlanNone, models.PlanAll:
	case models.PlanZero:
		out.Bad, out.Risk = percent(invalid, "bad_percent", plan.Bad, UsualBad), percent(invalid, "risk_percent", plan.Risk, UsualRisk)
	case models.PlanSingle:
		out.Level, out.AQL = strings.TrimSpace(plan.Level), strings.TrimSpace(plan.AQL)
		if !slices.Contains(PlanLevels, out.Level) {
			invalid.Add("level", "unknown_choice", "typed", models.Shortened(out.Level))
		}
		if !slices.Contains(PlanAQLs, out.AQL) {
			invalid.Add("aql", "unknown_choice", "typed", models.Shortened(out.AQL))
		}
	default:
		invalid.Add("plan", "unknown_choice", "typed", models.Shortened(plan.Kind))
	}
	return out, invalid.OrNil()
}

// percent reads a share; empty is the usual one.
func percent(invalid *models.InvalidError, field, typed, usual string) string {
	typed = strings.TrimSpace(typed)
	if typed == "" {
		return usual
	}
	d, err := measure.ParseReading(typed)
	if err != nil {
		invalid.Add(field, "not_a_number", "typed", models.Shortened(typed))
		return ""
	}
	if v := d.Float(); v < 0.1 || v > 99 {
		invalid.Add(field, "share_out_of_range")
	}
	return d.String()
}

// number is a text that was checked.
func number(text string) float64 {
	d, err := measure.Parse(text)
	if err != nil {
		return 0
	}
	return d.Float()
}
