package monitor

import (
	"context"
	"math"
	"strconv"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/spc"
)

// Sentences says what the watched charts find and nobody gave a cause for: first
// how many charts have such a matter, then one sentence a chart, what drifts before
// what came back, and single points last. It draws every watched chart, so it is
// for a review and not for each page.
func (s *Service) Sentences(ctx context.Context) ([]models.Sentence, error) {
	keys, err := s.Watched(ctx)
	if err != nil {
		return nil, err
	}
	var drifts, back, points []models.Sentence
	for _, key := range keys {
		v, err := s.Chart(ctx, ChartQuery{FamilyID: key.FamilyID, ProductID: key.ProductID, Place: key.Place, Result: key.Result})
		if err != nil {
			return nil, err
		}
		said, ok := v.sentence(s.zone(ctx))
		switch {
		case !ok:
		case said.Code == "chart_came_back":
			back = append(back, said)
		case said.Code == "chart_beyond":
			points = append(points, said)
		default:
			drifts = append(drifts, said)
		}
	}
	all := append(append(drifts, back...), points...)
	head := models.Remark{Code: "charts_steady", Values: map[string]string{"n": strconv.Itoa(len(keys))}}
	if len(all) > 0 {
		head = models.Remark{Code: "charts_open", Values: map[string]string{"n": strconv.Itoa(len(keys)), "has": strconv.Itoa(len(all))}}
	}
	return append([]models.Sentence{{Remark: head, About: models.AskCharts}}, all...), nil
}

// sentence is the newest matter of a chart that nobody gave a cause for.
func (v *ChartView) sentence(zone *time.Location) (models.Sentence, bool) {
	said := models.Sentence{About: models.AskCharts, Query: map[string]string{"family": v.Query.FamilyID, "result": v.Query.Result}}
	for name, value := range map[string]string{"place": v.Query.Place, "product": v.Query.ProductID} {
		if value != "" {
			said.Query[name] = value
		}
	}
	values := map[string]string{"family": v.Family.Name, "result": v.Query.Result, "place": v.Query.Place}
	if v.Query.Place == "" {
		values["place"] = v.Family.Name
	}
	for i := len(v.Signals) - 1; i >= 0; i-- {
		g := v.Signals[i]
		if g.Phase != len(v.Phases)-1 || g.Panel != spc.PanelSmoothed || g.Settled() {
			continue
		}
		if !g.Open {
			values["date"] = v.Points[g.Last].MeasuredAt.In(zone).Format(time.DateOnly)
			said.Remark = models.Remark{Code: "chart_came_back", Values: values}
			return said, true
		}
		c := v.change(g)
		values["date"] = c.Since.In(zone).Format(time.DateOnly)
		values["value"], values["unit"] = c.text(math.Abs(c.By)), c.Unit
		said.Remark = models.Remark{Code: "chart_drifted_" + string(g.Side), Values: values}
		return said, true
	}
	n := 0
	for _, g := range v.Signals {
		if g.Phase == len(v.Phases)-1 && g.Panel != spc.PanelSmoothed && !g.Settled() && !g.Covered && g.Point >= len(v.Points)-recent {
			n++
		}
	}
	if n == 0 {
		return said, false
	}
	values["beyond"], values["recent"] = strconv.Itoa(n), strconv.Itoa(min(recent, len(v.Points)))
	said.Remark = models.Remark{Code: "chart_beyond", Values: values}
	return said, true
}
