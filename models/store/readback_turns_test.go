package store_test

import (
	"errors"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// readBackTurns is the part of TestEveryRecordReadsBack that the turn lists
// leave behind.
func readBackTurns(t *testing.T, h *worktest.Shop, stamp models.Stamp, first models.Inspection) {
	t.Helper()
	s, ctx := h.Store, t.Context()
	by := h.Owner.PersonID
	_, err := s.TurnList(ctx, first.ID)
	notFound(t, "a list that was never made", err)
	list := models.TurnList{ID: models.NewID(), InspectionID: first.ID, ItemID: first.ItemID, N: 1, RimType: "r26 | Ωmega", Short: 12, Content: `{"a": "<&\u2028"}`, ContentHash: "h", MadeBy: by, MadeAt: moment}
	h.Must(s.AddTurnList(ctx, stamp, list))
	same(t, "turn list", must(s.TurnList(ctx, first.ID)), list)
	same(t, "turn list by its key", must(s.TurnListByID(ctx, list.ID)), list)
	again := list
	again.ID = models.NewID()
	if err := s.AddTurnList(ctx, stamp, again); !errors.Is(err, models.ErrConflict) {
		t.Errorf("a second list with the same number: %v", err)
	}

	open := func(want string) {
		t.Helper()
		got := must(s.Item(ctx, first.ItemID)).TurnsOpen
		if (got == nil) != (want == "") || got != nil && *got != want {
			t.Errorf("open list %v, want %q", got, want)
		}
	}
	turn := func(n int, turned bool) models.TurnDone {
		d := models.TurnDone{ID: models.NewID(), TurnListID: list.ID, List: models.TurnsShort, N: n, Turned: turned, DoneBy: by, DoneAt: moment}
		h.Must(s.AddTurnDone(ctx, stamp, list, func(_ []models.TurnDone, stands models.TurnListState) (*models.TurnDone, error) {
			if stands != (models.TurnListState{}) {
				t.Errorf("a list that nothing was said about stands as %+v", stands)
			}
			return &d, nil
		}))
		return d
	}
	done := []models.TurnDone{turn(1, true), turn(2, true), turn(1, false)}
	same(t, "turns done", must(s.TurnsDone(ctx, list.ID)), done)
	open(list.ID)
	done = append(done, turn(2, false))
	open("")
	done = append(done, turn(2, true))
	open(list.ID)
	refusal := errors.New("no")
	if err := s.AddTurnDone(ctx, stamp, list, func(sofar []models.TurnDone, _ models.TurnListState) (*models.TurnDone, error) {
		same(t, "turns so far", sofar, done)
		return nil, refusal
	}); !errors.Is(err, refusal) {
		t.Errorf("a refused turn: %v", err)
	}

	sub := h.Extremes()
	sub.Stage = models.Recheck
	second := h.MustRecord(sub).Inspection
	round := models.TurnRound{InspectionID: second.ID, TurnListID: list.ID, ItemID: first.ItemID, RimType: list.RimType, Stop: true, Cause: "wrong_side", Content: `{"b": 1}`, ContentHash: "k",
		ComparedBy: by, ComparedAt: moment}
	h.Must(s.AddTurnRound(ctx, stamp, round))
	same(t, "comparison", must(s.TurnStop(ctx, second.ID)), models.TurnStop{Round: round})
	same(t, "comparison of the item", must(s.TurnStopOf(ctx, first.ItemID)), models.TurnStop{Round: round})
	open(list.ID)
	if err := s.AddTurnRound(ctx, stamp, round); !errors.Is(err, models.ErrConflict) {
		t.Errorf("compared twice: %v", err)
	}
	h.Must(s.AddTurnDone(ctx, stamp, list, func(_ []models.TurnDone, stands models.TurnListState) (*models.TurnDone, error) {
		if stands != (models.TurnListState{Compared: true}) {
			t.Errorf("a list that was compared stands as %+v", stands)
		}
		return nil, nil
	}))
	unsure := models.TurnAnswer{ID: models.NewID(), InspectionID: second.ID, Cause: "not_sure", AnsweredBy: by, AnsweredAt: moment}
	h.Must(s.AddTurnAnswer(ctx, stamp, unsure))
	same(t, "answer", must(s.TurnStop(ctx, second.ID)).Answer, &unsure)
	open(list.ID)
	sure := models.TurnAnswer{ID: models.NewID(), InspectionID: second.ID, Cause: "wrong_side", Settles: true, AnsweredBy: by, AnsweredAt: moment}
	h.Must(s.AddTurnAnswer(ctx, stamp, sure))
	same(t, "newest answer", must(s.TurnStopOf(ctx, first.ItemID)).Answer, &sure)
	open("")
	same(t, "what teaches", len(must(s.TurnRoundsThatTeach(ctx, list.RimType, 5))), 0)

	third := h.MustRecord(func() models.Submission { x := h.Extremes(); x.Stage = models.Recheck; return x }()).Inspection
	taught := models.TurnRound{InspectionID: third.ID, TurnListID: list.ID, ItemID: first.ItemID, RimType: list.RimType, TensionScale: pointer(0.91), RadialScale: pointer(1.2), Teaches: true, Content: "{}", ContentHash: "m",
		ComparedBy: by, ComparedAt: moment}
	h.Must(s.AddTurnRound(ctx, stamp, taught))
	same(t, "what teaches", must(s.TurnRoundsThatTeach(ctx, list.RimType, 5)), []models.TurnRound{taught})
	same(t, "what teaches of another rim", len(must(s.TurnRoundsThatTeach(ctx, "r28", 5))), 0)
	if err := s.AddTurnAnswer(ctx, stamp, models.TurnAnswer{InspectionID: third.ID, Cause: "not_sure"}); !errors.Is(err, models.ErrConflict) {
		t.Errorf("an answer where nothing contradicts: %v", err)
	}
	for _, subject := range []string{list.ID, done[0].ID, second.ID, sure.ID} {
		if len(must(s.TrailOf(ctx, []string{subject}, 5))) == 0 {
			t.Errorf("%s left no trail entry", subject)
		}
	}
}

func notFound(t *testing.T, what string, err error) {
	t.Helper()
	if !errors.Is(err, models.ErrNotFound) {
		t.Errorf("%s: %v", what, err)
	}
}
