package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// ChartPage is a control chart. Its title says what the process does; the
// points, limits and signals are the evidence. No limit of a specification
// runs through it: a chart is not a verdict.
type ChartPage struct {
	Frame
	About    string // what is charted, small above the title
	Answer   string
	Sub      string
	Family   Field
	Result   Field
	Place    Field
	Product  Field
	Period   Field
	Problem  string
	Drawn    bool // there is something to draw
	Data     string
	Describe string // the picture in words
	Signals  []SignalLine
	Facts    []ChartFact
	Why      string // why this chart and this scale
	Table    []ChartRow
	Range    string // name of the second strip
	Unit     string
	Older    bool // there are older points than the chart takes
}

// SignalLine is a point that the process by itself would hardly give.
type SignalLine struct {
	Serial, Path, When, Words string
}

// ChartFact is something the chart has to admit about itself.
type ChartFact struct{ Label, Value, Means string }

// ChartRow is one point as a row.
type ChartRow struct {
	Serial, Path, When, Place, Value, Range, Signal string
}

// chartData is what the chart's module draws; it lies in a data- attribute. The
// points themselves, their serials and words, it reads from the table, so that
// nothing is sent twice.
type chartData struct {
	Unit     string       `json:"unit"`
	Behind   string       `json:"behind"` // the unit as it stands behind a value
	Decimals int          `json:"decimals"`
	Panels   []chartPanel `json:"panels"`
}

type chartPanel struct {
	Name    string         `json:"name"`
	Title   string         `json:"title"`
	Unit    string         `json:"unit"`
	First   int            `json:"first"`
	Values  []float64      `json:"values"`
	Centre  float64        `json:"centre"`
	Low     *float64       `json:"low,omitempty"`
	High    *float64       `json:"high,omitempty"`
	Signals map[int]string `json:"signals"` // words by index of the point
}

// periods are how far back a chart looks.
var periods = []struct {
	code, text string
	days       int
}{{"90", "the last 90 days", 90}, {"365", "the last year", 365}, {"all", "everything", 0}}

func (s *site) chart(c *gin.Context) error {
	ctx := c.Request.Context()
	page := ChartPage{Frame: s.frame(c, "Control chart", "/charts")}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	if len(families) == 0 {
		page.Answer, page.Sub = "No family to chart yet", "A chart shows one result of one family. Add a family first."
		return show(c, "chart", page)
	}
	q := monitor.ChartQuery{FamilyID: c.Query("family"), ProductID: c.Query("product"), Place: c.Query("place"), Result: c.Query("result")}
	if q.FamilyID == "" {
		q.FamilyID = families[0].ID
		for _, f := range families {
			if f.Kind == models.KindWheel {
				q.FamilyID = f.ID
				break
			}
		}
	}
	period := c.DefaultQuery("period", "365")
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
	results := chartable(family.InForce)
	if !slices.Contains(results, q.Result) && len(results) > 0 {
		q.Result = results[0]
		if slices.Contains(results, "lateral_tir") {
			q.Result = "lateral_tir"
		}
	}
	if err := s.chartPickers(c, &page, q, period, families, results, family.Products); err != nil {
		return err
	}
	view, err := s.services.Monitor.Chart(ctx, q)
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		page.Answer, page.Problem = "This chart cannot be drawn", english.Say(invalid.Problems[0].Code, english.Readable(invalid.Problems[0].Values))
		return show(c, "chart", page)
	}
	if err != nil {
		return err
	}
	s.fillChart(&page, view, english.Kind(family.Family.Kind))
	return show(c, "chart", page)
}

// chartable lists the results of a specification that are numbers of a whole
// item.
func chartable(spec models.Specification) []string {
	var out []string
	for _, c := range spec.Characteristics {
		if c.Form != models.Measured && c.Form != models.Counted {
			continue
		}
		for _, l := range c.Results {
			switch l.Result {
			case "block_ocv25", "block_soc", "block_r25":
			default:
				out = append(out, l.Result)
			}
		}
	}
	return out
}

func (s *site) chartPickers(c *gin.Context, page *ChartPage, q monitor.ChartQuery, period string, families []models.Family, results []string, products []models.Product) error {
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
	list = nil
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

// fillChart turns the view into words, data and a table.
func (s *site) fillChart(page *ChartPage, v monitor.ChartView, kind string) {
	w := chartWords{v: v, kind: kind, day: s.day}
	page.About = w.about()
	page.Answer, page.Sub = w.answer()
	page.Describe = w.describe()
	page.Facts = w.facts()
	page.Why = w.why()
	page.Unit = words.Unit(v.Unit)
	page.Older = v.Truncated
	signals := map[int]string{}
	data := chartData{Unit: page.Unit, Behind: strings.TrimPrefix(words.Quantity("0", v.Unit), "0"), Decimals: v.Decimals}
	for _, panel := range v.Panels {
		data.Panels = append(data.Panels, w.panel(panel))
	}
	// The newest first: it can still be looked into.
	newest := slices.SortedStableFunc(slices.Values(v.Signals), func(a, b monitor.Signal) int { return b.Point - a.Point })
	for _, g := range newest {
		text := w.signal(g)
		p := v.Points[g.Point]
		if signals[g.Point] != "" {
			text = signals[g.Point] + " " + text
		}
		signals[g.Point] = text
		page.Signals = append(page.Signals, SignalLine{Serial: words.Serial(p.Serial), Path: itemPath(p.Serial, p.ItemID), When: s.day(p.MeasuredAt), Words: w.signal(g)})
	}
	ranges := map[int]string{}
	for _, panel := range v.Panels {
		if panel.Name == spc.PanelValues {
			continue
		}
		page.Range = w.panelTitle(panel.Name)
		for i, x := range panel.Points {
			ranges[panel.First+i] = fmt.Sprintf("%.*f", max(v.Decimals, 2), x)
		}
	}
	for i := len(v.Points) - 1; i >= 0; i-- {
		p := v.Points[i]
		page.Table = append(page.Table, ChartRow{Serial: words.Serial(p.Serial), Path: itemPath(p.Serial, p.ItemID), When: s.minute(p.MeasuredAt), Place: p.Place,
			Value: words.Number(shown(p.Value, v.Decimals, "", "")), Range: ranges[i], Signal: signals[i]})
	}
	page.Drawn = len(v.Panels) > 0
	// A chart of numbers and text cannot fail to encode.
	raw, _ := json.Marshal(data)
	page.Data = string(raw)
}
