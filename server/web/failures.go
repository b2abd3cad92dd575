package web

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/failures"
	"tracewright/server/httpx"
)

const failuresPath = "/failures"

// failureRoutes are the page of what fails, and the items behind its bars and
// points.
func (s *site) failureRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: failuresPath, Act: models.ActLook, Handler: s.failures},
		{Method: http.MethodGet, Path: failuresPath + "/items", Act: models.ActLook, Handler: s.failedItems},
	}
}

// FailuresPage says what fails most, how the yield runs by week, what it took until
// items passed, and which groups differ from what their mix gives.
type FailuresPage struct {
	Frame
	About, Answer string
	Problem       string
	Fields        []Field
	Views         []FailuresView
	View          string // count, cost, severity
	Some          bool   // there is something to show
	Bars          []BarTable
	BarsTitle     string
	BarsSay       []string
	YieldTitle    string
	YieldSays     []string
	YieldSignals  []string // weeks outside their limits, the newest first
	Weeks         []WeekRow
	WeeksData     string
	Describe      string
	TookSays      []string
	Months        []MonthRow
	CutsTitle     string
	CutsSay       []string
	Cuts          []CutTable
	Later         []LaterRow
	Notes         []string
	// Addresses of the tables for spreadsheets; those of bars stand with them.
	WeeksTable, GroupsTable, MonthsTable, LaterTable string
}

// FailuresView is one way to order the bars.
type FailuresView struct {
	Text, Path string
	Here       bool
}

// BarTable is bars of one scale.
type BarTable struct {
	Unit     string // what the figures are: of wheels, or a currency
	Interval string // head of the column of intervals
	Rows     []BarRow
	Tracks   int    // of lines that join what is not settled
	Table    string // its address for spreadsheets
}

// BarRow is a bar: its length and its whisker in parts of a hundred of the widest.
type BarRow struct {
	Heading                        *Mark // a severity that begins here
	Code, Path, Name               string
	First                          bool
	Width, Low, High               string
	Whisker                        bool
	Figure, Interval, Count, Joins string
	Severity                       Mark
	Tracks                         []string // by line: empty, start, middle, end
}

// WeekRow is a week as a row.
type WeekRow struct {
	Week, Path, Share, Interval, Count, Limits string
	Signal                                     string
}

// MonthRow is what it took until items passed.
type MonthRow struct{ Month, Items, Rounds, Minutes, Again, Interval string }

// CutTable is groups held against their limits.
type CutTable struct {
	Title, Head string
	Rows        []GroupRow
	Few         []GroupRow
	Hidden      bool
	Alone       bool // the one group there is
}

// GroupRow is a group: its failures among what goes with its mix. Places are parts
// of a hundred of the widest.
type GroupRow struct {
	Name, Path, Count, Expected, Within    string
	Mono                                   bool
	At, Middle                             string
	InnerX, InnerWidth, OuterX, OuterWidth string
	Signal                                 Mark
}

// LaterRow is what was found wrong after the first set.
type LaterRow struct {
	Code, Name, Nonconformities, Claims string
	Severity                            Mark
}

// failuresQuery reads what is asked about.
func failuresQuery(c *gin.Context) failures.Query {
	return failures.Query{What: c.Query("what"), From: c.Query("from"), To: c.Query("to"), ProductID: c.Query("product"), Place: c.Query("place"), Code: c.Query("code")}
}

