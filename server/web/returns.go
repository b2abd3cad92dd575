package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/returns"
	"tracewright/server/httpx"
)

func (s *site) returnsRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/returns", Act: models.ActLook, Handler: s.returns},
		{Method: http.MethodGet, Path: "/returns/items", Act: models.ActLook, Handler: s.returnedItems},
	}
}

// ReturnsPage says what came back and what will. Nothing of a customer stands on it.
type ReturnsPage struct {
	Frame
	About     string
	Answer    string
	Warnings  []SaidLink
	Says      []string
	Problem   string
	Family    Field
	Lot       Field
	Months    Field
	Lag       Field
	Items     string // address of the claims behind the share
	Drawn     bool
	Data      string
	Describe  string
	Curve     []CurveRow
	Rest      bool // the others stand beside the lot
	Ahead     []AheadRow
	Costs     bool
	Triangle  TriangleTable
	Lots      []ReturnsRow
	FewLots   []ReturnsRow
	OtherLots []ReturnsRow // that stand out least
	Compared  string
	Families  []ReturnsRow
	Law       []ChartFact
	Table     string // query of the tables for spreadsheets
}

// SaidLink is a sentence that leads to where its picture stands.
type SaidLink struct{ Words, Path string }

// CurveRow is a point of the curve as a row.
type CurveRow struct{ Age, Share, Interval, AtRisk, Rest string }

// AheadRow is what is expected within some months.
type AheadRow struct {
	Months, Expected, Mean, Counted string
	Costs                           []string
}

// TriangleTable is returns by month of shipment and age.
type TriangleTable struct {
	Ages   []int
	Later  bool
	Rows   []TriangleRow
	ByAge  []AgeLine
	AsOf   string
	Months string // how many months were compared
}

// TriangleRow is one month of shipment.
type TriangleRow struct {
	Month, Path, Shipped, Back, Expected string
	Cells                                []TriangleCell
	Note                                 string
	Later                                string
	Mark                                 Mark
}

// TriangleCell is what came back at one age; it leads to the claims.
type TriangleCell struct {
	Text, Path string
	Open       bool // the month is not over yet
}

// AgeLine is one age over all months.
type AgeLine struct{ Age, AtRisk, Back, Hazard, Interval, Cumulative, Bounds string }

// ReturnsRow is a group of items that left: a lot or a family.
type ReturnsRow struct {
	Name                                                    []Span
	Kind, Count, CountPath, Share, Interval, Expected, Note string
	Mark                                                    Mark
}

// returnMonths are how far back shipments are looked at.
var returnMonths = []struct {
	code, text string
}{{"12", "the last 12 months"}, {"36", "the last three years"}, {"60", "the last five years"}, {"240", "the last twenty years"}}

func (s *site) returns(c *gin.Context) error {
	ctx := c.Request.Context()
	page := ReturnsPage{Frame: s.frame(c, "What comes back", "/returns")}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	families = slices.DeleteFunc(families, func(f models.Family) bool { return f.Kind == models.KindKit })
	q, problem := returnsQuery(c)
	lines, err := s.services.Returns.Families(ctx, q.Months)
	if err != nil {
		return err
	}
	lines = slices.DeleteFunc(lines, func(l returns.FamilyLine) bool { return l.Family.Kind == models.KindKit })
	if q.FamilyID == "" {
		q.FamilyID = firstReturned(lines, families)
	}
	s.returnsPickers(&page, q, families)
	for _, l := range lines {
		page.Families = append(page.Families, familyRow(l, q))
	}
	if q.FamilyID == "" {
		page.Answer, page.Says = "Nothing has left the shop yet", []string{english.Say("returns_told", nil)}
		return show(c, "returns", page)
	}
	v := returns.View{}
	if problem == nil {
		v, problem = s.services.Returns.View(ctx, q)
	}
	var invalid *models.InvalidError
	if errors.As(problem, &invalid) {
		page.Answer, page.Problem = "This cannot be answered", english.Say(invalid.Problems[0].Code, english.Readable(invalid.Problems[0].Values))
		return show(c, "returns", page)
	}
	if problem != nil {
		return problem
	}
	materials, err := s.services.Receive.Materials(ctx)
	if err != nil {
		return err
	}
	if httpx.AsTable(c) {
		table, err := returnsTable(c, v, lines, materialNames(materials))
		if err != nil {
			return err
		}
		return httpx.SendTable(c, table)
	}
	page.Table = httpx.TableQuery(c)
	s.fillReturns(&page, v, materialNames(materials))
	return show(c, "returns", page)
}

