package store

import (
	"context"
	"fmt"
	"maps"
	"slices"

	"tracewright/models"
	"tracewright/models/trade/flow"
)

// NonconformityNumbered finds one by its number.
func (s *Store) NonconformityNumbered(ctx context.Context, number string) (models.NonconformityView, error) {
	views, err := s.nonconformityViews(ctx, "number = ?", number)
	if err == nil && len(views) == 0 {
		err = fmt.Errorf("nonconformity %.40q: %w", number, models.ErrNotFound)
	}
	if err != nil {
		return models.NonconformityView{}, err
	}
	return views[0], nil
}

// OpenNonconformity is the one of an item that is not closed, or
// models.ErrNotFound.
func (s *Store) OpenNonconformity(ctx context.Context, itemID string) (models.NonconformityView, error) {
	views, err := s.nonconformityViews(ctx, "item_id = ? AND state <> 'closed'", itemID)
	if err == nil && len(views) == 0 {
		err = fmt.Errorf("open nonconformity of item %s: %w", itemID, models.ErrNotFound)
	}
	if err != nil {
		return models.NonconformityView{}, err
	}
	return views[0], nil
}

// OpenNonconformities lists those that are not closed, oldest first.
func (s *Store) OpenNonconformities(ctx context.Context) ([]models.NonconformityView, error) {
	return s.nonconformityViews(ctx, "state <> 'closed'")
}

// NonconformitiesOf lists those of an item, oldest first.
func (s *Store) NonconformitiesOf(ctx context.Context, itemID string) ([]models.NonconformityView, error) {
	return s.nonconformityViews(ctx, "item_id = ?", itemID)
}

// ClosedNonconformities lists the last ones that were opened and are closed, newest
// first.
func (s *Store) ClosedNonconformities(ctx context.Context, limit int) ([]models.NonconformityView, error) {
	var found []models.Nonconformity
	if err := s.read.WithContext(ctx).Where("state = 'closed'").Order("opened_at DESC, id DESC").Limit(limit).Find(&found).Error; err != nil {
		return nil, fault(err, "list closed nonconformities")
	}
	return s.withSteps(ctx, found)
}

// NonconformityOn is the open one that stands on a hold, or models.ErrNotFound.
func (s *Store) NonconformityOn(ctx context.Context, holdID string) (models.NonconformityView, error) {
	views, err := s.nonconformityViews(ctx, "state <> 'closed' AND "+standsOn, []string{holdID})
	if err == nil && len(views) == 0 {
		err = fmt.Errorf("open nonconformity on hold %s: %w", holdID, models.ErrNotFound)
	}
	if err != nil {
		return models.NonconformityView{}, err
	}
	return views[0], nil
}

func (s *Store) nonconformityViews(ctx context.Context, where string, args ...any) ([]models.NonconformityView, error) {
	found, err := list[models.Nonconformity](ctx, s, "list nonconformities", "opened_at, id", where, args...)
	if err != nil {
		return nil, err
	}
	return s.withSteps(ctx, found)
}

func (s *Store) withSteps(ctx context.Context, found []models.Nonconformity) ([]models.NonconformityView, error) {
	if len(found) == 0 {
		return nil, nil
	}
	ids, views, at := make([]string, len(found)), make([]models.NonconformityView, len(found)), make(map[string]int, len(found))
	for i, n := range found {
		ids[i], views[i].Nonconformity, at[n.ID] = n.ID, n, i
	}
	steps, err := list[models.NonconformityStep](ctx, s, "list steps of nonconformities", "id", "nonconformity_id IN ?", ids)
	if err == nil {
		err = s.withFound(ctx, steps)
	}
	for _, step := range steps {
		v := &views[at[step.NonconformityID]]
		v.Steps = append(v.Steps, step)
	}
	return views, err
}

// withFound says of steps that raised holds by which codes they did.
func (s *Store) withFound(ctx context.Context, steps []models.NonconformityStep) error {
	of := map[string]int{}
	for i, step := range steps {
		for _, id := range step.Holds {
			of[id] = i
		}
	}
	if len(of) == 0 {
		return nil
	}
	holds, err := list[models.Hold](ctx, s, "list holds of steps of nonconformities", "raised_at, id", "id IN ?", slices.Collect(maps.Keys(of)))
	for _, h := range holds {
		step := &steps[of[h.ID]]
		step.Found = append(step.Found, models.FoundDefect{Code: h.Code})
	}
	return err
}

// ConcessionOf is the newest concession of an item, or models.ErrNotFound.
func (s *Store) ConcessionOf(ctx context.Context, itemID string) (models.Concession, error) {
	approved, err := newest[models.NonconformityStep](ctx, s, "concession of item "+itemID, "id DESC",
		"what = ? AND nonconformity_id IN (SELECT id FROM nonconformities WHERE item_id = ?)", string(flow.ApproveConcession), itemID)
	if err != nil {
		return models.Concession{}, err
	}
	views, err := s.nonconformityViews(ctx, "id = ?", approved.NonconformityID)
	if err != nil {
		return models.Concession{}, err
	}
	proposed := views[0].Last(string(flow.UseAsIs))
	if proposed == nil {
		return models.Concession{}, fmt.Errorf("concession %s was approved and never proposed", views[0].Number)
	}
	return models.Concession{Number: views[0].Number, InspectionID: proposed.InspectionID, Results: proposed.Results, Found: views[0].Note, Reason: proposed.Note,
		ProposedBy: proposed.MadeBy, ApprovedBy: approved.MadeBy, ApprovedAt: approved.MadeAt}, nil
}
