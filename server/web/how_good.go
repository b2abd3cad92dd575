package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/goodness"
	"tracewright/server/httpx"
)

func (s *site) howGoodRoutes() []httpx.Route {
	return []httpx.Route{{Method: http.MethodGet, Path: "/how-good", Act: models.ActLook, Handler: s.howGood}}
}

// HowGoodPage holds first readings against the limits of the product. Its title is the
// share beyond them.
type HowGoodPage struct {
	Frame
	About    string
	Answer   string
	Says     []string
	Problem  string
	Family   Field
	Product  Field
	Place    Field
	Result   Field
	Period   Field
	Chart    string // address of the control chart; empty where there is none
	Ticked   bool   // the result has no value
	Drawn    bool
	Data     string
	Describe string
	Unit     string
	Second   string // what the second histogram holds, empty for none
	Bins     []BinRow
	Bar      *IntervalBar
	Facts    []ChartFact
	Beyond   []BeyondRow
	Hidden   int // beyond, and not listed
	Lots     *LotTable
	Falls    *LotTable
	Overview []OverviewRow
	Table    string // query of the tables for spreadsheets
}

// BinRow is a bin of the histograms as a row of the table.
type BinRow struct {
	From, To    string
	Range       string
	First, Last int
	Beyond      bool
}

// BeyondRow is an item that lies beyond its limits.
type BeyondRow struct{ Serial, Path, When, Value, Limit string }

// LotTable is blocks by lot.
type LotTable struct {
	Title, Unit, Class string
	Table              string // address of it for spreadsheets
	Rows               []LotLine
	Note               string
}

// LotLine is one lot.
type LotLine struct {
	Lot, Path, N, Mean string
	Mark               Mark
}

// OverviewRow is one result of the family.
type OverviewRow struct {
	Result, Path, Limit, Count, Share string
	Here                              bool
	Bar                               *IntervalBar
}

// histogramData is what the page's module draws.
type histogramData struct {
	Unit    string      `json:"unit"`
	Result  string      `json:"result"`
	First   float64     `json:"first"` // lower edge of the first bin
	Width   float64     `json:"width"`
	Digits  int         `json:"digits"`
	Limits  []limitLine `json:"limits"`
	Panels  []binned    `json:"panels"`
	Density []float64   `json:"density,omitempty"` // of the fitted law: how many it expects in each bin
	Law     string      `json:"law,omitempty"`
}

type limitLine struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	Text  string  `json:"text"`
}

type binned struct {
	Title  string `json:"title"`
	Counts []int  `json:"counts"`
}

func (s *site) howGood(c *gin.Context) error {
	ctx := c.Request.Context()
	page := HowGoodPage{Frame: s.frame(c, "How good", "/how-good")}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	families = slices.DeleteFunc(families, func(f models.Family) bool { return f.Kind == models.KindKit })
	if len(families) == 0 {
		page.Answer, page.Problem = "No family to look at yet", "How good asks for a family of which something is measured."
		return show(c, "how_good", page)
	}
	q := goodness.Query{ChartKey: models.ChartKey{FamilyID: c.Query("family"), ProductID: c.Query("product"), Place: c.Query("place"), Result: c.Query("result")}}
	if q.FamilyID == "" {
		q.FamilyID = families[0].ID
		if at := slices.IndexFunc(families, func(f models.Family) bool { return f.Kind == models.KindWheel }); at >= 0 {
			q.FamilyID = families[at].ID
		}
	}
	period := c.DefaultQuery("period", "365")
	q.From = time.Unix(0, 0).UTC()
	for _, p := range periods {
		if p.code == period && p.days > 0 {
			q.From = s.services.Now().Add(-time.Duration(p.days) * 24 * time.Hour)
		}
	}
	family, err := s.services.Specify.Family(ctx, q.FamilyID)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(family.Products, func(p models.Product) bool { return p.ID == q.ProductID }) {
		q.ProductID = ""
	}
	results := goodness.Answered(family.InForce, family.Family.Kind)
	if q.Result != "" && !slices.Contains(results, q.Result) {
		q.Result = ""
	}
	if err := s.howGoodPickers(c, &page, q, period, families, results, family.Products); err != nil {
		return err
	}
	if family.Family.Kind == models.KindKit {
		page.Answer = "Nothing of kits is measured"
		return show(c, "how_good", page)
	}
	all, err := s.services.Goodness.Overview(ctx, q)
	if err == nil {
		s.fillOverview(&page, all, q, period)
		if httpx.AsTable(c) && (q.Result == "" || c.Query("table") == "results") {
			return httpx.SendTable(c, s.resultsTable(all))
		}
	}
	page.Table = httpx.TableQuery(c)
	if err == nil && q.Result != "" {
		var v goodness.View
		if v, err = s.services.Goodness.View(ctx, q); err == nil {
			if httpx.AsTable(c) {
				table, err := s.howGoodTable(c, v)
				if err != nil {
					return err
				}
				return httpx.SendTable(c, table)
			}
			s.fillHowGood(&page, v)
		}
	}
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		page.Answer, page.Problem = "This cannot be answered", english.Say(invalid.Problems[0].Code, english.Readable(invalid.Problems[0].Values))
		return show(c, "how_good", page)
	}
	if err != nil {
		return err
	}
	return show(c, "how_good", page)
}

