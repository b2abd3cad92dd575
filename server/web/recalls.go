package web

import (
	"cmp"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/recall"
	"tracewright/server/httpx"
)

// RecallsPage lists what is or was called back.
type RecallsPage struct {
	Frame
	Answer string
	Rows   []RecallLine
	May    bool
}

// RecallLine is one recall of the list.
type RecallLine struct {
	Number, Path, About, Reason, Made, Split string
	Mark                                     Mark
}

func recallPath(number string) string { return "/recalls/" + url.PathEscape(number) }

func (s *site) recalls(c *gin.Context) error {
	list, err := s.services.Recall.Recalls(c.Request.Context())
	if err != nil {
		return err
	}
	return show(c, "recalls", s.recallsPage(s.frame(c, "Recalls", "/recalls"), list))
}

func (s *site) recallsPage(frame Frame, list []recall.View) RecallsPage {
	page := RecallsPage{Frame: frame, Answer: "Nothing is called back", May: frame.Actor.May(models.ActRecall)}
	open := 0
	for _, v := range list {
		row := RecallLine{Number: v.Number, Path: recallPath(v.Number), About: words.Sentence(s.scopeWords(v.Scope, v.About, v.By)), Reason: v.Reason, Made: s.day(v.MadeAt), Split: splitWords(v.Shipped, v.Here, v.Scrapped), Mark: Mark{"bars", "Open", "hold"}}
		if v.End != nil {
			row.Mark = Mark{"ring", "Closed", "none"}
		} else {
			open++
		}
		page.Rows = append(page.Rows, row)
	}
	if open > 0 {
		page.Answer = counted(open, "recall is open", "recalls are open")
	}
	return page
}

// splitWords says where items are: "2 shipped, 1 here".
func splitWords(shipped, here, scrapped int) string {
	var parts []string
	for _, x := range []struct {
		n     int
		where string
	}{{shipped, "shipped"}, {here, "here"}, {scrapped, "scrapped"}} {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, x.where))
		}
	}
	return strings.Join(parts, ", ")
}

// scopeWords says what a recall is about, after a noun: "with lot SP-0931",
// "measured with D-1 from 1 May 2031 to 12 May 2031".
func (s *site) scopeWords(scope models.RecallScope, about, by string) string {
	days := ""
	if !scope.From.IsZero() {
		days = " from " + s.day(scope.From)
	}
	if !scope.To.IsZero() { // A window of days ends with the first moment of the next.
		days += " to " + s.day(scope.To.Add(-time.Millisecond))
	}
	switch {
	case scope.Lot != "":
		return "with lot " + about
	case scope.Part != "":
		return "with part " + words.Serial(about)
	case scope.Trace != "":
		return "no longer passing since " + about + " was found out of tolerance"
	case scope.Instrument != "":
		return "measured with " + about + days
	case scope.Person == "":
		return "measured at " + about + days
	case scope.Place == "":
		return "measured by " + by + days
	}
	return "measured at " + about + " by " + by + days
}

// recallAsk is what a form or an address asks about.
func recallAsk(value func(string) string) recall.Ask {
	text := func(name string) string { return strings.TrimSpace(value(name)) }
	return recall.Ask{Lot: text("lot"), Part: text("part"), Instrument: text("instrument"), Trace: text("trace"), Place: text("place"), Person: text("person"), FromDay: text("from"), ToDay: text("to")}
}

// NewRecallPage finds what a scope reaches, and asks why it is called back.
type NewRecallPage struct {
	Frame
	Scope    []Field
	Found    bool
	Answer   string
	Items    []RecallItemRow
	Rest     string
	Lot      string   // page of the lot it is about
	Sent     []Choice // the scope, sent along
	Fields   []Field
	Secret   *Field
	Problems Problems
}

