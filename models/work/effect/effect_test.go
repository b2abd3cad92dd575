package effect_test

import (
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/store/storetest"
	"tracewright/models/work/effect"
	"tracewright/models/work/worktest"
)

func TestMain(m *testing.M) { storetest.Main(m) }

func each(t *testing.T, f func(t *testing.T, h *worktest.Shop, s *effect.Service)) {
	t.Helper()
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) { f(t, h, effect.New(h.Store, h.Clock, worktest.Zone)) })
}

// wheels records one first set a day with this lateral full reading, in hundredths
// of a millimetre, and gives the moment before the first.
func wheels(h *worktest.Shop, place string, hundredths ...int) time.Time {
	h.Helper()
	h.Now = h.Now.Add(time.Hour)
	begin := h.Now
	for _, x := range hundredths {
		h.Now = h.Now.Add(24 * time.Hour)
		sub := h.Extremes()
		sub.Serial, sub.Place = *h.AnotherWheel().Serial, place
		sub.Sets[0].Values = []string{fmt.Sprintf("%d.%02d", x/100, x%100), "0.00"}
		h.MustRecord(sub)
	}
	return begin
}

func by(n int, values ...int) (out []int) {
	for i := range n {
		out = append(out, values[i%len(values)])
	}
	return out
}

func lateral(h *worktest.Shop, at time.Time) effect.Query {
	return effect.Query{FamilyID: *h.Item[models.KindWheel].FamilyID, Result: "lateral_tir", At: at}
}

// Twelve days of 0.20 and 0.25 by turns, then twelve of 0.40 and 0.50: on logarithms
// the levels are the roots of 0.05 and 0.20, the difference ln 2, so the level doubles:
// +0.2236 mm. Of 2,704,156 ways to part 24 days, two are as far apart, so of 10,000
// drawn none is likely to be.
func TestAChangeThatDoubles(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		wheels(h, "stand 1", by(12, 20, 25)...)
		at := wheels(h, "stand 1", by(12, 40, 50)...)
		v, err := s.Effect(t.Context(), lateral(h, at))
		h.Must(err)
		if !v.Answered || v.Answer.Code != "effect_rose" || v.Unit != "mm" || !v.Log || v.Larger > 2 || v.Drawn != 10_000 {
			t.Fatalf("%+v", v.Answer)
		}
		for name, c := range map[string][2]float64{"before": {v.Before.Level, math.Sqrt(0.05)}, "after": {v.After.Level, math.Sqrt(0.20)}, "effect": {v.Effect, math.Sqrt(0.05)}} {
			if math.Abs(c[0]-c[1]) > 1e-9 {
				t.Errorf("%s: %v, want %v", name, c[0], c[1])
			}
		}
		// By hand: residuals are +-d, d = ln 1.25 / 2; SE^2 = 24/23 x 24 d^2/4 / 36, so SE =
		// 0.04653; t of 23 degrees is 2.0687 (Fisher and Yates), high end 0.22361 (e^(ln 2 +
		// 0.09625) - 1) = 0.26879.
		if math.Abs(v.High-0.26879) > 2e-4 {
			t.Errorf("high end %v", v.High)
		}
		if len(v.Points) != 24 || v.Points[11].After || !v.Points[12].After || v.Points[0].Serial == "" {
			t.Errorf("points %+v", v.Points)
		}
		if v.Event != nil || len(v.Notes) == 0 || v.Notes[0].Code != "effect_chosen" {
			t.Errorf("a day that was typed is said to be chosen: %+v", v.Notes)
		}
	})
}

func TestNoDifferenceIsShownWhereThereIsNone(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		wheels(h, "stand 1", by(10, 20, 25)...)
		at := wheels(h, "stand 1", by(10, 25, 20)...)
		v, err := s.Effect(t.Context(), lateral(h, at))
		h.Must(err)
		if v.Answer.Code != "effect_none" || v.Larger < 9000 || math.Abs(v.Effect) > 1e-9 {
			t.Errorf("%+v, %d of %d", v.Answer, v.Larger, v.Drawn)
		}
	})
}

// What moved before already is said, and what all others did.
func TestADriftAndOthersAreSaid(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		wheels(h, "stand 2", by(12, 30, 31)...)
		wheels(h, "stand 1", 20, 22, 23, 25, 26, 28, 29, 31, 32, 34)
		at := wheels(h, "stand 1", by(10, 40, 42)...)
		wheels(h, "stand 2", by(12, 60, 62)...)
		q := lateral(h, at)
		q.Place = "stand 1"
		v, err := s.Effect(t.Context(), q)
		h.Must(err)
		codes := map[string]bool{}
		for _, n := range v.Notes {
			codes[n.Code] = true
		}
		if !codes["effect_drift"] || !codes["effect_others_too"] || !codes["effect_small"] || v.Before.N != 10 || v.Others == nil || v.Others.N != 24 {
			t.Errorf("notes %+v, others %+v", v.Notes, v.Others)
		}
	})
}