func (s *site) failures(c *gin.Context) error {
	q := failuresQuery(c)
	if httpx.AsTable(c) {
		v, err := s.services.Failures.Ask(c.Request.Context(), httpx.Actor(c), q)
		if err != nil {
			return err
		}
		t, err := failuresTable(v, s.services.Faults(c.Request.Context()), c.DefaultQuery("table", tableCauses), c.Query("currency"))
		if err != nil {
			return err
		}
		return httpx.SendTable(c, t)
	}
	page := FailuresPage{Frame: s.frame(c, "What fails", failuresPath), View: c.Query("by")}
	v, err := s.services.Failures.Ask(c.Request.Context(), httpx.Actor(c), q)
	var invalid *models.InvalidError
	switch {
	case errors.As(err, &invalid):
		page.Answer, page.Problem = "This cannot be told", problemsSaid(invalid)
		v.Query = q
	case err != nil:
		return err
	}
	families, ferr := s.services.Specify.Families(c.Request.Context())
	if ferr != nil {
		return ferr
	}
	book := s.services.Faults(c.Request.Context())
	page.Fields = failuresFields(v, families, book)
	if err == nil {
		s.fillFailures(&page, v, book)
	}
	return show(c, "failures", page)
}

// problemsSaid puts the problems of a query into one line.
func problemsSaid(invalid *models.InvalidError) string {
	var said []string
	for _, p := range invalid.Problems {
		said = append(said, english.Problem(p))
	}
	return strings.Join(said, " ")
}

func failuresFields(v failures.View, families []models.Family, book models.Defects) []Field {
	pick := func(name, label, value string, list []Choice) Field {
		return Field{Name: name, ID: name, Label: label, Kind: "select", Value: value, Choices: list}
	}
	what := v.Query.What
	if what == "" {
		what = v.Kind
	}
	var list []Choice
	for _, kind := range failures.Kinds {
		of := 0
		for _, f := range families {
			if f.Kind == kind {
				of++
			}
		}
		if of > 0 || what == kind {
			list = append(list, Choice{kind, "all " + english.Kinds(kind)})
		}
		for _, f := range families {
			if f.Kind == kind && of > 1 || f.Kind == kind && f.ID == what {
				list = append(list, Choice{f.ID, f.Name})
			}
		}
	}
	products, places := []Choice{{"", "all products"}}, []Choice{{"", "all places"}}
	for _, p := range v.Products {
		products = append(products, Choice{p.ID, p.Name})
	}
	codes := []Choice{{"", "all failures"}}
	for _, c := range v.Causes {
		codes = append(codes, Choice{c.Code, faultName(book, c.Code)})
	}
	if q := v.Query.Code; q != "" && !slices.ContainsFunc(codes, func(c Choice) bool { return c.Value == q }) {
		codes = append(codes, Choice{q, faultName(book, q)})
	}
	known := v.Query.Place == ""
	for _, p := range v.Places {
		known = known || p == v.Query.Place
		places = append(places, Choice{p, p})
	}
	if !known {
		places = append(places, Choice{v.Query.Place, v.Query.Place})
	}
	return []Field{pick("what", "What", what, list), pick("product", "Product", v.Query.ProductID, products), pick("place", "Place", v.Query.Place, places), pick("code", "Groups by", v.Query.Code, codes),
		{Name: "from", ID: "from", Label: "From", Kind: "date", Value: v.Query.From, Optional: false}, {Name: "to", ID: "to", Label: "To", Kind: "date", Value: v.Query.To}}
}

// failuresLink is an address under the page with the query and more.
func failuresLink(path string, v failures.View, more ...string) string {
	q := url.Values{}
	for name, value := range map[string]string{"what": v.Query.What, "from": v.Query.From, "to": v.Query.To, "product": v.Query.ProductID, "place": v.Query.Place, "code": v.Query.Code} {
		if value != "" {
			q.Set(name, value)
		}
	}
	for i := 0; i+1 < len(more); i += 2 {
		if q.Set(more[i], more[i+1]); more[i+1] == "" {
			q.Del(more[i])
		}
	}
	return path + "?" + q.Encode()
}

// FailedItemsPage lists the items behind a bar or a point.
type FailedItemsPage struct {
	Frame
	About, Answer, Problem, Back string
	People                       bool
	Rows                         []FailedItemRow
	Cut                          string
}

