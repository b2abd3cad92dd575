package finder

import (
	"context"
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/measure"
)

// Sentence is a finding as it is said.
func (f Finding) Sentence() models.Sentence {
	r := f.Remark()
	r.Code = "difference_" + f.Shape
	values := r.Values
	values["result"], values["family"], values["unit"] = f.Measure, f.Family.Name, f.Unit
	values["larger"], values["drawn"] = strconv.Itoa(f.Larger), strconv.Itoa(f.Drawn)
	if len(f.Families) > 0 {
		r.Code, values["families"] = "difference_several_"+f.Shape, strconv.Itoa(len(f.Families))
	}
	if f.Measure == Returns {
		r.Code = "difference_returns_" + f.Shape
		values["k"], values["n"], values["expected"] = strconv.Itoa(f.Back), strconv.Itoa(f.N), text(f.Expected, 1)
		values["share"], values["effect_low"], values["effect_high"] = text(f.Share, 1), text(f.ShareLow, 1), text(f.ShareHigh, 1)
	} else {
		values["effect"], values["effect_low"], values["effect_high"] = text(f.Effect, f.Decimals), text(f.Low, f.Decimals), text(f.High, f.Decimals)
	}
	return models.Sentence{Remark: r, About: models.AskFinder, Query: map[string]string{"finding": f.ID}}
}

// Remark is a cut as it is called: "Stand 2 since 14 May".
func (s Said) Remark() models.Remark {
	r := models.Remark{Code: "part_" + s.Shape, Values: map[string]string{"cut": s.Factor, "cut_name": s.Name, "material": s.Material}}
	if s.Shape != Level {
		r.Values["date"], r.Values["until"] = s.From.Format(time.DateOnly), s.Until.Format(time.DateOnly)
	}
	return r
}

// text is a figure with so many decimals, exact and without the sign of a zero.
func text(x float64, decimals int) string {
	d, err := measure.Round(x, decimals)
	if err != nil { // Figures are finite by now.
		return fmt.Sprintf("%.*f", decimals, x)
	}
	return d.String()
}

// Said are the sentences for a review of a time: the findings whose days reach
// into it. No builder is named, for everybody reads a review. It waits for a search
// that sees all there is.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	answer, err := s.Find(ctx)
	if err != nil {
		return nil, err
	}
	reaching := Answer{}
	for _, f := range answer.For(models.Actor{}).Findings {
		if f.reaches(from, to) {
			reaching.Findings = append(reaching.Findings, f)
		}
	}
	var out []models.Sentence
	for _, m := range reaching.Matters() {
		out = append(out, m.Sentence())
		if len(m.Also) > 0 {
			out = append(out, m.also())
		}
	}
	return out, nil
}

// also says in how many more results and families the same part does the same, so
// that a review says a thing once.
func (m Matter) also() models.Sentence {
	r := m.Remark()
	r.Code = "difference_also_one"
	if len(m.Also) > 1 {
		r.Code = "difference_also_many"
	}
	r.Values["count"] = strconv.Itoa(len(m.Also))
	return models.Sentence{Remark: r, About: models.AskFinder}
}

// reaches says whether a value of the cut was measured in a time.
func (f Finding) reaches(from, to time.Time) bool {
	for _, p := range f.Points {
		if p.In && !p.At.Before(from) && p.At.Before(to) {
			return true
		}
	}
	return false
}

// Named gives the finding of that id.
func (a *Answer) Named(id string) (Finding, bool) {
	for _, f := range a.Findings {
		if f.ID == id {
			return f, true
		}
	}
	return Finding{}, false
}

// Matter is what one part of the work does, in one or more of its results: the
// largest finding first.
type Matter struct {
	Finding
	Also []Finding
}

// Matters gathers findings of the same part and shape whose days overlap.
func (a *Answer) Matters() []Matter {
	var out []Matter
next:
	for _, f := range a.Findings {
		for i := range out {
			m := &out[i]
			if m.Cut == f.Cut && m.overlaps(f) {
				m.Also = append(m.Also, f)
				continue next
			}
		}
		out = append(out, Matter{Finding: f})
	}
	return out
}

func (f Finding) overlaps(g Finding) bool {
	if f.Shape == Level || g.Shape == Level {
		return f.Shape == g.Shape
	}
	from, until := f.From, f.Until
	if g.From.After(from) {
		from = g.From
	}
	if g.Until.Before(until) {
		until = g.Until
	}
	both := until.Sub(from)
	return float64(both) >= 0.5*math.Min(float64(f.Until.Sub(f.From)), float64(g.Until.Sub(g.From)))
}