// Seven on one side are too few, eight are enough; equal values have no spread.
func TestTooFewAreSaidInWords(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		empty, err := s.Effect(t.Context(), lateral(h, h.Now.Add(-time.Hour)))
		h.Must(err)
		if empty.Answer.Code != "effect_nothing" {
			t.Errorf("without a value: %+v", empty.Answer)
		}
		wheels(h, "stand 1", by(8, 20, 25)...)
		at := wheels(h, "stand 1", by(7, 30, 35)...)
		v, err := s.Effect(t.Context(), lateral(h, at))
		h.Must(err)
		if v.Answered || v.Answer.Code != "effect_too_few" || v.Answer.Values["after_n"] != "7" {
			t.Errorf("seven after: %+v", v.Answer)
		}
		wheels(h, "stand 1", 30)
		if v, err = s.Effect(t.Context(), lateral(h, at)); err != nil || !v.Answered {
			t.Errorf("eight after: %+v, %v", v.Answer, err)
		}
	})
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		wheels(h, "stand 1", by(10, 20)...)
		at := wheels(h, "stand 1", by(10, 20)...)
		v, err := s.Effect(t.Context(), lateral(h, at))
		h.Must(err)
		if v.Answered || v.Answer.Code != "effect_no_spread" {
			t.Errorf("equal values: %+v", v.Answer)
		}
		q := lateral(h, time.Time{})
		if v, err = s.Effect(t.Context(), q); err != nil || v.Answer.Code != "effect_no_moment" {
			t.Errorf("no moment: %+v, %v", v.Answer, err)
		}
		q.Place = "nowhere"
		q.At = at
		if v, err = s.Effect(t.Context(), q); err != nil || v.Answer.Code != "effect_nothing" {
			t.Errorf("a filter that matches nothing: %+v, %v", v.Answer, err)
		}
	})
}

// A revised specification is an event whose day is no choice.
func TestARecordedEventIsNoChoice(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		family := *h.Item[models.KindWheel].FamilyID
		wheels(h, "stand 1", by(9, 20, 25)...)
		spec, err := h.Store.SpecificationInForce(t.Context(), family, nil)
		h.Must(err)
		h.Now = h.Now.Add(time.Hour)
		spec.ID, spec.Revision, spec.Reason = "0198f3c2-7a11-7cc3-98f0-0a1b2c3d4e5f", spec.Revision+1, "tighter"
		spec.CreatedAt = models.Moment(h.Now)
		h.Must(h.Store.AddSpecification(t.Context(), models.NewStamp(h.Owner, h.Now), spec))
		at := models.Moment(h.Now)
		wheels(h, "stand 1", by(9, 30, 35)...)
		v, err := s.Effect(t.Context(), lateral(h, at))
		h.Must(err)
		if v.Event == nil || v.Event.What != effect.Revised {
			t.Fatalf("events %+v", v.Events)
		}
		for _, n := range v.Notes {
			if n.Code == "effect_chosen" || n.Code == "effect_also_specification" {
				t.Errorf("the event itself is said beside it: %+v", n)
			}
		}
	})
}

func TestBadQueries(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		good := lateral(h, h.Now)
		for name, c := range map[string]struct {
			change func(*effect.Query)
			want   string
		}{
			"no family":     {func(q *effect.Query) { q.FamilyID = "" }, "family missing"},
			"no result":     {func(q *effect.Query) { q.Result = "" }, "result missing"},
			"no such one":   {func(q *effect.Query) { q.Result = "colour" }, "result unknown_code"},
			"tomorrow":      {func(q *effect.Query) { q.At = h.Now.Add(time.Minute) }, "at effect_in_future"},
			"long ago":      {func(q *effect.Query) { q.At = h.Now.AddDate(-1, 0, -2) }, "at effect_too_long_ago"},
			"negative days": {func(q *effect.Query) { q.Days = -1 }, "days effect_days"},
			"too many":      {func(q *effect.Query) { q.Days = 366 }, "days effect_days"},
		} {
			q := good
			c.change(&q)
			_, err := s.Effect(t.Context(), q)
			var invalid *models.InvalidError
			if !errors.As(err, &invalid) || invalid.Problems[0].Field+" "+invalid.Problems[0].Code != c.want {
				t.Errorf("%s: %v, want %s", name, err, c.want)
			}
		}
		q := good
		q.FamilyID = "0198f3c2-0000-7cc3-98f0-0a1b2c3d4e5f"
		if _, err := s.Effect(t.Context(), q); !errors.Is(err, models.ErrNotFound) {
			t.Errorf("a family that is none: %v", err)
		}
	})
}

// Another builder's values are for who decides about the work; one's own are one's own.
func TestAnotherBuilderIsNotForEverybody(t *testing.T) {
	each(t, func(t *testing.T, h *worktest.Shop, s *effect.Service) {
		q := lateral(h, h.Now)
		q.PersonID = h.Operator.PersonID
		for _, c := range []struct {
			name    string
			actor   models.Actor
			refused bool
		}{{"oneself", h.Operator, false}, {"the owner", models.Actor{PersonID: "x", Role: models.Owner}, false}, {"another", models.Actor{PersonID: "x", Role: models.Operator}, true}, {"nobody", models.Actor{}, true}} {
			if _, err := s.For(t.Context(), c.actor, q); errors.Is(err, models.ErrForbidden) != c.refused || !c.refused && err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
	})
}
