package receive_test

import (
	"context"
	"errors"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// goods takes in lots of spokes, 500 pieces each.
func goods(h *worktest.Shop, s *receive.Service, codes ...string) {
	h.Helper()
	for _, code := range codes {
		_, err := s.AddLot(h.Context(), h.Operator, models.Lot{Code: code, Material: "spokes", Quantity: 500})
		h.Must(err)
	}
}

func story(h *worktest.Shop, s *receive.Service, code string) receive.Story {
	h.Helper()
	out, err := s.Story(h.Context(), code)
	h.Must(err)
	return out
}

// fit records a wheel with pieces of a lot.
func fit(h *worktest.Shop, code string, pieces int) {
	h.Helper()
	sub := h.Extremes()
	sub.Serial, sub.Parts = *h.AnotherWheel().Serial, []models.SentPart{{Role: "spokes_a", Lot: code, Quantity: pieces}}
	h.MustRecord(sub)
}

// inspector is somebody who may lift holds.
func inspector(h *worktest.Shop) models.Actor {
	h.Helper()
	p := models.Person{ID: models.NewID(), Name: "An inspector", Role: models.Inspector, Active: true}
	h.Must(h.Store.AddPerson(h.Context(), models.NewStamp(h.Owner, h.Now), p))
	return models.Actor{PersonID: p.ID, Name: p.Name, Role: p.Role}
}

func TestIncomingInspections(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		two := models.LotPlan{Kind: models.PlanSingle, Level: "II", AQL: "1.0"} // 50 of 500, 1 bad allowed
		bad := func(n int) []models.DefectCount { return []models.DefectCount{{Code: "W13", Count: n}} }
		for _, c := range []struct {
			name     string
			in       receive.Looked
			verdict  string
			decision string
			problems []string
		}{
			{"the whole sample, one bad", receive.Looked{Plan: two, Looked: 50, Bad: bad(1)}, models.CheckAccepted, "", nil},
			{"more than was asked for", receive.Looked{Plan: two, Looked: 80}, models.CheckAccepted, "", nil},
			{"a sample that is not finished", receive.Looked{Plan: two, Looked: 49}, models.CheckUnfinished, "", nil},
			{"one bad too many", receive.Looked{Plan: two, Looked: 50, Bad: bad(2)}, models.CheckRejected, models.LotQuarantine, nil},
			{"too many before the sample is finished", receive.Looked{Plan: two, Looked: 4, Bad: bad(2)}, models.CheckRejected, models.LotQuarantine, nil},
			{"by two codes", receive.Looked{Plan: two, Looked: 50, Bad: []models.DefectCount{{Code: "W13", Count: 1}, {Code: "W09", Count: 1}}}, models.CheckRejected, models.LotQuarantine, nil},
			{"no plan", receive.Looked{Looked: 50}, "", "", []string{"plan: missing"}},
			{"all that came", receive.Looked{Plan: two, Looked: 500}, models.CheckAccepted, "", nil},
			{"more than came", receive.Looked{Plan: two, Looked: 501}, "", "", []string{"looked: more_than_came"}},
			{"more bad than looked at", receive.Looked{Plan: two, Looked: 2, Bad: bad(3)}, "", "", []string{"bad: more_bad_than_looked"}},
			{"a code nobody knows", receive.Looked{Plan: two, Looked: 50, Bad: []models.DefectCount{{Code: "X1", Count: 1}}}, "", "", []string{"bad[0].code: unknown_code"}},
			{"a code twice", receive.Looked{Plan: two, Looked: 50, Bad: append(bad(1), bad(1)...)}, "", "", []string{"bad[1].code: listed_twice"}},
			{"other without a word", receive.Looked{Plan: two, Looked: 50, Bad: []models.DefectCount{{Code: "other", Count: 1}}}, "", "", []string{"note: reason_needed"}},
			{"none bad of a code", receive.Looked{Plan: two, Looked: 50, Bad: bad(0)}, "", "", []string{"bad[0].count: too_small"}},
		} {
			c.in.Lot = c.name[:min(len(c.name), 40)]
			goods(h, s, c.in.Lot)
			check, err := s.Inspect(t.Context(), h.Operator, c.in)
			t.Run(c.name, func(t *testing.T) {
				worktest.WantProblems(t, err, c.problems...)
				now := story(h, s, c.in.Lot)
				got := ""
				if now.Decision != nil {
					got = now.Decision.Decision
				}
				if rejected := now.Decision; rejected != nil && (rejected.CheckID == nil || *rejected.CheckID != check.ID) {
					t.Errorf("it was quarantined by the check %v, want %s", rejected.CheckID, check.ID)
				}
				if check.Verdict != c.verdict || got != c.decision || len(now.Stops) > 0 != (got != "") || len(now.Checks) > 0 != (c.problems == nil) {
					t.Errorf("%q, then %q with %d stops; want %q, %q", check.Verdict, got, len(now.Stops), c.verdict, c.decision)
				}
			})
		}
	})
}

