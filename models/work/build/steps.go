package build

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"tracewright/models"
)

// steps is the list for a pack with so many strings: those for strings come at
// the end where the family's own list has not placed them.
func (s *Service) steps(ctx context.Context, familyID string, strings int) ([]models.BuildStep, int, error) {
	list, n, err := s.Steps(ctx, familyID)
	if err != nil {
		return nil, 0, err
	}
	for _, own := range stringSteps {
		there := slices.ContainsFunc(list, func(x models.BuildStep) bool { return x.Code == own.Code })
		switch {
		case strings > 1 && !there:
			list = append(list, own)
		case strings < 2 && there:
			list = slices.DeleteFunc(list, func(x models.BuildStep) bool { return x.Code == own.Code })
		}
	}
	return list, n, nil
}

// Steps gives the list of a family and its number; 0 is the program's own, for
// a family that has none.
func (s *Service) Steps(ctx context.Context, familyID string) ([]models.BuildStep, int, error) {
	list, err := s.store.BuildList(ctx, familyID)
	if errors.Is(err, models.ErrNotFound) {
		return slices.Clone(defaultSteps), 0, nil
	}
	return slices.Clone(list.Steps), list.N, err
}

// Revise gives a family its next list; from is the number of the one that was
// looked at, models.ErrStale when there is a newer one. Codes stay with their words, so that what was ticked keeps its
// meaning.
func (s *Service) Revise(ctx context.Context, actor models.Actor, familyID string, from int, words []string, reason string) (models.BuildList, error) {
	family, err := s.store.Family(ctx, familyID)
	if err != nil {
		return models.BuildList{}, err
	}
	now, n, err := s.Steps(ctx, family.ID)
	if err != nil {
		return models.BuildList{}, err
	}
	if n != from { // Said before the problems: what stands now may have none.
		return models.BuildList{}, fmt.Errorf("build steps of family %s: %w", family.ID, models.ErrStale)
	}
	invalid := &models.InvalidError{}
	if family.Kind != models.KindPack {
		invalid.Add("family", "no_steps_for_kind")
	}
	if reason = models.Trimmed(reason); reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Lines("reason", reason, 300)
	steps := coded(words, now, invalid)
	if err := invalid.OrNil(); err != nil {
		return models.BuildList{}, err
	}
	return s.store.AddBuildList(ctx, models.NewStamp(actor, s.now()), models.BuildList{FamilyID: family.ID, N: from + 1, Steps: steps, Reason: reason})
}

// coded gives each line its code: that of the step which has these words, or a
// new one made of them.
func coded(typed []string, now []models.BuildStep, invalid *models.InvalidError) []models.BuildStep {
	known := slices.Concat(now, defaultSteps, stringSteps)
	var steps []models.BuildStep
	for _, line := range typed {
		text := models.OneLine(line)
		if text == "" {
			continue
		}
		before := len(invalid.Problems)
		if invalid.Line("steps", text, 80); len(invalid.Problems) > before {
			continue
		}
		step := models.BuildStep{Code: slug(text), Words: text}
		if i := slices.IndexFunc(known, func(x models.BuildStep) bool { return strings.EqualFold(x.Words, text) }); i >= 0 {
			step.Code = known[i].Code
		}
		if slices.ContainsFunc(steps, func(x models.BuildStep) bool { return x.Code == step.Code }) {
			invalid.Add("steps", "step_twice", "step", text)
			continue
		}
		steps = append(steps, step)
	}
	if len(steps) == 0 || len(steps) > 20 {
		invalid.Add("steps", "step_count", "got", fmt.Sprint(len(steps)))
	}
	return steps
}

// slug makes a code of words: letters and digits, low, joined by underscores.
func slug(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9') && r < 0x80
	}), "_")
}
