package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/failures"
	"tracewright/server/httpx"
)

// failureRoutes are what fails, and the first sets behind each count.
func (a *api) failureRoutes() []httpx.Route {
	return []httpx.Route{
		get("/failures", models.ActLook, a.failures, "what", "from", "to", "product", "place", "code"),
		get("/failures/items", models.ActLook, a.failedItems, "what", "from", "to", "product", "place", "code", "person", "lot", "failed"),
	}
}

// shareShape is k of n; the share and its interval are null where n is 0.
type shareShape struct {
	K     int      `json:"k"`
	N     int      `json:"n"`
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

type failuresShape struct {
	What      string              `json:"what"`
	From      string              `json:"from"`
	To        string              `json:"to"`
	Waiting   int                 `json:"waiting"`
	Inspected int                 `json:"inspected"`
	Failed    int                 `json:"failed"`
	Undecided int                 `json:"undecided"`
	Yield     shareShape          `json:"yield"`
	Rolled    *rolledShape        `json:"rolled"`
	Usual     *float64            `json:"usual"` // yield of all weeks
	Causes    []failureCauseShape `json:"causes"`
	Unsettled []spanShape         `json:"unsettled"` // runs of causes, by their place from 0, whose order is not settled
	Weeks     []weekShape         `json:"weeks"`
	Months    []monthShape        `json:"months"`
	Cuts      []cutShape          `json:"cuts"`
	Costs     []moneyShape        `json:"costs"`
	Later     []laterShape        `json:"later"`
	Sentences []sentence          `json:"sentences"`
}

type rolledShape struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

type failureCauseShape struct {
	Code     string     `json:"code"`
	Name     string     `json:"name"`
	Severity string     `json:"severity"`
	Share    shareShape `json:"share"`
	Rework   float64    `json:"rework_minutes"`
}

type spanShape struct {
	From int `json:"from"`
	To   int `json:"to"`
}

type weekShape struct {
	Monday string     `json:"monday"`
	Passed shareShape `json:"passed"`
	Low    *int       `json:"low"`
	High   *int       `json:"high"`
	Signal string     `json:"signal,omitempty"`
}

type monthShape struct {
	Month   string     `json:"month"`
	Passed  int        `json:"passed"`
	Rounds  int        `json:"rounds"`
	Minutes int        `json:"minutes"`
	Rework  int        `json:"rework_minutes"`
	Again   shareShape `json:"again"`
}

type cutShape struct {
	By       string       `json:"by"`
	Compared int          `json:"compared"`
	Groups   []groupShape `json:"groups"`
	Few      []groupShape `json:"few"`
	Hidden   bool         `json:"hidden"`
}

type groupShape struct {
	ID       string   `json:"id"`
	Name     string   `json:"name"`
	Failed   int      `json:"failed"`
	N        int      `json:"n"`
	Expected *float64 `json:"expected"` // null for few
	Low      *int     `json:"low"`
	High     *int     `json:"high"`
	Least    *int     `json:"least"`
	Most     *int     `json:"most"`
	Signal   string   `json:"signal,omitempty"`
}

type moneyShape struct {
	Currency  string          `json:"currency"`
	Total     float64         `json:"total"`
	Rows      []moneyRowShape `json:"rows"`
	Unsettled []spanShape     `json:"unsettled"`
}

type moneyRowShape struct {
	Code    string   `json:"code"`
	Name    string   `json:"name"`
	Claims  int      `json:"claims"`
	Amount  string   `json:"amount,omitempty"`
	Minutes float64  `json:"rework_minutes"`
	Total   float64  `json:"total"`
	Low     *float64 `json:"low"`
	High    *float64 `json:"high"`
}

type laterShape struct {
	Code            string `json:"code"`
	Name            string `json:"name"`
	Severity        string `json:"severity,omitempty"`
	Nonconformities int    `json:"nonconformities"`
	Claims          int    `json:"claims"`
}

func shareOf(s failures.Share) shareShape {
	shape := shareShape{K: s.K, N: s.N}
	if s.N > 0 {
		shape.Value, shape.Low, shape.High = &s.Value, &s.Low, &s.High
	}
	return shape
}

func spansOf(list []failures.Span) []spanShape {
	shapes := make([]spanShape, len(list))
	for i, s := range list {
		shapes[i] = spanShape(s)
	}
	return shapes
}

// failuresQuery is what is asked about.
func failuresQuery(given map[string]string) failures.Query {
	return failures.Query{What: given["what"], From: given["from"], To: given["to"], ProductID: given["product"], Place: given["place"], Code: given["code"]}
}

func (a *api) failures(c *gin.Context) error {
	v, err := a.services.Failures.Ask(c.Request.Context(), httpx.Actor(c), failuresQuery(query(c)))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, failuresOf(v, a.services.Faults(c.Request.Context())))
}