// FailedItemRow is one first set.
type FailedItemRow struct {
	When, Serial, Path, Product, Place, Person string
	Verdict                                    Mark
	Failed                                     []string
}

func (s *site) failedItems(c *gin.Context) error {
	ctx := c.Request.Context()
	q := failures.ItemQuery{Query: failuresQuery(c), PersonID: c.Query("person"), LotID: c.Query("lot"), Failed: c.Query("failed") == "yes"}
	page := FailedItemsPage{Frame: s.frame(c, "First sets", failuresPath), People: failures.SeesPeople(httpx.Actor(c))}
	found, err := s.services.Failures.Items(ctx, httpx.Actor(c), q)
	var invalid *models.InvalidError
	if errors.As(err, &invalid) {
		page.Answer, page.Problem, page.Back = "This cannot be told", problemsSaid(invalid), failuresPath
		return show(c, "failed_items", page)
	}
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	products := map[string]string{}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	for _, f := range families {
		if f.Kind != found.Kind {
			continue
		}
		view, err := s.services.Specify.Family(ctx, f.ID)
		if err != nil {
			return err
		}
		for _, p := range view.Products {
			products[p.ID] = p.Name
		}
	}
	s.fillFailedItems(&page, found, people, products, s.services.Faults(ctx))
	return show(c, "failed_items", page)
}

func (s *site) fillFailedItems(page *FailedItemsPage, found failures.Items, people, products map[string]string, book models.Defects) {
	q := found.Query
	page.Back = failuresLink(failuresPath, failures.View{Query: q.Query}, "code", "")
	page.About = words.Sentence(english.Kinds(found.Kind)) + " by their first sets, " + english.Date(q.From) + " to " + english.Date(q.To)
	what := english.Kinds(found.Kind)
	if found.Total == 1 {
		what = english.Kind(found.Kind)
	}
	switch {
	case q.Query.Code != "":
		what += " failed at the first set: " + faultName(book, q.Query.Code)
	case q.Failed:
		what += " failed at the first set"
	default:
		what += " had a first set"
	}
	page.Answer = counted(found.Total, what, what)
	for _, f := range found.List {
		row := FailedItemRow{When: s.minute(f.MeasuredAt), Serial: words.Serial(f.Serial), Path: itemPath(f.Serial, f.ItemID), Product: products[f.ProductID], Place: f.Place, Verdict: verdictMark(f.Verdict)}
		if f.PersonID != "" {
			row.Person = name(people, f.PersonID)
		}
		for _, r := range f.Failed {
			row.Failed = append(row.Failed, failedSaid(r))
		}
		page.Rows = append(page.Rows, row)
	}
	if len(found.List) < found.Total {
		page.Cut = "The newest " + plural(len(found.List), "is", "are") + " listed."
	}
}

// failedSaid is a result that failed with the limit that it missed.
func failedSaid(r models.FailedResult) string {
	said := english.Result(r.Code)
	if r.Unit == "" && r.Low == "" && r.High == "" {
		return said + ": no"
	}
	said += " " + words.Quantity(r.Value, r.Unit)
	switch {
	case r.Low != "" && r.High != "":
		return said + ", limits " + words.Quantity(r.Low, r.Unit) + " to " + words.Quantity(r.High, r.Unit)
	case r.Low != "":
		return said + ", at least " + words.Quantity(r.Low, r.Unit)
	case r.High != "":
		return said + ", at most " + words.Quantity(r.High, r.Unit)
	}
	return said
}

// faultName is a defect as the shop calls it now, or what else failed.
func faultName(book models.Defects, code string) string {
	if own := book.Now(code).Name; own != "" {
		return own
	}
	return english.Fault(code)
}

// sunday is the last day of a week, by its first; cut at the last day asked for.
func sunday(monday, last string) string {
	t, err := time.Parse(time.DateOnly, monday)
	if err != nil {
		return last
	}
	return min(t.AddDate(0, 0, 6).Format(time.DateOnly), last)
}