// Who may decide what: whoever receives quarantines, and accepts what nothing
// speaks against; the rest is an inspector's, with a reason. The newest holds.
func TestDecisionsAboutALot(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		inspector := inspector(h)
		for i, c := range []struct {
			name     string
			by       models.Actor
			in       receive.Decided
			want     error
			problems []string
			stops    bool
		}{
			{"accepted", h.Operator, receive.Decided{Decision: models.LotAccept}, nil, nil, false},
			{"accepted again", h.Operator, receive.Decided{Decision: models.LotAccept}, &models.RefusedError{}, nil, false},
			{"quarantined for no reason", h.Operator, receive.Decided{Decision: models.LotQuarantine}, nil, []string{"reason: reason_needed"}, false},
			{"quarantined", h.Operator, receive.Decided{Decision: models.LotQuarantine, Reason: "two broke"}, nil, nil, true},
			{"let go by an operator", h.Operator, receive.Decided{Decision: models.LotAccept, Reason: "looks fine"}, models.ErrForbidden, nil, true},
			{"a concession by an operator", h.Operator, receive.Decided{Decision: models.LotConcession, Reason: "looks fine"}, models.ErrForbidden, nil, true},
			{"sent back by an operator", h.Operator, receive.Decided{Decision: models.LotReturn, Reason: "x", Quantity: 1}, models.ErrForbidden, nil, true},
			{"let go for no reason", inspector, receive.Decided{Decision: models.LotAccept}, nil, []string{"reason: reason_needed"}, true},
			{"sent back, none of it", inspector, receive.Decided{Decision: models.LotReturn, Reason: "x"}, nil, []string{"quantity: too_small"}, true},
			{"more sent back than came", inspector, receive.Decided{Decision: models.LotReturn, Reason: "x", Quantity: 501}, nil, []string{"quantity: more_than_came"}, true},
			{"sent back in part", inspector, receive.Decided{Decision: models.LotReturn, Reason: "x", Quantity: 200}, nil, nil, true},
			{"and more of it", inspector, receive.Decided{Decision: models.LotReturn, Reason: "x", Quantity: 100}, nil, nil, true},
			{"the rest under a concession", inspector, receive.Decided{Decision: models.LotConcession, Reason: "side A alone"}, nil, nil, false},
			{"what nobody decides", h.Owner, receive.Decided{Decision: "burn"}, nil, []string{"decision: unknown_choice"}, false},
		} {
			if i == 0 {
				goods(h, s, "SP-1")
			}
			h.Now = h.Now.Add(time.Minute)
			c.in.Lot = "SP-1"
			_, err := s.Decide(t.Context(), c.by, c.in)
			t.Run(c.name, func(t *testing.T) {
				var refused *models.RefusedError
				switch {
				case c.problems != nil:
					worktest.WantProblems(t, err, c.problems...)
				case errors.As(c.want, &refused):
					if !errors.As(err, &refused) {
						t.Errorf("got %v, want a refusal", err)
					}
				case !errors.Is(err, c.want):
					t.Errorf("got %v, want %v", err, c.want)
				}
				if got := story(h, s, "SP-1"); len(got.Stops) > 0 != c.stops {
					t.Errorf("stopped by %v, want %v", got.Stops, c.stops)
				}
			})
		}
		if got := story(h, s, "SP-1"); len(got.Decisions) != 5 || got.Balance.Returned != 300 || got.Balance.Expected != 200 {
			t.Errorf("%d decisions, %d sent back, %d expected; want 5, 300, 200", len(got.Decisions), got.Balance.Returned, got.Balance.Expected)
		}
	})
}

// meanwhile does something before a decision is kept, once.
type meanwhile struct {
	receive.Store
	do func()
}

func (m *meanwhile) AddLotDecision(ctx context.Context, s models.Stamp, d models.LotDecision) error {
	if do := m.do; do != nil {
		m.do = nil
		do()
	}
	return m.Store.AddLotDecision(ctx, s, d)
}

