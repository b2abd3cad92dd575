package review_test

import (
	"context"
	"errors"
	"fmt"
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

// counted is a store of what a time brought.
type counted struct{}

func (counted) WorkCounts(context.Context, time.Time, time.Time) (models.WorkCounts, error) {
	return models.WorkCounts{Certificates: 3, Claims: 1, Lifted: 2, Closed: 1}, nil
}

var (
	monday = time.Date(2031, 5, 12, 0, 0, 0, 0, time.UTC)
	next   = monday.AddDate(0, 0, 7)
)

func TestClaimsAndPapersAreCounted(t *testing.T) {
	for want, source := range map[string]review.Source{"review_claims_one": review.Claims(counted{}), "review_out": review.Work(counted{}), "review_settled": review.Settled(counted{})} {
		said, err := source.Said(t.Context(), monday, next)
		if err != nil || len(said) != 1 || said[0].Code != want {
			t.Errorf("%+v, %v, want %s", said, err, want)
		}
	}
}
