package goodness

import (
	"context"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// queryOf is what the page is opened with to see what a sentence says.
func queryOf(q Query) map[string]string {
	out := map[string]string{}
	for name, value := range map[string]string{"family": q.FamilyID, "product": q.ProductID, "place": q.Place, "result": q.Result} {
		if value != "" {
			out[name] = value
		}
	}
	return out
}

func (q Query) sentence(code string, values ...string) models.Sentence {
	return models.Sentence{Remark: models.NewRemark(code, values...), About: models.AskHowGood, Query: queryOf(q)}
}

// Says is the answer in sentences: the share beyond the limits first.
func (v View) Says() []models.Sentence {
	out := []models.Sentence{v.title()}
	if v.Share.N == 0 {
		return out
	}
	if v.Limited {
		switch v.Charted.Control {
		case spc.NotInControl:
			out = append(out, v.Query.sentence("good_no_promise", "count", strconv.Itoa(v.Charted.Signals)))
		case spc.ControlNotShown:
			out = append(out, v.Query.sentence("good_control_open"))
		}
		out = append(out, v.law(), v.index())
	}
	if v.Rounds != nil && v.Rounds.N > 0 {
		out = append(out, roundsOf(v.Query, *v.Rounds))
	}
	if v.Final != nil {
		code := "good_final"
		if v.Final.Beyond > 0 {
			code = "good_final_beyond"
		}
		out = append(out, v.Query.sentence(code, "n", strconv.Itoa(v.Final.N), "k", strconv.Itoa(v.Final.Beyond)))
	}
	if v.Older > 0 && (v.Product != nil || len(v.Limits) == 1) {
		out = append(out, v.Query.sentence("good_older", "k", strconv.Itoa(v.Older), "n", strconv.Itoa(v.Share.N)))
	}
	return append(out, v.lots()...)
}

func (v View) title() models.Sentence {
	k, n := strconv.Itoa(v.Share.K), strconv.Itoa(v.Share.N)
	switch {
	case v.Share.N == 0:
		return v.Query.sentence("good_never", "result", v.Query.Result)
	case v.Ticked && v.Share.Few:
		return v.Query.sentence("good_ticked_few", "result", v.Query.Result, "k", k, "n", n)
	case v.Ticked:
		return v.Query.sentence("good_ticked", "result", v.Query.Result, "k", k, "n", n, "share", models.Percent(float64(v.Share.K)/float64(v.Share.N)), "share_low", models.Percent(v.Share.Interval.Low), "share_high", models.Percent(v.Share.Interval.High))
	case !v.Limited:
		return v.Query.sentence("good_without", "result", v.Query.Result, "n", n)
	case v.Share.Few:
		return v.Query.sentence("good_few", "k", k, "n", n)
	}
	values := []string{"k", k, "n", n, "share", models.Percent(float64(v.Share.K) / float64(v.Share.N)), "share_low", models.Percent(v.Share.Interval.Low), "share_high", models.Percent(v.Share.Interval.High)}
	if len(v.Limits) > 1 {
		return v.Query.sentence("good_beyond", values...)
	}
	l := v.Limits[0]
	values = append(values, "unit", v.Unit)
	switch {
	case l.Low == "":
		return v.Query.sentence("good_above", append(values, "limit", l.High)...)
	case l.High == "":
		return v.Query.sentence("good_below", append(values, "limit", l.Low)...)
	}
	return v.Query.sentence("good_outside", append(values, "low", l.Low, "high", l.High)...)
}

func (v View) law() models.Sentence {
	if v.Law == nil {
		return v.Query.sentence(v.LawRefused, "n", strconv.Itoa(v.Share.N), "want", strconv.Itoa(spc.FewestForCapability))
	}
	law := string(v.Law.Fitted.Shape())
	switch p := v.Law.Predicted; {
	case p == nil:
		return v.Query.sentence("good_law_few", "law", law, "n", strconv.Itoa(v.Share.N), "want", strconv.Itoa(spc.FewestForFittedTails))
	case p.Interval == nil:
		return v.Query.sentence("good_law_point", "law", law, "share", models.Percent(p.Share))
	default:
		return v.Query.sentence("good_law", "law", law, "share", models.Percent(p.Share), "share_low", models.Percent(p.Interval.Low), "share_high", models.Percent(p.Interval.High))
	}
}

func (v View) index() models.Sentence {
	if v.Index == nil {
		refused := v.IndexRefused
		if refused == "good_limits_changed" {
			refused = "good_several_limits"
		}
		return v.Query.sentence("no_index_"+refused[len("good_"):], "want", strconv.Itoa(spc.FewestForCapability))
	}
	if v.Index.Interval == nil {
		return v.Query.sentence("good_index_point", "index", number(v.Index.Value, 2))
	}
	return v.Query.sentence("good_index", "index", number(v.Index.Value, 2), "index_low", number(v.Index.Interval.Low, 2), "index_high", number(v.Index.Interval.High, 2))
}

func (v View) lots() []models.Sentence {
	var out []models.Sentence
	if l := v.Lots; l != nil && l.Known {
		code := "good_lots_none"
		if l.P < 1-confidence {
			code = "good_lots_differ"
		}
		out = append(out, v.Query.sentence(code, "groups", strconv.Itoa(l.compared()), "share", models.Percent(l.Part), "share_low", models.Percent(l.PartLow), "share_high", models.Percent(l.PartHigh)))
	}
	if l := v.Falls; l != nil && l.Known {
		for _, row := range l.Rows {
			if row.Apart && row.Side == "high" {
				out = append(out, v.Query.sentence("good_lot_falls", "lot", row.Lot, "value", number(row.Mean, 1), "n", strconv.Itoa(row.N), "mean", number(l.others(row), 1), "groups", strconv.Itoa(l.compared())))
			}
		}
	}
	return out
}

func (l Lots) compared() (n int) {
	for _, row := range l.Rows {
		if row.N >= fewestLot {
			n++
		}
	}
	return n
}

// others is the mean of all lots but one.
func (l Lots) others(but LotRow) float64 {
	var sum float64
	n := 0
	for _, row := range l.Rows {
		if row.LotID != but.LotID {
			sum, n = sum+row.Mean*float64(row.N), n+row.N
		}
	}
	return sum / float64(max(n, 1))
}

func roundsOf(q Query, s Share) models.Sentence {
	if s.Few {
		return q.sentence("good_rounds_few", "k", strconv.Itoa(s.K), "n", strconv.Itoa(s.N))
	}
	return q.sentence("good_rounds", "k", strconv.Itoa(s.K), "n", strconv.Itoa(s.N), "share", models.Percent(float64(s.K)/float64(s.N)), "share_low", models.Percent(s.Interval.Low), "share_high", models.Percent(s.Interval.High))
}

// Says is the answer for all results: the one that lies beyond its limits most, and
// rounds.
func (o Overview) Says() []models.Sentence {
	var out []models.Sentence
	var most *ResultLine
	measured := 0
	for i, line := range o.Results {
		measured += line.Share.N
		if !line.Share.Few && line.Share.K > 0 && (most == nil || line.Share.Interval.Low > most.Share.Interval.Low) {
			most = &o.Results[i]
		}
	}
	switch {
	case measured == 0:
		out = append(out, o.Query.sentence("good_nothing", "name", o.Family.Name))
	case most == nil:
		out = append(out, o.Query.sentence("good_none_beyond", "name", o.Family.Name))
	default:
		q := o.Query
		q.Result = most.Result
		s := q.sentence("good_most", "result", most.Result, "k", strconv.Itoa(most.Share.K), "n", strconv.Itoa(most.Share.N), "share", models.Percent(float64(most.Share.K)/float64(most.Share.N)),
			"share_low", models.Percent(most.Share.Interval.Low), "share_high", models.Percent(most.Share.Interval.High))
		out = append(out, s)
	}
	if o.Rounds != nil && o.Rounds.N > 0 {
		out = append(out, roundsOf(o.Query, *o.Rounds))
	}
	return out
}

// Said is what the review of from <= t < to says of how good the work is: of each
// family of which anything was measured, its worst result and its rounds.
func (s *Service) Said(ctx context.Context, from, to time.Time) ([]models.Sentence, error) {
	families, err := s.store.Families(ctx)
	if err != nil {
		return nil, err
	}
	var out []models.Sentence
	for _, f := range families {
		o, err := s.Overview(ctx, Query{ChartKey: models.ChartKey{FamilyID: f.ID}, From: from, To: to})
		if err != nil {
			return nil, err
		}
		for _, said := range o.Says() {
			switch said.Code {
			case "good_most":
				said.Code, said.Values["name"] = "good_most_of", f.Name
			case "good_rounds":
				said.Code, said.Values["name"] = "good_rounds_of", f.Name
			default: // Nothing measured, nothing beyond, or too little to say.
				continue
			}
			out = append(out, said)
		}
	}
	return out, nil
}

func number(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