// An operator accepts while an incoming inspection fails: the lot stays in
// quarantine, and nobody let it go who may not.
func TestADecisionOverAnother(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		goods(h, s, "SP-1")
		between := &meanwhile{Store: h.Store, do: func() {
			_, err := s.Inspect(t.Context(), h.Operator, receive.Looked{Lot: "SP-1", Plan: models.LotPlan{Kind: models.PlanZero}, Looked: 1, Bad: []models.DefectCount{{Code: "W13", Count: 1}}})
			h.Must(err)
		}}
		slow := receive.New(between, h.Clock, worktest.Zone)
		if _, err := slow.Decide(t.Context(), h.Operator, receive.Decided{Lot: "SP-1", Decision: models.LotAccept}); !errors.Is(err, models.ErrStale) {
			t.Errorf("accepted over a quarantine: %v", err)
		}
		if got := story(h, s, "SP-1"); len(got.Decisions) != 1 || len(got.Stops) != 1 {
			t.Errorf("%d decisions, %d stops; want the quarantine alone", len(got.Decisions), len(got.Stops))
		}
	})
}

// A lot adds up to what came less what was built in, thrown away, sent back and
// put into bins; a count is kept beside that and corrects nothing.
func TestALotAddsUp(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		goods(h, s, "SP-1", "SP-2")
		_, err := s.AddLot(ctx, h.Operator, models.Lot{Code: "SP-3", Material: "spokes"})
		h.Must(err)
		fit(h, "SP-1", 36)
		h.Must(s.Scrap(ctx, h.Operator, receive.Scrapped{Lot: "SP-1", Quantity: 4, Code: "W09"}))
		h.Must(s.Mix(ctx, h.Operator, receive.Mixed{Bin: "BIN-1", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 60}, {Lot: "SP-2", Quantity: 40}}}))
		fit(h, "BIN-1", 18)
		for code, want := range map[string]int{"SP-1": 500 - 36 - 4 - 60, "SP-2": 500 - 40, "BIN-1": 60 + 40 - 18} {
			if got := story(h, s, code).Balance; got.Expected != want {
				t.Errorf("%s: %d expected, want %d", code, got.Expected, want)
			}
		}
		count, err := s.Count(ctx, h.Operator, "SP-1", 390)
		h.Must(err)
		if count.Difference() != -10 || !story(h, s, "SP-1").Balance.Open() {
			t.Errorf("counted %d off, open %v; want 10 fewer and a question", count.Difference(), story(h, s, "SP-1").Balance.Open())
		}
		questions, err := s.Questions(ctx)
		h.Must(err)
		if len(questions) != 1 || questions[0].Kind != receive.AskCount || questions[0].Pieces != -10 || questions[0].Lot.Code != "SP-1" {
			t.Errorf("questions %+v, want that of the count", questions)
		}
		h.Must(s.Explain(ctx, h.Operator, "SP-1", "went out as samples"))
		if got := story(h, s, "SP-1").Balance; got.Open() || got.Expected != 400 {
			t.Errorf("explained: open %v, %d expected; want the figures as they were", got.Open(), got.Expected)
		}
		worktest.WantProblems(t, func() error { _, err := s.Count(ctx, h.Operator, "SP-3", 3); return err }(), "counted: lot_size_unknown")
		worktest.WantProblems(t, func() error { _, err := s.Count(ctx, h.Operator, "SP-1", -3); return err }(), "counted: negative_not_possible")
		worktest.WantProblems(t, s.Scrap(ctx, h.Operator, receive.Scrapped{Lot: "SP-1", Quantity: 501, Code: "W09"}), "quantity: more_than_came")
		worktest.WantProblems(t, s.Scrap(ctx, h.Operator, receive.Scrapped{Lot: "SP-1", Quantity: 1, Code: "other"}), "reason: missing")
		if _, err := s.Story(ctx, "SP-9"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a lot that is not there: %v", err)
		}
	})
}

// More may be used than came: it is a question until somebody explains it, and
// one again when still more is used.
func TestALotUsedBeyondItsQuantity(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		_, err := s.AddLot(ctx, h.Operator, models.Lot{Code: "SP-1", Material: "spokes", Quantity: 40})
		h.Must(err)
		beyond := func(want int) {
			t.Helper()
			questions, err := s.Questions(ctx)
			h.Must(err)
			got := 0
			for _, q := range questions {
				got += q.Pieces
			}
			if b := story(h, s, "SP-1").Balance; got != want || (b.Unexplained > 0) != (want > 0) {
				t.Errorf("asked about %d, unexplained %d; want %d", got, b.Unexplained, want)
			}
		}
		fit(h, "SP-1", 36)
		beyond(0)
		fit(h, "SP-1", 36)
		beyond(32)
		h.Must(s.Explain(ctx, h.Operator, "SP-1", "a second bag was in the box"))
		beyond(0)
		var refused *models.RefusedError
		if err := s.Explain(ctx, h.Operator, "SP-1", "again"); !errors.As(err, &refused) {
			t.Errorf("nothing is open: %v", err)
		}
		fit(h, "SP-1", 18)
		beyond(50)
	})
}

