package studies

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
)

// Confirm ends a study that was read to its end: its figures are kept, and the
// budget of its result takes them over as a new revision.
func (s *Service) Confirm(ctx context.Context, actor models.Actor, number int, reason string) (models.UncertaintyBudget, error) {
	v, err := s.Study(ctx, number)
	if err != nil {
		return models.UncertaintyBudget{}, err
	}
	if v.End != nil {
		return models.UncertaintyBudget{}, fmt.Errorf("gauge study %d has ended: %w", number, models.ErrStale)
	}
	r, err := Evaluate(v)
	if err != nil {
		return models.UncertaintyBudget{}, err
	}
	b, err := s.taken(ctx, v, r)
	if err != nil {
		return b, err
	}
	end := models.StudyEnd{StudyID: v.Study.ID, What: models.StudyConfirmed, Reason: strings.TrimSpace(reason), Figures: r.Figures()}
	if err := s.store.EndStudy(ctx, models.NewStamp(actor, s.now()), end, &b); err != nil {
		return b, fmt.Errorf("confirm gauge study %d: %w", number, err)
	}
	return b, nil
}

// GiveUp ends a study without figures; what was read stays.
func (s *Service) GiveUp(ctx context.Context, actor models.Actor, number int, reason string) error {
	v, err := s.Study(ctx, number)
	if err != nil {
		return err
	}
	invalid, reason := &models.InvalidError{}, models.Trimmed(reason)
	if invalid.Reason("reason", reason); len(invalid.Problems) > 0 {
		return invalid
	}
	if err := s.store.EndStudy(ctx, models.NewStamp(actor, s.now()), models.StudyEnd{StudyID: v.Study.ID, What: models.StudyGivenUp, Reason: reason}, nil); err != nil {
		return fmt.Errorf("give up gauge study %d: %w", number, err)
	}
	return nil
}

// taken is the next revision of the budget of a study's result: what it had, but
// for lines of earlier studies about what this one judges, and the study's own. A
// study that finds nothing of a thing has said so, and no older line of it stays.
// Where there
// was no budget the gauge's calibration and its step stand in it from the start.
func (s *Service) taken(ctx context.Context, v View, r Result) (models.UncertaintyBudget, error) {
	b := models.UncertaintyBudget{ID: models.NewID(), FamilyID: v.Study.FamilyID, Result: v.Study.Result, Unit: v.Study.Unit, Revision: 1, Coverage: usualCoverage, StudyID: &v.Study.ID,
		Reason: fmt.Sprint(v.Study.Number)}
	before, err := s.NewestBudget(ctx, b.FamilyID, b.Result)
	if err != nil {
		return b, err
	}
	own := linesOf(v, r)
	if before == nil {
		b.Lines = append(own, gaugeLines(v)...)
		return b, work(&b)
	}
	b.Revision, b.Coverage = before.Revision+1, before.Coverage
	judged := judgedBy(v.Study.Design)
	b.Lines = append(own, slices.DeleteFunc(slices.Clone(before.Lines), func(l models.BudgetLine) bool {
		return l.Source == models.FromStudy && slices.Contains(judged, l.Name)
	})...)
	return b, work(&b)
}

// judgedBy names what a study of a design judges, whether or not it finds some of
// it: the lines that linesOf may give.
func judgedBy(design string) []string {
	switch design {
	case models.StudyCrossed:
		return []string{"repeatability", "persons"}
	case models.StudyStability:
		return []string{"over_time"}
	}
	return []string{"repeatability", "bias"}
}

// linesOf is what a study says for one reading by anyone of those who read: its
// scatter, what persons add, and a bias that nobody corrects.
func linesOf(v View, r Result) []models.BudgetLine {
	var out []models.BudgetLine
	add := func(name string, shape gauge.Shape, value, freedom float64) {
		l := models.BudgetLine{Source: models.FromStudy, Name: name, Shape: string(shape), Value: plain(math.Abs(value)), StudyID: v.Study.ID, Instrument: v.Instrument.Code}
		if shape == gauge.Repeats {
			l.N, l.Freedom = 1, plain(freedom)
		}
		out = append(out, l)
	}
	switch {
	case r.Crossed != nil:
		freedom := r.Crossed.Study.Repeatability.DF
		if r.Crossed.Pooled {
			freedom += r.Crossed.Study.Interaction.DF
		}
		add("repeatability", gauge.Repeats, r.Crossed.Summary.Repeatability, float64(freedom))
		if persons := math.Hypot(r.Crossed.Summary.Operator, r.Crossed.Summary.Interaction); persons > 0 {
			add("persons", gauge.Repeats, persons, float64(r.Crossed.Study.Operator.DF))
		}
	case r.Bias != nil:
		add("repeatability", gauge.Repeats, r.Bias.Mean.S, float64(r.Bias.Mean.DoF))
		if r.Bias.Significant {
			add("bias", gauge.Rectangular, r.Bias.Bias, 0)
		}
	case r.Linearity != nil:
		add("repeatability", gauge.Repeats, r.Linearity.S, float64(r.Linearity.N-2))
		if r.Judgement == Biased {
			add("bias", gauge.Rectangular, r.Linearity.Counted(), 0)
		}
	case r.Stability != nil:
		if sd, err := sdOf(r.Values); err == nil {
			add("over_time", gauge.Repeats, sd, float64(len(r.Values)-1))
		}
	}
	return out
}

// gaugeLines are what the register says of a gauge. A full run-out reading is the
// difference of two readings: each has its step, and the scale counts once.
func gaugeLines(v View) []models.BudgetLine {
	var out []models.BudgetLine
	if u, ok := inUnit(v, v.Instrument.Uncertainty); ok {
		out = append(out, models.BudgetLine{Source: models.FromCalibration, Shape: string(gauge.Stated), Value: u.String(), K: "2", Instrument: v.Instrument.Code})
	}
	if step, ok := inUnit(v, v.Instrument.Resolution); ok {
		l := models.BudgetLine{Source: models.FromResolution, Shape: string(gauge.Resolution), Value: step.String(), Instrument: v.Instrument.Code}
		if isRunOut(v.Study.Result) {
			l.Sensitivity = "1.414"
		}
		out = append(out, l)
	}
	return out
}
