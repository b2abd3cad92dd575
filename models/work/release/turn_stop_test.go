package release_test

import (
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// Readings are compared with the turns before them after they are recorded: where they
// contradict these while the log is sealed, no certificate is signed.
func TestAStopThatComesWhileTheLogIsSealed(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		ctx, s := t.Context(), service(h, new(int))
		stamp := func() models.Stamp { return models.NewStamp(h.Owner, h.Now) }
		first := h.MustRecord(h.Extremes())
		list := models.TurnList{ID: models.NewID(), InspectionID: first.Inspection.ID, ItemID: first.Item.ID, N: 1, Short: 1, RimType: "Fen 26", ContentHash: "h", Content: "{}"}
		h.Must(h.Store.AddTurnList(ctx, stamp(), list))
		h.Now = h.Now.Add(time.Hour)
		h.Must(h.Store.AddTurnDone(ctx, stamp(), list, func([]models.TurnDone, models.TurnListState) (*models.TurnDone, error) {
			return &models.TurnDone{ID: models.NewID(), List: models.TurnsShort, N: 1, Turned: true}, nil
		}))
		h.Now = h.Now.Add(time.Hour)
		again := h.MustRecord(h.Extremes())
		h.Now = h.Now.Add(time.Minute)
		s.SealBy(slow{worktest.NewSigner(), func() {
			h.Must(h.Store.AddTurnRound(ctx, stamp(), models.TurnRound{InspectionID: again.Inspection.ID, TurnListID: list.ID, ItemID: first.Item.ID, RimType: "Fen 26", Stop: true, Cause: "other_nipple", Content: "{}", ContentHash: "h"}))
		}})
		if c, err := s.Issue(ctx, h.Owner, first.Item.ID, ""); !errors.Is(err, models.ErrStale) {
			t.Errorf("issued %s, %v; want it stale", c.Number, err)
		}
		s.SealBy(worktest.NewSigner())
		var refused *models.RefusedError
		if _, err := s.Issue(ctx, h.Owner, first.Item.ID, ""); !errors.As(err, &refused) || models.Codes(refused.Reasons) != "stop_unanswered" {
			t.Errorf("asked for again: %v, want it refused for the stop", err)
		}
	})
}
