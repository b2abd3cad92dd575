package returns

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/life"
)

// query is what the page is opened with to see what a sentence says.
func (v View) query() map[string]string {
	q := map[string]string{"family": v.Family.ID}
	if v.Lot != nil {
		q["lot"] = v.Lot.Code
	}
	if v.Query.Months != UsualMonths {
		q["months"] = strconv.Itoa(v.Query.Months)
	}
	if v.Query.LagDays != 0 {
		q["lag"] = strconv.Itoa(v.Query.LagDays)
	}
	return q
}

func (v View) sentence(code string, values ...string) models.Sentence {
	return models.Sentence{Remark: models.NewRemark(code, values...), About: models.AskReturns, Query: v.query()}
}

// Says is the answer in sentences: what came back first, then the lots and months that
// stand out, what is to be expected, and what the answer does not know.
func (v View) Says() []models.Sentence {
	out := []models.Sentence{v.title()}
	out = append(out, v.Warnings()...)
	if v.Share.N > 0 {
		for _, a := range v.Ahead {
			out = append(out, v.ahead(a))
		}
		if v.Law != nil {
			out = append(out, v.shape())
		}
		for _, l := range v.Lots {
			if l.More && v.Lot == nil {
				out = append(out, v.sentence("returns_mixed", "lot", l.Lot.Code))
			}
		}
	}
	if v.Waiting > 0 {
		code := "returns_waiting"
		if v.Waiting == 1 {
			code = "returns_waiting_one"
		}
		out = append(out, v.sentence(code, "count", strconv.Itoa(v.Waiting), "n", strconv.Itoa(v.Share.N), "days", strconv.Itoa(v.Lag)))
	}
	clock := v.sentence(v.Clock.Code)
	clock.Values = v.Clock.Values
	return append(out, clock, v.sentence("returns_told"))
}

func (v View) title() models.Sentence {
	k, n := strconv.Itoa(v.Share.K), strconv.Itoa(v.Share.N)
	switch {
	case v.Share.N == 0 && v.Lot != nil:
		return v.sentence("returns_none_of_lot", "lot", v.Lot.Code, "name", v.Family.Name)
	case v.Share.N == 0:
		return v.sentence("returns_none", "name", v.Family.Name, "date", v.From)
	case v.Share.Few:
		return v.sentence("returns_few", "k", k, "n", n)
	case v.Lot != nil:
		return v.sentence("returns_share_of_lot", "k", k, "n", n, "lot", v.Lot.Code, "share", percent(v.Share.K, v.Share.N), "share_low", models.Percent(v.Share.Interval.Low), "share_high", models.Percent(v.Share.Interval.High))
	}
	return v.sentence("returns_share", "k", k, "n", n, "date", v.From, "share", percent(v.Share.K, v.Share.N), "share_low", models.Percent(v.Share.Interval.Low), "share_high", models.Percent(v.Share.Interval.High))
}

// Warnings are the lots and months of shipment of which more came back than all
// others lead one to expect.
func (v View) Warnings() []models.Sentence {
	var out []models.Sentence
	for _, l := range v.Lots {
		if l.More && (v.Lot == nil || v.Lot.ID == l.Lot.ID) {
			s := v.sentence(alone("returns_lot", v.LotsCompared), "k", strconv.Itoa(l.K), "n", strconv.Itoa(l.N), "lot", l.Lot.Code, "expected", number(l.Expected, 1), "groups", strconv.Itoa(v.LotsCompared), "chance", oneOf(l.Adjusted))
			s.Query["lot"] = l.Lot.Code
			out = append(out, s)
		}
	}
	for _, m := range v.Months {
		if m.More {
			out = append(out, v.sentence(alone("returns_month", v.MonthsCompared), "k", strconv.Itoa(m.K), "n", strconv.Itoa(m.N), "month", m.Month, "expected", number(m.Expected, 1), "groups", strconv.Itoa(v.MonthsCompared), "chance", oneOf(m.Adjusted)))
		}
	}
	return out
}

// alone is the code of a sentence where one group only was compared.
func alone(code string, compared int) string {
	if compared == 1 {
		return code + "_alone"
	}
	return code
}

