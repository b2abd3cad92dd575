package store_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackRecalls is the part of TestEveryRecordReadsBack that recalls leave
// behind.
func readBackRecalls(t *testing.T, h *worktest.Shop, stamp models.Stamp) {
	t.Helper()
	s, ctx, by := h.Store, t.Context(), h.Owner.PersonID
	wheel := h.AnotherWheel()
	scope := models.RecallScope{Instrument: models.NewID(), From: moment.AddDate(0, -1, 0), To: moment}
	items := []models.RecallItem{{Item: wheel.ID, Where: models.RecallHere, Possibly: true}}
	r := must(s.AddRecall(ctx, stamp, 31, models.Recall{Reason: "Ω", Wanted: "w", Scope: scope}, models.RecallRun{Items: items}))
	same(t, "state of what is called back", must(s.Item(ctx, wheel.ID)).State, models.StateHeld)
	h.Must(s.AddRecallRun(ctx, stamp, r, models.RecallRun{RecallID: r.ID, N: 2, Items: items}))
	if err := s.AddRecallRun(ctx, stamp, r, models.RecallRun{RecallID: r.ID, N: 2}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("the same run again: %v", err)
	}
	answer := models.RecallResponse{ID: models.NewID(), RecallID: r.ID, ItemID: wheel.ID, Response: "returned", RespondedAt: moment, RespondedBy: by}
	h.Must(s.AddRecallResponse(ctx, stamp, answer))
	end := models.RecallEnd{RecallID: r.ID, Reason: "r", EndedAt: moment, EndedBy: by}
	h.Must(s.EndRecall(ctx, stamp, end))
	view := must(s.RecallNumbered(ctx, r.Number))
	run := func(n int) models.RecallRun {
		return models.RecallRun{ID: view.Runs[n-1].ID, RecallID: r.ID, N: n, Items: items, RunAt: moment, RunBy: by}
	}
	same(t, "recall", view, models.RecallView{Recall: models.Recall{ID: r.ID, Number: "R31-00001", Reason: "Ω", Wanted: "w", Scope: scope, MadeAt: moment, MadeBy: by}, Runs: []models.RecallRun{run(1), run(2)}, Responses: []models.RecallResponse{answer}, End: &end})
	same(t, "recalls", len(must(s.Recalls(ctx))), 1)
	if err := s.AddRecallRun(ctx, stamp, r, models.RecallRun{RecallID: r.ID, N: 3}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("run after its end: %v", err)
	}
	_, err := s.RecallNumbered(ctx, "R31-00009")
	notFound(t, "a recall that is not there", err)
}
