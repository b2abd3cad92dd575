package web

import (
	"fmt"
	"net/http"
	"net/url"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/recall"
	"tracewright/server/httpx"
)

// RecallPage is one recall: how far it has come, and each item.
type RecallPage struct {
	Frame
	Number, Path, Answer string
	Reason, Wanted, Made string
	Mark                 Mark
	Facts                []LotFact
	Changed              []string
	Rows                 []RecallItemRow
	Rest                 string
	Open, May            bool
	Asks                 bool // this person may keep what came of an item
	Ended                string
	Problems             Problems
	Contacts             string // where their list is, for who may see customers
}

func (s *site) recall(c *gin.Context) error { return s.showRecall(c, http.StatusOK, nil) }

// showRecall is the page of a recall, with what was said in it where it was refused.
func (s *site) showRecall(c *gin.Context, status int, problem error) error {
	v, err := s.services.Recall.Recall(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	gone, err := s.erased(c, v.Customers()...)
	if err != nil {
		return err
	}
	items := make([]models.Item, 0, len(v.Rows))
	for _, r := range v.Rows[:min(len(v.Rows), mostRecallRows)] {
		items = append(items, r.Of)
	}
	back, err := s.services.Recall.CameBack(c.Request.Context(), items, v.Last)
	if err != nil {
		return err
	}
	page := s.recallPage(s.frame(c, "Recall "+v.Number, "/recalls"), v, gone, back)
	f := newForm(c.PostForm, problem)
	page.Problems = f.summary()
	for i, r := range page.Rows {
		page.Rows[i].Said = f.value(answerField(r.ID))
	}
	return send(c, status, "recall", page)
}

func (s *site) recallPage(frame Frame, v recall.View, gone, back map[string]bool) RecallPage {
	page := RecallPage{Frame: frame, Number: v.Number, Path: recallPath(v.Number), Reason: v.Reason, Wanted: v.Wanted, Open: v.End == nil, May: frame.Actor.May(models.ActRecall), Mark: Mark{"bars", "Open", "hold"}}
	page.Answer = "Answered: " + english.Of(v.Answered, v.Called) + " shipped"
	if v.Called == 0 {
		page.Answer = "Nothing of it was shipped: " + splitWords(0, v.Here, v.Scrapped)
	}
	if v.Shipped > 0 && frame.Actor.May(models.ActCustomers) {
		page.Contacts = page.Path + "/contacts.csv"
	}
	fact := func(label, value string) {
		if value != "" {
			page.Facts = append(page.Facts, LotFact{Label: label, Value: value})
		}
	}
	fact("Items", s.scopeWords(v.Scope, v.About, v.By))
	fact("Shipped", fmt.Sprint(v.Shipped))
	fact("Here, put on hold", fmt.Sprint(v.Here))
	if v.Scrapped > 0 {
		fact("Scrapped", fmt.Sprint(v.Scrapped))
	}
	if v.Called > 0 {
		fact("Notified", english.Of(v.Notified, v.Called))
	}
	if v.Notified > 0 {
		fact("Answered of those", english.Of(v.Answered, v.Notified))
	}
	page.Made = "Made " + s.minute(v.MadeAt) + " by " + name(v.People, v.MadeBy) + "; searched " + plural(len(v.Runs), "time", "times") + ", last " + s.minute(v.Newest().RunAt) + "."
	if len(v.New) > 0 {
		page.Changed = append(page.Changed, "New since the time before: "+english.Join(names(v.New))+".")
	}
	if len(v.Gone) > 0 {
		page.Changed = append(page.Changed, "No longer reached: "+english.Join(names(v.Gone))+".")
	}
	page.Rest = restOf(len(v.Rows))
	for _, r := range v.Rows[:min(len(v.Rows), mostRecallRows)] {
		row := RecallItemRow{Serial: words.Serial(r.Of.Name()), Path: itemPath(pointed(r.Of.Serial), r.Of.ID), Where: whereMark(r.Where), Possibly: r.Possibly, ID: r.Of.ID}
		if r.Shipment != nil {
			row.Shipment = []Span{{Text: s.day(r.Shipment.ShippedAt) + " "}, {Text: r.Shipment.Number, Mono: true, Path: "/shipments/" + r.Shipment.Number}}
			if gone[r.Shipment.Customer] {
				row.Shipment = append(row.Shipment, Span{Text: " customer erased"})
			} else if r.Shipment.Customer == "" {
				row.Shipment = append(row.Shipment, Span{Text: " no customer known"})
			} else if frame.Actor.May(models.ActCustomers) {
				row.Shipment = append(row.Shipment, Span{Text: " "}, Span{Text: "customer", Path: customerPath(r.Shipment.Customer) + "?reason=" + url.QueryEscape("recall "+v.Number)})
			}
		}
		if r.Response != nil {
			row.Response = english.Response(r.Response.Response) + ", " + s.day(r.Response.RespondedAt)
			if frame.Actor.May(models.ActClaims) && back[r.Item] {
				row.TakeIn = s.takeInPath(r.Of, v.Number)
			}
		}
		if page.Open && frame.Actor.May(models.ActShip) {
			row.Responses = recallResponses(r)
			page.Asks = page.Asks || len(row.Responses) > 0
		}
		page.Rows = append(page.Rows, row)
	}
	if v.End != nil {
		page.Mark, page.Ended = Mark{"ring", "Closed", "none"}, s.day(v.End.EndedAt)+", "+name(v.People, v.End.EndedBy)+": "+stopped(v.End.Reason)
	}
	return page
}

// recallResponses are what may have come of an item: whoever has it is told, answers
// or brings it; of what is here nobody is told. Nothing is chosen: what is kept was said.
func recallResponses(r recall.Row) []Choice {
	may := models.RecallResponses
	switch {
	case r.Where == models.RecallShipped || models.Whereabouts(r.Of.State) == models.RecallShipped:
	case models.Whereabouts(r.Of.State) == models.RecallScrapped:
		return nil
	default:
		may = []string{models.RecallPutRight}
	}
	return append([]Choice{{"", "choose"}}, choices(may, english.Response)...)
}

// answerField is the name of the field of what came of an item.
func answerField(item string) string { return "response_" + item }

func (s *site) respondRecall(c *gin.Context) error {
	v, err := s.services.Recall.Recall(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	var said []recall.Response
	for _, r := range v.Rows {
		if response := c.PostForm(answerField(r.Item)); response != "" {
			said = append(said, recall.Response{Item: r.Item, Response: response})
		}
	}
	err = s.services.Recall.RespondAll(c.Request.Context(), httpx.Actor(c), v.Number, said)
	if answerable(err) {
		return s.showRecall(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, recallPath(v.Number), "changed")
}

// recalledWords is the code of what is said after something was called back: what is
// here is stopped, whoever has the rest is to be told.
func recalledWords(v recall.View) string {
	switch {
	case v.Shipped == 0 && v.Here == 0:
		return "changed"
	case v.Shipped == 0:
		return "recalled"
	case v.Here == 0:
		return "recalled_away"
	}
	return "recalled_both"
}

// takeInPath is the page that opens the claim by which an item that came back is taken
// in, today.
func (s *site) takeInPath(item models.Item, number string) string {
	return "/claims/new?item=" + url.QueryEscape(item.Name()) + "&recall=" + url.QueryEscape(number)
}