func (v View) ahead(a Ahead) models.Sentence {
	months, low, high := strconv.Itoa(a.Months), strconv.Itoa(a.Low), strconv.Itoa(a.High)
	switch {
	case !a.Known:
		return v.sentence("returns_ahead_none", "months", months, "most", high, "n", strconv.Itoa(a.StillOut))
	case v.Law.Fit == nil:
		return v.sentence("returns_ahead_assumed", "months", months, "expected", number(a.Expected, 1), "count_low", low, "count_high", high, "n", strconv.Itoa(a.StillOut))
	}
	return v.sentence("returns_ahead", "months", months, "expected", number(a.Expected, 1), "count_low", low, "count_high", high, "n", strconv.Itoa(a.StillOut))
}

// shape says what the law lets one say of wear.
func (v View) shape() models.Sentence {
	if l := v.Law; l.Fit == nil {
		code := "returns_shape_no_fit"
		switch {
		case l.Failures < life.ShapeFailures:
			code = "returns_shape_assumed"
		case l.Ages == 1:
			code = "returns_shape_one_age"
		case l.Ages < fewestAges:
			code = "returns_shape_two_ages"
		}
		return v.sentence(code, "k", strconv.Itoa(l.Failures), "want", strconv.Itoa(life.ShapeFailures))
	}
	code := "returns_shape_open"
	switch {
	case v.Law.Shape.High < 1:
		code = "returns_shape_early"
	case v.Law.Shape.Low > 1:
		code = "returns_shape_wear"
	}
	return v.sentence(code, "shape", number(v.Law.Fit.Shape(), 2), "shape_low", number(v.Law.Shape.Low, 2), "shape_high", number(v.Law.Shape.High, 2))
}

// Said is what the review of from <= t < to says of returns: what came back in it, and
// the lots and months that stood out at its end. Of a time that is over, what left and
// came back later is not counted; that what is counted is what today's records say of it
// is said beside it.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	at, over := s.asOf(to)
	families, err := s.families(ctx, UsualMonths, at)
	if err != nil {
		return nil, err
	}
	var out []models.Sentence
	until := at.In(s.zone(ctx)).Format(time.DateOnly)
	for _, f := range families {
		v, err := s.view(ctx, Query{FamilyID: f.Family.ID}, at)
		if err != nil {
			return nil, err
		}
		back := 0
		for _, c := range v.Claims {
			if !c.OpenedAt.Before(from) && c.OpenedAt.Before(to) {
				back++
			}
		}
		if back > 0 || len(v.Warnings()) > 0 {
			out = append(out, v.sentence("returns_period", "name", f.Family.Name, "count", strconv.Itoa(back), "k", strconv.Itoa(v.Share.K), "n", strconv.Itoa(v.Share.N), "until", until))
		}
		out = append(out, v.Warnings()...)
	}
	if len(out) == 0 {
		return nil, nil
	}
	told := models.NewRemark("returns_told")
	if over {
		told = models.NewRemark("returns_told_then", "until", until)
	}
	return append(out, models.Sentence{Remark: told, About: models.AskReturns}), nil
}

// asOf is the moment at which a time up to another is looked back on, and whether that
// time is over.
func (s *Service) asOf(to time.Time) (at time.Time, over bool) {
	if end := to.Add(-time.Millisecond); end.Before(s.now()) {
		return end, true
	}
	return s.now(), false
}

func number(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

func percent(k, n int) string { return models.Percent(float64(k) / float64(n)) }

// oneOf is the round number whose part a chance stays under: 0.003 is fewer than 1 of
// 200.
func oneOf(p float64) string {
	if p <= 1e-4 {
		return "10,000"
	}
	for _, n := range []int{5000, 2000, 1000, 500, 200, 100, 50, 20} {
		if p*float64(n) <= 1+1e-9 {
			if n >= 1000 {
				return fmt.Sprintf("%d,%03d", n/1000, n%1000)
			}
			return strconv.Itoa(n)
		}
	}
	return strconv.Itoa(max(2, int(math.Floor(1/math.Max(p, 1e-4)))))
}