// A lot reaches its bins, those that a bin went on into too, with what stops it.
func TestMixedBins(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		goods(h, s, "SP-1", "SP-2", "SP-3")
		_, err := s.AddLot(ctx, h.Operator, models.Lot{Code: "NP-1", Material: "nipples", Quantity: 500})
		h.Must(err)
		_, err = s.AddLot(ctx, h.Operator, models.Lot{Code: "SP-4", Material: "spokes"}) // nobody counted it
		h.Must(err)
		mix := func(bin string, lots ...string) error {
			in := receive.Mixed{Bin: bin}
			for _, l := range lots {
				in.Lots = append(in.Lots, receive.Poured{Lot: l, Quantity: 10})
			}
			return s.Mix(ctx, h.Operator, in)
		}
		h.Must(mix("BIN-1", "SP-1", "SP-2"))
		h.Must(mix("]C0BIN-2", "BIN-1", "SP-3"))
		h.Must(mix("BIN-1", "SP-2")) // filled up
		for _, c := range []struct {
			name string
			err  error
			want string
		}{
			{"into itself", mix("BIN-1", "BIN-1"), "lots[0].lot: mix_cycle"},
			{"a loop", mix("BIN-1", "BIN-2"), "lots[0].lot: mix_cycle"},
			{"two materials", mix("BIN-3", "SP-1", "NP-1"), "lots[1].lot: mix_of_materials"},
			{"into a bin of another material", mix("BIN-1", "NP-1"), "bin: not_a_bin"},
			{"into a lot of its own", mix("SP-3", "SP-1"), "bin: not_a_bin"},
			{"into a lot that nobody counted", mix("SP-4", "SP-1"), "bin: not_a_bin"},
			{"a lot nobody knows", mix("BIN-3", "SP-9"), "lots[0].lot: unknown_lot"},
			{"a lot twice", mix("BIN-3", "SP-1", "SP-1"), "lots[1].lot: listed_twice"},
			{"nothing", mix("BIN-3"), "lots: missing"},
			{"no pieces", s.Mix(ctx, h.Operator, receive.Mixed{Bin: "BIN-3", Lots: []receive.Poured{{Lot: "SP-1"}}}), "lots[0].quantity: too_small"},
		} {
			t.Run(c.name, func(t *testing.T) { worktest.WantProblems(t, c.err, c.want) })
		}
		_, err = s.Decide(ctx, h.Operator, receive.Decided{Lot: "SP-1", Decision: models.LotQuarantine, Reason: "two broke"})
		h.Must(err)
		for code, stopped := range map[string]bool{"SP-1": true, "SP-2": false, "BIN-1": true, "BIN-2": true} {
			if got := story(h, s, code); len(got.Stops) > 0 != stopped || stopped && got.Stops[0].Code != "SP-1" {
				t.Errorf("%s is stopped by %v, want %v", code, got.Stops, stopped)
			}
		}
		worktest.WantProblems(t, mix("BIN-3", "SP-1"), "lots[0].lot: lot_set_aside")
		_, err = s.Inspect(ctx, h.Operator, receive.Looked{Lot: "SP-4", Plan: models.LotPlan{Kind: models.PlanZero}, Looked: 10_000_001})
		worktest.WantProblems(t, err, "looked: too_big")
	})
}

// More than a lot has goes into a bin for a reason, which stands with its balance:
// of 100 spokes 60 are in one bin, and 50 more are 10 beyond.
func TestMorePouredThanALotHas(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *receive.Service) {
		ctx := t.Context()
		_, err := s.AddLot(ctx, h.Operator, models.Lot{Code: "SP-1", Material: "spokes", Quantity: 100})
		h.Must(err)
		h.Must(s.Mix(ctx, h.Operator, receive.Mixed{Bin: "BIN-1", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 60}}}))
		more := receive.Mixed{Bin: "BIN-2", Lots: []receive.Poured{{Lot: "SP-1", Quantity: 50}}}
		worktest.WantProblems(t, s.Mix(ctx, h.Operator, more), "reason: lot_used_up")
		if _, err := s.Story(ctx, "BIN-2"); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("the bin that was refused: %v", err)
		}
		more.Reason = "a bag was not counted"
		h.Must(s.Mix(ctx, h.Operator, more))
		story, err := s.Story(ctx, "SP-1")
		h.Must(err)
		if b := story.Balance; b.Expected != -10 || b.Beyond != 10 || b.Unexplained != 0 || len(story.Explanations) != 1 || story.Explanations[0].Reason != more.Reason || story.Explanations[0].ExplainedBy != h.Operator.String() {
			t.Errorf("the lot adds up to %+v, explained by %+v", b, story.Explanations)
		}
	})
}
