package review_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/review"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// made is a service on a shop's store, whose paper is its content.
func made(h *worktest.Shop, sources ...review.Source) *review.Service {
	return review.New(h.Store, sources, func(d review.Drawing) ([]byte, error) {
		return fmt.Appendf(nil, "%s %d", d.Hash, d.Edition), nil
	}, h.Clock, worktest.Zone)
}

func sentence(about, code string) models.Sentence {
	return models.Sentence{Remark: models.NewRemark(code), About: about}
}

// The shop's clock stands at Monday 12 May 2031, noon.
func TestAReviewIsKeptAndGivenAgain(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		says := []models.Sentence{sentence(models.AskReturns, "first")}
		var from, to time.Time
		s := made(h, review.Source{About: models.AskReturns, Said: func(_ context.Context, a, b time.Time) ([]models.Sentence, error) {
			from, to = a, b
			return says, nil
		}})
		one, fresh, err := s.Make(t.Context(), h.Owner, models.ReviewWeek, "2031-05-11") // a Sunday
		h.Must(err)
		if !fresh || one.FirstDay != "2031-05-05" || one.Edition != 1 || from.Format(time.DateOnly) != "2031-05-05" || to.Format(time.DateOnly) != "2031-05-12" {
			t.Errorf("kept %+v of %v to %v", one, from, to)
		}
		same, fresh, err := s.Make(t.Context(), h.Owner, models.ReviewWeek, "2031-05-05")
		h.Must(err)
		if fresh || same.ID != one.ID {
			t.Errorf("nothing else to say, and %+v is kept", same)
		}
		says = append(says, sentence(models.AskReturns, "second"))
		two, fresh, err := s.Make(t.Context(), h.Owner, models.ReviewWeek, "2031-05-05")
		h.Must(err)
		if !fresh || two.Edition != 2 || two.ID == one.ID {
			t.Errorf("with more to say it is %+v", two)
		}
		// What was said first stays as it was said, and its paper byte for byte.
		again, content, err := s.One(t.Context(), one.ID)
		h.Must(err)
		if !again.Intact() || len(content.Sections) != len(review.Sections) || len(content.Sections[6].Sentences) != 1 || content.Sections[0].Sentences[0].Code != "review_nothing" {
			t.Errorf("the first edition reads %+v", content)
		}
		paper, name, err := s.Paper(t.Context(), one.ID)
		h.Must(err)
		if string(paper) != one.ContentHash+" 1" || name != "review-week-2031-05-05-1.pdf" {
			t.Errorf("its paper is %s, %q", name, paper)
		}
		list, err := s.List(t.Context())
		h.Must(err)
		if len(list) != 2 || list[0].ID != two.ID {
			t.Errorf("the list is %+v", list)
		}
	})
}

func TestATimeThatRunsSaysUpToWhen(t *testing.T) {
	h := worktest.New(t)
	for _, c := range []struct{ period, day, first, last, through string }{
		{models.ReviewWeek, "2031-05-12", "2031-05-12", "2031-05-18", "2031-05-12"},
		{models.ReviewWeek, "2031-05-11", "2031-05-05", "2031-05-11", "2031-05-11"},
		{models.ReviewMonth, "2031-05-31", "2031-05-01", "2031-05-31", "2031-05-12"},
		{models.ReviewMonth, "2028-02-10", "2028-02-01", "2028-02-29", "2028-02-29"},
		{models.ReviewWeek, "2029-12-31", "2029-12-31", "2030-01-06", "2030-01-06"},
	} {
		content, err := made(h).Content(t.Context(), c.period, c.day)
		if err != nil || content.FirstDay != c.first || content.LastDay != c.last || content.Through != c.through || content.Shop != "Test workshop" {
			t.Errorf("%s of %s: %s to %s, through %s, %v", c.period, c.day, content.FirstDay, content.LastDay, content.Through, err)
		}
	}
}

