package recall

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"tracewright/models"
)

// Again asks the question of a recall anew, freezes the answer and stops what is
// new in it. The id of the run is made by whoever asks, so that asking twice
// searches once; empty: made here.
func (s *Service) Again(ctx context.Context, actor models.Actor, number, id string) error {
	view, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return fmt.Errorf("recall %.40q: %w", number, err)
	}
	invalid := &models.InvalidError{}
	checkID(invalid, id)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if slices.ContainsFunc(view.Runs, func(r models.RecallRun) bool { return r.ID == id }) {
		return nil
	}
	if view.End != nil {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("recall_ended", "number", number)}}
	}
	found, err := s.find(ctx, view.Scope)
	if err != nil {
		return err
	}
	if err := s.store.AddRecallRun(ctx, models.NewStamp(actor, s.now()), view.Recall, models.RecallRun{ID: id, RecallID: view.ID, N: view.Newest().N + 1, Items: found.Items}); err != nil {
		return fmt.Errorf("run recall %s again: %w", number, err)
	}
	return nil
}

// Response is what came of calling one item back. ID as in NewRecall.
type Response struct {
	ID       string
	Item     string // serial, or key
	Response string
}

// Respond keeps what came of calling one item back.
func (s *Service) Respond(ctx context.Context, actor models.Actor, number string, in Response) error {
	view, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return fmt.Errorf("recall %.40q: %w", number, err)
	}
	item, err := s.store.ItemNamed(ctx, in.Item)
	if err != nil && !errors.Is(err, models.ErrNotFound) {
		return fmt.Errorf("item %.40q: %w", in.Item, err)
	}
	if at := slices.IndexFunc(view.Responses, func(r models.RecallResponse) bool { return r.ID == in.ID }); at >= 0 {
		if before := view.Responses[at]; before.ItemID != item.ID || before.Response != in.Response {
			return fmt.Errorf("response %s is known with other content: %w", in.ID, models.ErrConflict)
		}
		return nil
	}
	invalid := &models.InvalidError{}
	checkID(invalid, in.ID)
	if err := sayable(view, in, item.ID, "response", invalid); err != nil {
		return err
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if err := s.store.AddRecallResponse(ctx, models.NewStamp(actor, s.now()), models.RecallResponse{ID: in.ID, RecallID: view.ID, ItemID: item.ID, Response: in.Response}); err != nil {
		return fmt.Errorf("response to recall %s: %w", number, err)
	}
	return nil
}

// RespondAll keeps what came of calling some items back, named by their keys: all of it
// is looked at before any is kept. What an item has for its newest response already is
// not kept once more.
func (s *Service) RespondAll(ctx context.Context, actor models.Actor, number string, said []Response) error {
	view, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return fmt.Errorf("recall %.40q: %w", number, err)
	}
	said = slices.DeleteFunc(slices.Clone(said), func(in Response) bool {
		last := view.Last(in.Item)
		return last != nil && last.Response == in.Response
	})
	if len(said) == 0 {
		return nil
	}
	invalid := &models.InvalidError{}
	for _, in := range said {
		if err := sayable(view, in, in.Item, "response_"+in.Item, invalid); err != nil {
			return err
		}
	}
	if err := invalid.OrNil(); err != nil {
		return err
	}
	for _, in := range said {
		if err := s.store.AddRecallResponse(ctx, models.NewStamp(actor, s.now()), models.RecallResponse{RecallID: view.ID, ItemID: in.Item, Response: in.Response}); err != nil {
			return fmt.Errorf("response to recall %s: %w", number, err)
		}
	}
	return nil
}

// sayable refuses a response to a recall that has ended, and notes what is wrong with it.
func sayable(view models.RecallView, in Response, item, field string, invalid *models.InvalidError) error {
	if view.End != nil {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("recall_ended", "number", view.Number)}}
	}
	if !slices.Contains(models.RecallResponses, in.Response) {
		invalid.Add(field, "unknown_choice", "typed", models.Shortened(in.Response))
	}
	if !slices.ContainsFunc(view.Runs, func(r models.RecallRun) bool {
		return slices.ContainsFunc(r.Items, func(x models.RecallItem) bool { return x.Item == item })
	}) {
		invalid.Add("item", "not_in_recall")
	}
	return nil
}

// End closes a recall.
func (s *Service) End(ctx context.Context, actor models.Actor, number, reason string) error {
	view, err := s.store.RecallNumbered(ctx, number)
	if err != nil {
		return fmt.Errorf("recall %.40q: %w", number, err)
	}
	if view.End != nil {
		return &models.RefusedError{Reasons: []models.Remark{models.NewRemark("recall_ended", "number", number)}}
	}
	invalid := &models.InvalidError{}
	if reason = models.Trimmed(reason); reason == "" {
		invalid.Add("reason", "reason_needed")
	}
	invalid.Lines("reason", reason, longest)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	if err := s.store.EndRecall(ctx, models.NewStamp(actor, s.now()), models.RecallEnd{RecallID: view.ID, Reason: reason}); err != nil {
		return fmt.Errorf("end recall %s: %w", number, err)
	}
	return nil
}