func failuresOf(v failures.View, book models.Defects) failuresShape {
	what := v.Query.What
	if what == "" {
		what = v.Kind
	}
	fault := func(code string) string {
		if own := book.Now(code).Name; own != "" {
			return own
		}
		return english.Fault(code)
	}
	shape := failuresShape{What: what, From: v.Query.From, To: v.Query.To, Waiting: v.Waiting, Inspected: v.Inspected, Failed: v.Failed, Undecided: v.Undecided, Yield: shareOf(v.Yield),
		Causes: []failureCauseShape{}, Unsettled: spansOf(v.Joined), Weeks: []weekShape{}, Months: []monthShape{}, Cuts: []cutShape{}, Costs: []moneyShape{}, Later: []laterShape{}, Sentences: sentencesOf(v.Says)}
	if v.Rolled != nil {
		shape.Rolled = &rolledShape{v.Rolled.Value, v.Rolled.Low, v.Rolled.High}
	}
	if v.Yield.N > 0 {
		shape.Usual = &v.Usual
	}
	for _, x := range v.Causes {
		shape.Causes = append(shape.Causes, failureCauseShape{x.Code, fault(x.Code), string(x.Severity), shareOf(x.Share), x.Rework})
	}
	for _, w := range v.Weeks {
		week := weekShape{Monday: w.Monday, Passed: shareOf(w.Share), Signal: w.Signal}
		if w.Limited {
			week.Low, week.High = &w.Low, &w.High
		}
		shape.Weeks = append(shape.Weeks, week)
	}
	for _, m := range v.Months {
		shape.Months = append(shape.Months, monthShape{m.Month, m.Finished, m.Rounds, m.Minutes, m.Rework, shareOf(m.Again)})
	}
	for _, x := range v.Cuts {
		cut := cutShape{By: x.By, Compared: x.Among, Groups: []groupShape{}, Few: []groupShape{}, Hidden: x.Hidden}
		for _, g := range x.Groups {
			cut.Groups = append(cut.Groups, groupShape{g.ID, g.Name, g.K, g.N, &g.Expected, &g.Low, &g.High, &g.Least, &g.Most, g.Signal})
		}
		for _, g := range x.Few {
			cut.Few = append(cut.Few, groupShape{ID: g.ID, Name: g.Name, Failed: g.K, N: g.N})
		}
		shape.Cuts = append(shape.Cuts, cut)
	}
	for _, x := range v.Costs {
		cost := moneyShape{Currency: x.Currency, Total: x.Total, Rows: []moneyRowShape{}, Unsettled: spansOf(x.Joined)}
		for _, r := range x.Rows {
			row := moneyRowShape{Code: r.Code, Name: fault(r.Code), Claims: r.Claims, Amount: r.Amount, Minutes: r.Minutes, Total: r.Total}
			if r.Interval {
				row.Low, row.High = &r.Low, &r.High
			}
			cost.Rows = append(cost.Rows, row)
		}
		shape.Costs = append(shape.Costs, cost)
	}
	for _, l := range v.Later {
		shape.Later = append(shape.Later, laterShape{l.Code, fault(l.Code), string(l.Severity), l.Nonconformities, l.Claims})
	}
	return shape
}

// firstSetShape is an item by its first set.
type firstSetShape struct {
	InspectionID string              `json:"inspection_id"`
	ItemID       string              `json:"item_id"`
	Serial       string              `json:"serial"`
	MeasuredAt   instant             `json:"measured_at"`
	Verdict      string              `json:"verdict"`
	Product      string              `json:"product,omitempty"`
	Place        string              `json:"place,omitempty"`
	Person       string              `json:"person,omitempty"` // id; empty: not to be seen
	Failed       []failedResultShape `json:"failed"`
}

type failedResultShape struct {
	Result string `json:"result"`
	Name   string `json:"name"`
	Value  string `json:"value"`
	Unit   string `json:"unit,omitempty"`
	Low    string `json:"low,omitempty"`
	High   string `json:"high,omitempty"`
}

func (a *api) failedItems(c *gin.Context) error {
	given := query(c)
	q := failuresQuery(given)
	found, err := a.services.Failures.Items(c.Request.Context(), httpx.Actor(c), failures.ItemQuery{Query: q, PersonID: given["person"], LotID: given["lot"], Failed: given["failed"] == "yes"})
	if err != nil {
		return err
	}
	list := make([]firstSetShape, len(found.List))
	for i, f := range found.List {
		list[i] = firstSetShape{f.InspectionID, f.ItemID, f.Serial, instant(f.MeasuredAt), f.Verdict, f.ProductID, f.Place, f.PersonID, []failedResultShape{}}
		for _, r := range f.Failed {
			list[i].Failed = append(list[i].Failed, failedResultShape{r.Code, english.Result(r.Code), r.Value, r.Unit, r.Low, r.High})
		}
	}
	return answer(c, http.StatusOK, gin.H{"total": found.Total, "first_sets": list})
}