func (s *site) howGoodPickers(c *gin.Context, page *HowGoodPage, q goodness.Query, period string, families []models.Family, results []string, products []models.Product) error {
	gauges, err := s.services.Gauges.Instruments(c.Request.Context())
	if err != nil {
		return err
	}
	pick := func(name, label, value string, list []Choice) Field {
		return Field{Name: name, ID: name, Label: label, Kind: "select", Value: value, Choices: list}
	}
	var list []Choice
	for _, f := range families {
		list = append(list, Choice{f.ID, f.Name})
	}
	page.Family = pick("family", "Family", q.FamilyID, list)
	list = []Choice{{"", "all results"}}
	for _, r := range results {
		list = append(list, Choice{r, english.Result(r)})
	}
	page.Result = pick("result", "Result", q.Result, list)
	list = []Choice{{"", "all places"}}
	for _, g := range gauges {
		if p := g.Instrument.Place; p != "" && !slices.ContainsFunc(list, func(x Choice) bool { return x.Value == p }) {
			list = append(list, Choice{p, p})
		}
	}
	if q.Place != "" && !slices.ContainsFunc(list, func(x Choice) bool { return x.Value == q.Place }) {
		list = append(list, Choice{q.Place, q.Place})
	}
	page.Place = pick("place", "Place", q.Place, list)
	list = []Choice{{"", "all products"}}
	for _, p := range products {
		list = append(list, Choice{p.ID, p.Name})
	}
	page.Product = pick("product", "Product", q.ProductID, list)
	list = nil
	for _, p := range periods {
		list = append(list, Choice{p.code, p.text})
	}
	page.Period = pick("period", "Looking back", period, list)
	return nil
}

// howGoodPath is the page of one result under the same choices.
func howGoodPath(q goodness.Query, result, period string) string {
	values := url.Values{"family": {q.FamilyID}}
	for name, value := range map[string]string{"product": q.ProductID, "place": q.Place, "result": result} {
		if value != "" {
			values.Set(name, value)
		}
	}
	if period != "365" {
		values.Set("period", period)
	}
	return "/how-good?" + values.Encode()
}

// fillOverview lists every result of the family, each opening its own page.
func (s *site) fillOverview(page *HowGoodPage, o goodness.Overview, q goodness.Query, period string) {
	page.About = aboutOf(o.Family, o.Product, q.Place)
	for i, said := range o.Says() {
		if i == 0 {
			page.Answer = titled(english.Remark(said.Remark))
			continue
		}
		page.Says = append(page.Says, english.Remark(said.Remark))
	}
	var highs []float64
	for _, l := range o.Results {
		if !l.Share.Few {
			highs = append(highs, l.Share.Interval.High)
		}
	}
	most := mostOf(highs...)
	for _, l := range o.Results {
		row := OverviewRow{Result: english.Result(l.Result), Path: howGoodPath(q, l.Result, period), Here: l.Result == q.Result, Count: english.Of(l.Share.K, l.Share.N)}
		switch {
		case l.Ticked:
			row.Limit = "ticked"
		case l.Limits > 1:
			row.Limit = "by product"
		case l.Limits == 1:
			row.Limit = limitText(l.Judged.Low, l.Judged.High, l.Limit.Unit)
		default:
			row.Limit = limitText(l.Limit.Low, l.Limit.High, l.Limit.Unit)
		}
		switch {
		case l.Share.N == 0:
			row.Count = "never measured"
		case !l.Share.Few:
			row.Share = fmt.Sprintf("%s %% (%s to %s)", shareShown(float64(l.Share.K)/float64(l.Share.N)), shareShown(l.Share.Interval.Low), shareShown(l.Share.Interval.High))
			row.Bar = intervalBar(l.Share.K, l.Share.N, l.Share.Interval.Low, l.Share.Interval.High, most, false)
		}
		page.Overview = append(page.Overview, row)
	}
}

func aboutOf(family models.Family, product *models.Product, place string) string {
	text := family.Name
	if product != nil {
		text = product.Name
	}
	if place != "" {
		text += ", " + place
	}
	return text
}

// titled is a sentence as a title, which ends without a stop.
func titled(sentence string) string { return strings.TrimSuffix(sentence, ".") }

// limitText is a limit as people say it: "up to 0.50 mm".
func limitText(low, high, unit string) string {
	switch {
	case low != "" && high != "":
		return words.Number(low) + " to " + words.Quantity(high, unit)
	case high != "":
		return "up to " + words.Quantity(high, unit)
	case low != "":
		return "from " + words.Quantity(low, unit)
	}
	return "no limit"
}

// jsonOf encodes what a module draws; numbers and text cannot fail to encode.
func jsonOf(data any) string {
	raw, _ := json.Marshal(data)
	return string(raw)
}