// RecallItemRow is one item that is called back.
type RecallItemRow struct {
	Serial, Path string
	Where        Mark
	Possibly     bool
	Shipment     []Span
	Response     string
	ID           string
	Responses    []Choice // what may have come of it; none where nothing can
	Said         string   // what was chosen of them and not kept yet
	TakeIn       string   // page that takes in what came back
}

// mostRecallRows is how many items a page names before it only counts them.
const mostRecallRows = 500

func restOf(n int) string {
	if n <= mostRecallRows {
		return ""
	}
	return fmt.Sprintf("The first %d are shown of %d.", mostRecallRows, n)
}

func (s *site) newRecall(c *gin.Context) error {
	return s.showNewRecall(c, http.StatusOK, newForm(c.Query, nil), c.Query)
}

func (s *site) showNewRecall(c *gin.Context, status int, f *form, value func(string) string) error {
	page := NewRecallPage{Frame: s.frame(c, "Call back", "/recalls"), Answer: "What is to be called back?"}
	ask := recallAsk(value)
	if what := cmp.Or(ask.Lot, ask.Part, ask.Instrument); what != "" {
		if page.Tab = "Call back " + models.Shortened(what); ask.Part != "" {
			page.Tab = "Call back " + words.Serial(models.Shortened(ask.Part))
		}
	}
	var found recall.Found
	var err error
	if ask.Lot+ask.Part+ask.Instrument+ask.Trace+ask.Place+ask.Person != "" {
		found, err = s.services.Recall.Preview(c.Request.Context(), ask)
		page.Found = err == nil
	} else if _, sent := c.GetQuery("lot"); sent && c.Request.Method == http.MethodGet { // Searched for, and nothing named.
		err = models.Invalid("lot", "one_scope")
	}
	if answerable(err) {
		f, status = newForm(value, err), http.StatusUnprocessableEntity
	} else if err != nil {
		return err
	}
	if page.Found {
		which := s.scopeWords(found.Scope, found.About, found.By)
		page.Answer = plural(len(found.Items), "item", "items") + " " + which + ": " + splitWords(found.Shipped, found.Here, found.Scrapped)
		if len(found.Items) == 0 {
			page.Answer = "No wheel and no pack was found " + which
		}
		if found.Scope.Lot != "" {
			page.Lot = lotPath(found.About)
		}
		page.Rest = restOf(len(found.Items))
		for _, name := range []string{"lot", "part", "instrument", "trace", "place", "person", "from", "to"} {
			if v := strings.TrimSpace(value(name)); v != "" {
				page.Sent = append(page.Sent, Choice{name, v})
			}
		}
		if page.Items, err = s.recallItems(c, found.Items); err != nil {
			return err
		}
		page.Fields = []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Focus: true}), f.field(Field{Name: "wanted", Label: "What whoever has one is to do", Optional: true, Hint: "Stop riding, bring it in."})}
		page.Secret = s.secretField(c, f)
	} else {
		people, err := s.services.Access.People(c.Request.Context())
		if err != nil {
			return err
		}
		anybody := []Choice{{"", "Anybody"}}
		for _, p := range people {
			anybody = append(anybody, Choice{p.ID, p.Name})
		}
		page.Scope = []Field{
			f.field(Field{Name: "lot", Label: "A lot", Mono: true, Width: "w6", Optional: true, Focus: true}),
			f.field(Field{Name: "part", Label: "A wheel, a pack or what is in one", Mono: true, Width: "w6", Optional: true, Hint: "Its serial, or the last five characters."}),
			f.field(Field{Name: "instrument", Label: "What a gauge measured", Mono: true, Width: "w4", Optional: true, Hint: "Its code."}),
			f.field(Field{Name: "place", Label: "What was measured at a place", Width: "w4", Optional: true}),
			f.field(Field{Name: "person", Label: "By", Kind: "select", Width: "w4", Choices: anybody}),
			f.field(Field{Name: "from", Label: "From", Kind: "date", Width: "w6", Optional: true}),
			f.field(Field{Name: "to", Label: "To, that day too", Kind: "date", Width: "w6", Optional: true, Needed: "for a gauge, a place or a person"}),
		}
	}
	page.Problems = f.summary()
	if c.Request.Method == http.MethodGet {
		page.Problems.Nothing = "Nothing was looked up"
	}
	return send(c, status, "recall_new", page)
}