func TestBadTimesAreSaid(t *testing.T) {
	h := worktest.New(t)
	for _, c := range []struct{ period, day, field, code string }{
		{models.ReviewWeek, "2031-05-19", "day", "period_not_begun"}, {"year", "2031-05-12", "period", "unknown_choice"}, {models.ReviewWeek, "", "day", "not_a_day"}, {models.ReviewMonth, "31 May", "day", "not_a_day"},
	} {
		_, _, err := made(h).Make(t.Context(), h.Owner, c.period, c.day)
		var invalid *models.InvalidError
		if !errors.As(err, &invalid) || invalid.Problems[0].Field != c.field || invalid.Problems[0].Code != c.code {
			t.Errorf("%s of %q: %v", c.period, c.day, err)
		}
	}
	if _, _, err := made(h).One(t.Context(), "x"); !errors.Is(err, models.ErrNotFound) {
		t.Errorf("a key that is none: %v", err)
	}
}

// A section has room for eight sentences and four plots, and says how many found none.
func TestASectionKeepsToItsRoom(t *testing.T) {
	h := worktest.New(t)
	many := review.Source{About: models.AskFinder, Said: func(context.Context, time.Time, time.Time) ([]models.Sentence, error) {
		return make([]models.Sentence, 6), nil
	}, Plots: func(context.Context, time.Time, time.Time) ([]models.Plot, error) { return make([]models.Plot, 3), nil }}
	content, err := made(h, many, many).Content(t.Context(), models.ReviewWeek, "2031-05-11")
	h.Must(err)
	if s := content.Sections[4]; len(s.Sentences) != 8 || s.More != 4 || len(s.Plots) != 4 {
		t.Errorf("%d sentences and %d more, %d plots", len(s.Sentences), s.More, len(s.Plots))
	}
}

func TestASourceThatFailsMakesNoReview(t *testing.T) {
	h := worktest.New(t)
	wrong := errors.New("the disk is gone")
	s := made(h, review.Source{About: models.AskEffect, Said: func(context.Context, time.Time, time.Time) ([]models.Sentence, error) { return nil, wrong }})
	if _, _, err := s.Make(t.Context(), h.Owner, models.ReviewWeek, "2031-05-11"); !errors.Is(err, wrong) {
		t.Errorf("%v", err)
	}
}

// weeksOf is a store of first sets: of each week, k of n passed.
type weeksOf struct {
	kn     [][2]int // the first week begins on Monday 17 February 2031
	failed map[string]int
}

func (w weeksOf) Families(context.Context) ([]models.Family, error) {
	return []models.Family{{ID: "f", Kind: models.KindWheel}, {ID: "g", Kind: models.KindBlock}}, nil
}

func (w weeksOf) FirstVerdicts(_ context.Context, family string, from, to time.Time) (out []models.FirstVerdict, err error) {
	if family != "f" {
		return nil, errors.New("only what is built here is asked about")
	}
	begin := time.Date(2031, 2, 17, 9, 0, 0, 0, time.UTC)
	for week, kn := range w.kn {
		for i := range kn[1] {
			at := begin.AddDate(0, 0, 7*week).Add(time.Duration(i) * time.Hour)
			if !at.Before(from) && at.Before(to) {
				out = append(out, models.FirstVerdict{MeasuredAt: at, Passed: i < kn[0]})
			}
		}
	}
	return out, nil
}

func (w weeksOf) FailedResults(_ context.Context, family string, _, _ time.Time) (map[string]int, error) {
	return w.failed, nil
}

func (w weeksOf) WorkCounts(context.Context, time.Time, time.Time) (models.WorkCounts, error) {
	return models.WorkCounts{Certificates: 3, Claims: 1}, nil
}

var (
	monday = time.Date(2031, 5, 12, 0, 0, 0, 0, time.UTC)
	next   = monday.AddDate(0, 0, 7)
)

