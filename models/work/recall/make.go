package recall

import (
	"context"
	"errors"
	"fmt"

	"tracewright/models"
)

// NewRecall is what is called back and why. ID is made by whoever asks, so that
// asking again is harmless; empty: made here.
type NewRecall struct {
	ID string
	Ask
	Reason string
	Wanted string // of whoever has one
}

// Make saves a recall with its first answer, and stops what it reaches. One that
// is known by its id is answered as it was made, or models.ErrConflict where it is
// another.
func (s *Service) Make(ctx context.Context, actor models.Actor, in NewRecall) (models.Recall, error) {
	invalid := &models.InvalidError{}
	for field, text := range map[string]*string{"reason": &in.Reason, "wanted": &in.Wanted} {
		*text = models.Trimmed(*text)
		invalid.Lines(field, *text, longest)
	}
	if in.Reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	checkID(invalid, in.ID)
	r := models.Recall{ID: in.ID, Reason: in.Reason, Wanted: in.Wanted}
	run := models.RecallRun{}
	scope, _, _, err := s.scope(ctx, in.Ask)
	var unclear *models.InvalidError
	switch {
	case errors.As(err, &unclear):
		invalid.Problems = append(invalid.Problems, unclear.Problems...)
	case err != nil:
		return models.Recall{}, err
	default:
		r.Scope = scope
		if before, known, err := s.known(ctx, r); err != nil || known {
			return before, err
		}
		found, err := s.find(ctx, scope)
		if err != nil {
			return models.Recall{}, err
		}
		if run.Items = found.Items; len(run.Items) == 0 {
			invalid.Add("lot", "reaches_nothing")
		}
	}
	if err := invalid.OrNil(); err != nil {
		return models.Recall{}, err
	}
	stamp := models.NewStamp(actor, s.now())
	if r, err = s.store.AddRecall(ctx, stamp, stamp.At.In(s.zone(ctx)).Year()%100, r, run); err != nil {
		return models.Recall{}, fmt.Errorf("recall: %w", err)
	}
	return r, nil
}

// known finds a recall that was made under the id of another request.
func (s *Service) known(ctx context.Context, r models.Recall) (models.Recall, bool, error) {
	if !models.IsID(r.ID) {
		return models.Recall{}, false, nil
	}
	before, err := s.store.Recall(ctx, r.ID)
	switch {
	case errors.Is(err, models.ErrNotFound):
		return models.Recall{}, false, nil
	case err != nil:
		return models.Recall{}, false, fmt.Errorf("recall %s: %w", r.ID, err)
	case before.Reason != r.Reason, before.Wanted != r.Wanted, !before.Scope.Same(r.Scope):
		return models.Recall{}, false, fmt.Errorf("recall %s is known with other content: %w", r.ID, models.ErrConflict)
	}
	return before, true, nil
}

func checkID(invalid *models.InvalidError, id string) {
	if id != "" && !models.IsID(id) {
		invalid.Add("id", "bad_id")
	}
}
