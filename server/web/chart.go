package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
	"tracewright/server/httpx"
)

// chartRoutes are the pages and forms of control charts.
func (s *site) chartRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/charts", Act: models.ActLook, Handler: s.chart},
		{Method: http.MethodPost, Path: "/charts/baselines", Act: models.ActSpecify, Handler: s.chooseBaseline},
		{Method: http.MethodPost, Path: "/charts/causes", Act: models.ActRecord, Handler: s.explainSignal},
		{Method: http.MethodPost, Path: "/charts/happenings", Act: models.ActRecord, Handler: s.addHappening},
	}
}

// periods are how far back a chart looks, where it is not the newest points.
var periods = []struct {
	code, text string
	days       int
}{{"newest", fmt.Sprintf("the newest %d", monitor.UsualPoints), 0}, {"90", "the last 90 days", 90}, {"365", "the last year", 365}, {"days", "the days below", 0}}

// charting is one look at a chart: what is asked, and what there is to ask for.
type charting struct {
	query    monitor.ChartQuery
	period   string
	from, to string // days, as typed
	families []models.Family
	products []models.Product
	results  []string
	problem  error  // of the question itself
	notice   string // of what could not be taken as it was asked
}

// kept is what a link or a form to the same look carries on beside the chart's key.
func (l charting) kept(more ...string) []string {
	return append([]string{"period", l.period, "from", l.from, "to", l.to, "rules", strings.Join(l.query.Rules, ",")}, more...)
}

func (s *site) chart(c *gin.Context) error { return s.showChart(c, http.StatusOK, c.Query, nil, "") }

// showChart shows the chart that get names; a form that was refused comes back on
// it.
func (s *site) showChart(c *gin.Context, status int, get func(string) string, problem error, form string) error {
	page := ChartPage{Frame: s.frame(c, "In control?", "/charts")}
	look, err := s.charting(c, get)
	if err != nil {
		return err
	}
	if len(look.families) == 0 {
		page.Answer, page.Sub = "No family to chart yet", "A chart shows one result of one family. Add a family first."
		return show(c, "chart", page)
	}
	if err := s.chartPickers(c, &page, look); err != nil {
		return err
	}
	q := look.query
	if page.Open, err = s.openCharts(c.Request.Context(), models.ChartKey{FamilyID: q.FamilyID, ProductID: q.ProductID, Place: q.Place, Result: q.Result}); err != nil {
		return err
	}
	if len(look.results) == 0 {
		page.Answer, page.Sub = "This family has no result to chart", "Its specification asks for nothing that is a number or a tick."
		return send(c, status, "chart", page)
	}
	view, err := s.lookAt(c.Request.Context(), &look, firstOf(get("signal")))
	var invalid *models.InvalidError
	switch asTable := c.Request.Method == http.MethodGet && httpx.AsTable(c); {
	case err == nil && asTable:
		s.fillChart(&page, view, nil, look)
		return httpx.SendTable(c, s.chartTable(&page, view))
	case errors.As(err, &invalid) && !asTable:
		page.Answer, page.Problem = "This chart cannot be drawn", english.Problem(invalid.Problems[0])
		if invalid.Problems[0].Code == "lots_of_one_product" {
			page.Answer, page.Problem, page.Sub = "Choose a block model", "", "Blocks are charted by lot, and lots of one model at a time: models have levels of their own."
			for _, p := range look.products {
				page.Choose = append(page.Choose, Link{chartPath(models.ChartKey{FamilyID: q.FamilyID, ProductID: p.ID, Place: q.Place, Result: q.Result}, look.kept()...), p.Name})
			}
		}
		if look.notice != "" {
			page.Bands = append(page.Bands, look.notice)
		}
		return send(c, status, "chart", page)
	}
	if err != nil {
		return err
	}
	people, err := s.people(c.Request.Context())
	if err != nil {
		return err
	}
	s.fillChart(&page, view, people, look)
	if look.notice != "" {
		page.Bands = append([]string{look.notice}, page.Bands...)
	}
	s.chartForms(&page, view, look, c, problem, form)
	return send(c, status, "chart", page)
}

// lookAt draws the chart. Where a signal is asked for that began before the usual
// points it takes those that are looked through for signals.
func (s *site) lookAt(ctx context.Context, look *charting, signal string) (monitor.ChartView, error) {
	if look.problem != nil {
		return monitor.ChartView{}, look.problem
	}
	view, err := s.services.Monitor.Chart(ctx, look.query)
	if err != nil || signal == "" || signalNamed(view, signal) >= 0 {
		return view, err
	}
	if look.period == "newest" {
		wider := look.query
		wider.Points = monitor.SignalsPoints
		if more, err := s.services.Monitor.Chart(ctx, wider); err != nil || signalNamed(more, signal) >= 0 {
			return more, err
		}
	}
	look.notice = "The signal that was asked for is on this chart no longer: a value was corrected, or a new baseline was chosen."
	return view, nil
}