// Thirteen weeks of twenty, 18 of 20 in each of the first twelve and 10 of 20 in the
// last. Exact interval of 10 of 20 (Clopper-Pearson, 95 %): 27.2 to 72.8 %, as any
// table has it. Pooled: 226 of 260 = 86.92 %.
func TestYieldByWeek(t *testing.T) {
	w := weeksOf{failed: map[string]int{"lateral_tir": 9, "dish_abs": 2}}
	for range 12 {
		w.kn = append(w.kn, [2]int{18, 20})
	}
	w.kn = append(w.kn, [2]int{10, 20})
	source := review.Yield(w, worktest.Zone)
	said, err := source.Said(t.Context(), monday, next)
	if err != nil || len(said) != 2 {
		t.Fatalf("%+v, %v", said, err)
	}
	want := map[string]string{"item_kind": "wheel", "k": "10", "n": "20", "share": "50.0", "from": "27.2", "to": "72.8", "earlier": "216", "of": "240", "was": "90.0"}
	if said[0].Code != "review_passed_wheel" {
		t.Errorf("%+v", said[0])
	}
	for name, value := range want {
		if said[0].Values[name] != value {
			t.Errorf("%s is %q, want %q", name, said[0].Values[name], value)
		}
	}
	// Nine against two: the exact Poisson intervals are 4.1 to 17.1 and 0.2 to 7.2
	// (tables of Garwood), so the order is not settled.
	if said[1].Code != "review_failed_unsettled" || said[1].Values["failing"] != "lateral_tir" || said[1].Values["next"] != "dish_abs" || said[1].Values["more"] != "2" {
		t.Errorf("%+v", said[1])
	}
	plots, err := source.Plots(t.Context(), monday, next)
	if err != nil || len(plots) != 2 {
		t.Fatalf("%d plots, %v", len(plots), err)
	}
	weeks := plots[0]
	if len(weeks.Points) != 13 || weeks.Points[0].Label.Values["date"] != "2031-02-17" || weeks.Points[12].Label.Values["date"] != "2031-05-12" {
		t.Fatalf("the weeks are %+v", weeks.Points)
	}
	if p := weeks.Points[12]; *p.Value != 50 || !p.Signal || p.K != 10 || p.N != 20 || math.Abs(*p.Centre-86.923) > 0.001 || *p.Lower <= 50 {
		t.Errorf("the last week is %+v", p)
	}
	if p := weeks.Points[3]; *p.Value != 90 || p.Signal || *p.Lower > 90 || *p.Upper < 90 {
		t.Errorf("a usual week is %+v", p)
	}
	if bars := plots[1]; len(bars.Points) != 2 || *bars.Points[0].Value != 9 || math.Abs(*bars.Points[0].Low-4.115) > 0.001 || math.Abs(*bars.Points[0].High-17.085) > 0.001 {
		t.Errorf("the bars are %+v", bars.Points)
	}
	if raw, err := json.Marshal(plots); err != nil || strings.Contains(string(raw), "NaN") {
		t.Errorf("%v", err)
	}
}

// Nineteen are counted only, twenty have a share; a week without work is empty, and
// no work at all says nothing.
func TestSmallNumbersAreCountedOnly(t *testing.T) {
	weeks := func(last [2]int, before int) weeksOf {
		w := weeksOf{}
		for range 12 {
			w.kn = append(w.kn, [2]int{before, before})
		}
		w.kn = append(w.kn, last)
		return w
	}
	for _, c := range []struct {
		last   [2]int
		before int
		code   string
	}{{[2]int{19, 19}, 0, "review_passed_few_wheel"}, {[2]int{20, 20}, 0, "review_passed_first_wheel"}, {[2]int{20, 20}, 1, "review_passed_first_wheel"}, {[2]int{20, 20}, 2, "review_passed_wheel"}, {[2]int{0, 0}, 2, "review_none_read_wheel"}, {[2]int{0, 0}, 0, ""}} {
		source := review.Yield(weeks(c.last, c.before), worktest.Zone)
		said, err := source.Said(t.Context(), monday, next)
		code := ""
		if len(said) > 0 {
			code = said[0].Code
		}
		if err != nil || code != c.code {
			t.Errorf("%v after twelve weeks of %d: %q, %v; want %q", c.last, c.before, code, err, c.code)
		}
		plots, err := source.Plots(t.Context(), monday, next)
		if err != nil {
			t.Error(err)
		}
		if c.last[1] == 0 && c.before > 0 && plots[0].Points[12].Value != nil {
			t.Errorf("a week without work has the value %v", *plots[0].Points[12].Value)
		}
		if c.last[1]+c.before == 0 && len(plots) != 0 {
			t.Error("no work at all is drawn")
		}
	}
}

func TestClaimsAndPapersAreCounted(t *testing.T) {
	for want, source := range map[string]review.Source{"review_claims_one": review.Claims(weeksOf{}), "review_out": review.Work(weeksOf{})} {
		said, err := source.Said(t.Context(), monday, next)
		if err != nil || len(said) != 1 || said[0].Code != want {
			t.Errorf("%+v, %v, want %s", said, err, want)
		}
	}
}
