package claims

import (
	"errors"
	"fmt"
	"testing"

	"tracewright/models"
	"tracewright/models/work/worktest"
)

// The shop asks its own questions; a claim keeps which list it was asked, and the
// way back is one step.
func TestACheckListOfTheShop(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		first := must(s.List(ctx, "spoke_broken"))
		if first.Revision != 0 || !first.AsShipped || first.Kind != models.KindWheel || len(first.Revisions) != 0 {
			t.Errorf("before any change: %+v", first)
		}
		c := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "a spoke broke"}))
		code := func(in Added) string {
			t.Helper()
			in.Symptom = "spoke_broken"
			h.Must(s.Add(ctx, h.Owner, c.Number, in))
			last := must(s.Claim(ctx, c.Number)).Last(models.ClaimCoded)
			return fmt.Sprintf("%s, list %d, %d answers", last.Code, last.CheckList, len(last.Answers))
		}
		if got := code(Added{Yes: []string{"flange_worn"}}); got != "W17, list 0, 4 answers" {
			t.Errorf("by the shipped list: %s", got)
		}
		in := Revision{Questions: []models.CheckQuestion{{Text: " Is it one of the  black ones? ", Yes: "W09"}, {Code: "flange_worn", Yes: "W17"}}, Otherwise: "other", Reason: "the black ones were soft"}
		h.Must(s.Revise(ctx, h.Owner, "spoke_broken", in))
		l := must(s.List(ctx, "spoke_broken"))
		if l.Revision != 1 || l.AsShipped || l.Questions[0] != (models.CheckQuestion{Code: "own1", Text: "Is it one of the black ones?", Yes: "W09"}) {
			t.Errorf("changed: %+v", l)
		}
		// The first that is answered yes decides, and the list that was on the screen.
		if got := code(Added{Yes: []string{"flange_worn", "own1"}}); got != "W09, list 1, 2 answers" {
			t.Errorf("by the own list: %s", got)
		}
		if got := code(Added{}); got != "other, list 1, 2 answers" {
			t.Errorf("none of it: %s", got)
		}
		shipped, gone := 0, 7
		if got := code(Added{List: &shipped, Yes: []string{"rim_cracked"}}); got != "W15, list 0, 4 answers" {
			t.Errorf("by the list that was asked: %s", got)
		}
		worktest.WantProblems(t, s.Add(ctx, h.Owner, c.Number, Added{Symptom: "spoke_broken", List: &gone}), "check_list: unknown_choice")
		worktest.WantProblems(t, s.Add(ctx, h.Owner, c.Number, Added{Symptom: "spoke_broken", Yes: []string{"rim_cracked"}}), "yes[0]: unknown_choice")
		if err := s.Revise(ctx, h.Owner, "spoke_broken", in); !errors.Is(err, models.ErrStale) {
			t.Errorf("on a list that was changed meanwhile: %v", err)
		}
		if err := s.Restore(ctx, h.Owner, "spoke_broken", 0); !errors.Is(err, models.ErrStale) {
			t.Errorf("back from a list that was changed meanwhile: %v", err)
		}
		for range 2 { // Once back, nothing is left to go back from.
			h.Must(s.Restore(ctx, h.Owner, "spoke_broken", 1))
		}
		if l = must(s.List(ctx, "spoke_broken")); l.Revision != 2 || !l.AsShipped || len(l.Revisions) != 2 {
			t.Errorf("back: %+v", l)
		}
		if asked, _ := l.Asked(1); asked.Questions[0].Text != "Is it one of the black ones?" {
			t.Errorf("what was asked before: %+v", asked)
		}
	})
}

func TestACheckListIsRefused(t *testing.T) {
	h := worktest.New(t)
	s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
	q := func(code, text, yes string) models.CheckQuestion {
		return models.CheckQuestion{Code: code, Text: text, Yes: yes}
	}
	for name, c := range map[string]struct {
		in   Revision
		want []string
	}{
		"nothing asked":               {Revision{Otherwise: "W08", Reason: "r"}, []string{"questions: check_list_empty"}},
		"no reason, codes of a pack":  {Revision{Questions: []models.CheckQuestion{q("", "Is it?", "P11")}, Otherwise: "P08"}, []string{"reason: reason_needed", "questions[0].yes: unknown_choice", "otherwise: unknown_choice"}},
		"a question of packs":         {Revision{Questions: []models.CheckQuestion{q("case_bulges", "", "W08")}, Otherwise: "W08", Reason: "r"}, []string{"questions[0].text: missing"}},
		"the same twice":              {Revision{Questions: []models.CheckQuestion{q("", "Is it?", "W09"), q("", " Is  it?", "W10"), q("flange_worn", "", "W17"), q("flange_worn", "", "W17")}, Otherwise: "W08", Reason: "r"}, []string{"questions[1].text: twice", "questions[3].text: twice"}},
		"more than anybody would ask": {Revision{Questions: make([]models.CheckQuestion, 13), Otherwise: "W08", Reason: "r"}, nil},
		"as it is":                    {Revision{Questions: must(s.List(ctx, "spoke_broken")).Questions, Otherwise: "W08", Reason: "r"}, []string{"questions: check_list_same"}},
	} {
		t.Run(name, func(t *testing.T) {
			err := s.Revise(ctx, h.Owner, "spoke_broken", c.in)
			if c.want == nil {
				var invalid *models.InvalidError
				if !errors.As(err, &invalid) || invalid.Problems[0].Field != "questions" || invalid.Problems[0].Code != "too_big" {
					t.Errorf("%v", err)
				}
				return
			}
			worktest.WantProblems(t, err, c.want...)
		})
	}
	if err := s.Revise(ctx, h.Owner, "sings", Revision{}); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a complaint nobody has: %v", err)
	}
}

// A claim names another item with a reason until it was decided; where on the
// item it is stands with it.
func TestAClaimIsPutRight(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		s, ctx := New(h.Store, h.Clock, worktest.Zone), t.Context()
		right := h.AnotherWheel()
		c := must(s.Open(ctx, h.Owner, Opening{Item: h.Serial[models.KindWheel], Words: "ticks"}))
		add := func(in Added) error { return s.Add(ctx, h.Owner, c.Number, in) }
		worktest.WantProblems(t, add(Added{Item: *right.Serial}), "moved: claim_moved_why")
		worktest.WantProblems(t, add(Added{Item: h.Serial[models.KindPack], Moved: "r"}), "item: claim_other_kind")
		for _, spot := range []string{"0", "-3", "145"} {
			worktest.WantProblems(t, add(Added{Spot: spot}), "spot: no_spoke")
		}
		for range 2 {
			h.Must(add(Added{Item: *right.Serial, Moved: "the label of the other one", Spot: "14"}))
		}
		h.Must(add(Added{Spot: "at the valve"}))
		v := must(s.Claim(ctx, c.Number))
		if *v.ItemID != right.ID || len(v.Events) != 4 || v.Last(models.ClaimWhere).Spot != "at the valve" || v.Last(models.ClaimLinked).Reason != "the label of the other one" {
			t.Errorf("put right: %+v", v)
		}
		h.Must(add(Added{Decision: models.ClaimReject, Reason: "r"}))
		worktest.WantProblems(t, add(Added{Item: h.Serial[models.KindWheel], Moved: "r"}), "item: claim_moves_no_more")
	})
}