// charting reads what is asked, and puts what is likeliest where nothing is.
func (s *site) charting(c *gin.Context, get func(string) string) (charting, error) {
	ctx := c.Request.Context()
	look := charting{period: firstOf(get("period"), "newest"), from: get("from"), to: get("to")}
	var err error
	if look.families, err = s.services.Specify.Families(ctx); err != nil || len(look.families) == 0 {
		return look, err
	}
	q := monitor.ChartQuery{FamilyID: get("family"), ProductID: get("product"), Place: get("place"), Result: get("result")}
	if q.FamilyID == "" {
		q.FamilyID = look.families[0].ID
		for _, f := range look.families {
			if f.Kind == models.KindWheel {
				q.FamilyID = f.ID
				break
			}
		}
	}
	family, err := s.services.Specify.Family(ctx, q.FamilyID)
	if err != nil {
		return look, err
	}
	look.products = family.Products
	if q.ProductID != "" && !slices.ContainsFunc(family.Products, func(p models.Product) bool { return p.ID == q.ProductID }) {
		if look.notice, err = s.notOfFamily(ctx, look.families, family.Family, q.ProductID); err != nil {
			return look, err
		}
		q.ProductID = ""
	}
	look.results = monitor.Chartable(family.Family.Kind, family.InForce)
	if !slices.Contains(look.results, q.Result) && len(look.results) > 0 && q.Result == "" {
		q.Result = look.results[0]
		if slices.Contains(look.results, "lateral_tir") {
			q.Result = "lateral_tir"
		}
	}
	if rules := firstOf(get("rules"), strings.Join(c.QueryArray("rule"), ",")); rules != "" {
		q.Rules = strings.Split(rules, ",")
	}
	look.problem = s.chartPeriod(&look, &q)
	look.query = q
	return look, nil
}

// notOfFamily says that a product that was asked for is none of the family, and what is
// shown instead.
func (s *site) notOfFamily(ctx context.Context, families []models.Family, family models.Family, productID string) (string, error) {
	asked := "The product that was asked for"
	for _, f := range families {
		of, err := s.services.Specify.Family(ctx, f.ID)
		if err != nil {
			return "", err
		}
		for _, p := range of.Products {
			if p.ID == productID {
				asked = p.Name
			}
		}
	}
	text := fmt.Sprintf("%s is no product of %s", asked, family.Name)
	if family.Kind == models.KindBlock {
		return text + ".", nil
	}
	return text + ": all its products are shown.", nil
}

// chartPeriod reads the days.
func (s *site) chartPeriod(look *charting, q *monitor.ChartQuery) error {
	if look.from != "" || look.to != "" {
		look.period = "days"
	}
	for _, p := range periods {
		if p.code == look.period && p.days > 0 {
			q.From = s.services.Now().Add(-time.Duration(p.days) * 24 * time.Hour)
		}
	}
	if look.period != "days" {
		return nil
	}
	for _, x := range []struct {
		field, text string
		at          *time.Time
		after       int
	}{{"from", look.from, &q.From, 0}, {"to", look.to, &q.To, 1}} {
		if x.text == "" {
			continue
		}
		day, err := models.ReadDay(x.text, s.zone())
		if err != nil {
			return models.Invalid(x.field, "bad_date", "typed", models.Shortened(x.text))
		}
		*x.at = models.DayOf(day, x.after)
	}
	return nil
}

func (s *site) chartPickers(c *gin.Context, page *ChartPage, look charting) error {
	gauges, err := s.services.Gauges.Instruments(c.Request.Context())
	if err != nil {
		return err
	}
	q := look.query
	pick := func(name, label, value string, list []Choice) {
		page.Pickers = append(page.Pickers, Field{Name: name, ID: name, Label: label, Kind: "select", Value: value, Choices: list})
	}
	var list []Choice
	for _, f := range look.families {
		list = append(list, Choice{f.ID, f.Name})
	}
	pick("family", "Family", q.FamilyID, list)
	pick("result", "Result", q.Result, choices(look.results, english.Result))
	list = []Choice{{"", "all places"}}
	for _, g := range gauges {
		if p := g.Instrument.Place; p != "" && !slices.ContainsFunc(list, func(x Choice) bool { return x.Value == p }) {
			list = append(list, Choice{p, p})
		}
	}
	if q.Place != "" && !slices.ContainsFunc(list, func(x Choice) bool { return x.Value == q.Place }) {
		list = append(list, Choice{q.Place, q.Place})
	}
	pick("place", "Place", q.Place, list)
	list = []Choice{{"", "all products"}}
	for _, p := range look.products {
		list = append(list, Choice{p.ID, p.Name})
	}
	pick("product", "Product", q.ProductID, list)
	list = nil
	for _, p := range periods {
		list = append(list, Choice{p.code, p.text})
	}
	pick("period", "Looking at", look.period, list)
	page.Pickers = append(page.Pickers,
		Field{Name: "from", ID: "from", Label: "First day", Kind: "date", Value: look.from, Optional: true},
		Field{Name: "to", ID: "to", Label: "Last day", Kind: "date", Value: look.to, Optional: true})
	for _, r := range spc.RunRules() {
		if r.Name != spc.BeyondLimit {
			page.Rules = append(page.Rules, ChartRule{r.Name, english.Say(r.Name, nil), slices.Contains(q.Rules, r.Name)})
		}
	}
	page.Asked = len(q.Rules) > 0
	return nil
}

// chartPath is the page of a chart.
func chartPath(key models.ChartKey, more ...string) string {
	values := url.Values{"family": {key.FamilyID}}
	for name, value := range map[string]string{"result": key.Result, "product": key.ProductID, "place": key.Place} {
		if value != "" {
			values.Set(name, value)
		}
	}
	for i := 0; i+1 < len(more); i += 2 {
		if more[i+1] != "" {
			values.Set(more[i], more[i+1])
		}
	}
	return "/charts?" + values.Encode()
}

// chartName names a chart as the stream of changes does.
func chartName(key models.ChartKey) string {
	return strings.Join([]string{key.FamilyID, key.ProductID, key.Place, key.Result}, "|")
}

// unitBehind is the unit as it stands behind a value.
func unitBehind(unit string) string { return strings.TrimPrefix(words.Quantity("0", unit), "0") }