func (s *site) recallItems(c *gin.Context, items []models.RecallItem) ([]RecallItemRow, error) {
	items = items[:min(len(items), mostRecallRows)]
	ids := make([]string, 0, len(items))
	for _, x := range items {
		ids = append(ids, x.Item)
	}
	named, err := s.services.Trace.Named(c.Request.Context(), ids)
	if err != nil {
		return nil, err
	}
	var rows []RecallItemRow
	for _, x := range items {
		item := named[x.Item]
		rows = append(rows, RecallItemRow{Serial: words.Serial(item.Name()), Path: itemPath(pointed(item.Serial), item.ID), Where: whereMark(x.Where), Possibly: x.Possibly, ID: item.ID})
	}
	return rows, nil
}

func whereMark(where string) Mark {
	switch where {
	case models.RecallShipped:
		return Mark{"triangle", "Shipped", "care"}
	case models.RecallScrapped:
		return Mark{"ring", "Scrapped", "none"}
	}
	return Mark{"bars", "Here", "hold"}
}

func (s *site) makeRecall(c *gin.Context) error {
	err := s.confirm(c)
	var r models.Recall
	if err == nil {
		r, err = s.services.Recall.Make(c.Request.Context(), httpx.Actor(c), recall.NewRecall{Ask: recallAsk(c.PostForm), Reason: c.PostForm("reason"), Wanted: c.PostForm("wanted")})
	}
	if answerable(err) {
		return s.showNewRecall(c, http.StatusUnprocessableEntity, posted(c, err), c.PostForm)
	}
	if err != nil {
		return err
	}
	v, err := s.services.Recall.Recall(c.Request.Context(), r.Number)
	if err != nil {
		return err
	}
	return redirect(c, recallPath(r.Number), recalledWords(v))
}

func (s *site) runRecall(c *gin.Context) error {
	if err := s.services.Recall.Again(c.Request.Context(), httpx.Actor(c), c.Param("number"), ""); err != nil {
		return err
	}
	return redirect(c, recallPath(c.Param("number")), "asked_again")
}

func (s *site) endRecallPage(c *gin.Context) error { return s.showEndRecall(c, http.StatusOK, nil) }

func (s *site) showEndRecall(c *gin.Context, status int, problem error) error {
	number, f := c.Param("number"), posted(c, problem)
	v, err := s.services.Recall.Recall(c.Request.Context(), number)
	if err != nil {
		return err
	}
	page := ConfirmPage{Frame: s.frame(c, "Close a recall", "/recalls"), About: number, Mono: true, Title: "Close the recall", Button: "Close it", Path: recallPath(number) + "/end", Back: recallPath(number),
		Says: []string{openAnswers(v), "Holds that it raised stay until each is decided. Its answers and responses stay on record."}, Fields: []Field{f.field(Field{Name: "reason", Label: "Why it is done", Focus: true})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// openAnswers says whose answer a recall that is closed now will go without.
func openAnswers(v recall.View) string {
	open := v.Called - v.Answered
	switch {
	case v.Called == 0:
		return "Nothing of it was shipped."
	case open == 0:
		return "Answered: all " + fmt.Sprint(v.Called) + " shipped."
	}
	text := "Not answered: " + english.Of(open, v.Called) + " shipped"
	if untold := v.Called - v.Notified; untold > 0 {
		text += ", and " + plural(untold, "was not notified", "were not notified")
	}
	return text + "."
}

func (s *site) endRecall(c *gin.Context) error {
	err := s.services.Recall.End(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("reason"))
	if answerable(err) {
		return s.showEndRecall(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, recallPath(c.Param("number")), "changed")
}
