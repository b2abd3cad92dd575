package store

import (
	"context"
	"fmt"

	"gorm.io/gorm"

	"tracewright/models"
)

// AddCorrectiveAction numbers a corrective action and keeps it with what is stated
// first.
func (s *Store) AddCorrectiveAction(ctx context.Context, stamp models.Stamp, year2 int, a models.CorrectiveAction, first models.CorrectiveActionStep) (models.CorrectiveActionView, error) {
	a.ID, a.OpenedAt, a.OpenedBy, a.State = orNewID(a.ID), settled(a.OpenedAt, stamp), orActor(a.OpenedBy, stamp), models.ActionOpen
	view := models.CorrectiveActionView{CorrectiveAction: a}
	err := s.changing(ctx, func(tx *gorm.DB) error {
		var err error
		if view.Number, err = counted(tx, "corrective_action_counters", "CA", year2); err != nil {
			return err
		}
		if err := add(tx, &view.CorrectiveAction); err != nil {
			return err
		}
		if err := enter(tx, stamp, view.CorrectiveAction, ""); err != nil {
			return err
		}
		return addActionStep(tx, stamp, &view, first)
	})
	return view, fault(err, "add a corrective action")
}

// AddCorrectiveActionStep adds a step; state is what it was decided on and becomes
// what the step makes of it, and from is the newest step then; empty does not ask.
// models.ErrStale says that either was another meanwhile.
func (s *Store) AddCorrectiveActionStep(ctx context.Context, stamp models.Stamp, id, state, from string, step models.CorrectiveActionStep) error {
	err := s.changing(ctx, func(tx *gorm.DB) error {
		view := models.CorrectiveActionView{}
		if err := s.locked(tx).Where("id = ?", id).Take(&view.CorrectiveAction).Error; err != nil {
			return err
		}
		if view.State != state {
			return fmt.Errorf("corrective action %s is %s: %w", view.Number, view.State, models.ErrStale)
		}
		if from != "" {
			if err := tx.Where("action_id = ?", id).Order("id").Find(&view.Steps).Error; err != nil {
				return err
			}
			if view.Newest() != from {
				return models.ErrStale
			}
		}
		return addActionStep(tx, stamp, &view, step)
	})
	return fault(err, "add to corrective action %s", id)
}

func addActionStep(tx *gorm.DB, stamp models.Stamp, view *models.CorrectiveActionView, step models.CorrectiveActionStep) error {
	step.ID, step.ActionID, step.MadeAt, step.MadeBy = orNewID(step.ID), view.ID, settled(step.MadeAt, stamp), orActor(step.MadeBy, stamp)
	for _, list := range []*[]string{&step.Codes, &step.Lots, &step.Nonconformities} {
		if *list == nil {
			*list = []string{}
		}
	}
	if err := add(tx, &step); err != nil {
		return err
	}
	view.State, view.Steps = view.After(step), append(view.Steps, step)
	if err := tx.Model(&models.CorrectiveAction{}).Where("id = ?", view.ID).Update("state", view.State).Error; err != nil {
		return err
	}
	return enter(tx, stamp, step, "")
}

// CorrectiveActionNumbered finds one by its number.
func (s *Store) CorrectiveActionNumbered(ctx context.Context, number string) (models.CorrectiveActionView, error) {
	found, err := first[models.CorrectiveAction](ctx, s, "find corrective action "+number, "number = ?", number)
	if err != nil {
		return models.CorrectiveActionView{}, err
	}
	views, err := s.actionViews(ctx, []models.CorrectiveAction{found})
	if err != nil {
		return models.CorrectiveActionView{}, err
	}
	return views[0], nil
}

// OpenCorrectiveActions lists those that are not closed, oldest first.
func (s *Store) OpenCorrectiveActions(ctx context.Context) ([]models.CorrectiveActionView, error) {
	found, err := list[models.CorrectiveAction](ctx, s, "list corrective actions", "opened_at, id", "state <> 'closed'")
	if err != nil {
		return nil, err
	}
	return s.actionViews(ctx, found)
}

// ClosedCorrectiveActions lists the last ones that are closed, newest first.
func (s *Store) ClosedCorrectiveActions(ctx context.Context, limit int) ([]models.CorrectiveActionView, error) {
	var found []models.CorrectiveAction
	if err := s.read.WithContext(ctx).Where("state = 'closed'").Order("opened_at DESC, id DESC").Limit(limit).Find(&found).Error; err != nil {
		return nil, fault(err, "list closed corrective actions")
	}
	return s.actionViews(ctx, found)
}

func (s *Store) actionViews(ctx context.Context, found []models.CorrectiveAction) ([]models.CorrectiveActionView, error) {
	if len(found) == 0 {
		return nil, nil
	}
	ids, views, at := make([]string, len(found)), make([]models.CorrectiveActionView, len(found)), make(map[string]int, len(found))
	for i, a := range found {
		ids[i], views[i].CorrectiveAction, at[a.ID] = a.ID, a, i
	}
	steps, err := list[models.CorrectiveActionStep](ctx, s, "list steps of corrective actions", "id", "action_id IN ?", ids)
	for _, step := range steps {
		v := &views[at[step.ActionID]]
		v.Steps = append(v.Steps, step)
	}
	return views, err
}