// returnsQuery reads the choices off an address.
func returnsQuery(c *gin.Context) (returns.Query, error) {
	q := returns.Query{FamilyID: c.Query("family"), Lot: c.Query("lot")}
	for name, into := range map[string]*int{"months": &q.Months, "lag": &q.LagDays} {
		text := c.Query(name)
		if text == "" {
			continue
		}
		n, err := strconv.Atoi(text)
		if err != nil {
			n = -1 // Is refused like any number that cannot be.
		}
		*into = n
	}
	return q, nil
}

// firstReturned is the family of which most came back, for who names none.
func firstReturned(lines []returns.FamilyLine, families []models.Family) string {
	best := ""
	most := -1
	for _, l := range lines {
		if l.Share.K > most {
			best, most = l.Family.ID, l.Share.K
		}
	}
	if best == "" && len(families) > 0 {
		best = families[0].ID
	}
	return best
}

func (s *site) returnsPickers(page *ReturnsPage, q returns.Query, families []models.Family) {
	var list []Choice
	for _, f := range families {
		list = append(list, Choice{f.ID, f.Name})
	}
	page.Family = Field{Name: "family", ID: "family", Label: "Family", Kind: "select", Value: q.FamilyID, Choices: list}
	months := q.Months
	if months == 0 {
		months = returns.UsualMonths
	}
	list = nil
	for _, m := range returnMonths {
		list = append(list, Choice{m.code, m.text})
	}
	if value := strconv.Itoa(months); !slices.ContainsFunc(list, func(c Choice) bool { return c.Value == value }) {
		list = append(list, Choice{value, "the last " + plural(months, "month", "months")})
	}
	page.Months = Field{Name: "months", ID: "months", Label: "Shipped in", Kind: "select", Value: strconv.Itoa(months), Choices: list}
	page.Lot = Field{Name: "lot", ID: "lot", Label: "Lot", Value: q.Lot, Optional: true, Mono: true}
	page.Lag = Field{Name: "lag", ID: "lag", Label: "Days to service", Value: strconv.Itoa(q.LagDays), Mode: "numeric"}
}

// returnsPath is the page under other choices.
func returnsPath(q returns.Query, path, familyID, lot string, more ...string) string {
	values := url.Values{"family": {familyID}}
	if lot != "" {
		values.Set("lot", lot)
	}
	if q.Months != 0 && q.Months != returns.UsualMonths {
		values.Set("months", strconv.Itoa(q.Months))
	}
	if q.LagDays != 0 {
		values.Set("lag", strconv.Itoa(q.LagDays))
	}
	for i := 0; i+1 < len(more); i += 2 {
		values.Set(more[i], more[i+1])
	}
	return path + "?" + values.Encode()
}

func familyRow(l returns.FamilyLine, q returns.Query) ReturnsRow {
	return ReturnsRow{Name: []Span{{Text: l.Family.Name, Path: returnsPath(q, "/returns", l.Family.ID, "")}}, Kind: words.Sentence(english.Kinds(l.Family.Kind)),
		Count: english.Of(l.Share.K, l.Share.N), Share: shareOfReturns(l.Share), Interval: intervalOfReturns(l.Share)}
}

func shareOfReturns(s returns.Share) string {
	if s.Few {
		return ""
	}
	return shareShown(float64(s.K)/float64(s.N)) + " %"
}

func intervalOfReturns(s returns.Share) string {
	if s.Few {
		return "too few to compare"
	}
	return shareShown(s.Interval.Low) + " to " + shareShown(s.Interval.High)
}
