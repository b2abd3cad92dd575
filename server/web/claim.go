package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/claims"
)

// ClaimPage is one claim on one screen: what the customer says, what it is,
// photos, the decision, what was swapped and what it cost; beside it what is
// known before deciding.
type ClaimPage struct {
	Frame
	Number, Path, Answer, Opened string
	From                         string // newest event, which what is saved is added to
	On                           Span
	State                        Mark
	Said                         string // empty: erased
	Erase                        string // page that erases it
	Customer                     string // page of the customer, for who may look
	Gone                         bool   // the customer was erased
	Unknown                      string // what the item is, where none is named
	Moves, Moving                bool   // another item may be named in its place; somebody tries to
	Symptoms                     []Choice
	Symptom                      string
	List                         int // revision of its check list
	Checks                       []Check
	Lead                         string // the code the answers lead to, in words
	Coded                        string
	Photos                       []PaperRow
	Fields                       map[string]Field
	Decisions                    []DecisionChoice
	Removals                     []Choice
	Removal                      string // the one chosen
	Swapped                      []string
	Known                        []KnownLine
	Built                        []BuiltLine
	Lots                         []ClaimedLot
	Then                         []string // what saving does
	Events                       []ClaimLine
	Open                         bool // may be added to by this person
	Late                         bool // closed, and this person may add what it cost and photos
	Cautions                     []string
	Problems                     Problems
}

// Check is a question of the check list.
type Check struct {
	Code, Text string
	Yes        bool
}

// DecisionChoice is one of the decisions.
type DecisionChoice struct {
	Code, Text string
	Chosen     bool
}

// ClaimLine is one thing that became of the claim.
type ClaimLine struct{ When, What, Why, Who string }

func (s *site) claim(c *gin.Context) error {
	return s.showClaim(c, http.StatusOK, c.Request.URL.Query(), nil)
}

// showClaim shows a claim with what was typed so far, none of which is lost by
// whatever else is pressed.
func (s *site) showClaim(c *gin.Context, status int, typed url.Values, problem error) error {
	page, err := s.claimTyped(c, typed, problem)
	if err != nil {
		return err
	}
	return send(c, status, "claim", page)
}

func (s *site) claimTyped(c *gin.Context, typed url.Values, problem error) (ClaimPage, error) {
	ctx := c.Request.Context()
	v, err := s.services.Claims.Claim(ctx, c.Param("number"))
	if err != nil {
		return ClaimPage{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return ClaimPage{}, err
	}
	lists, err := s.services.Claims.Lists(ctx)
	if err != nil {
		return ClaimPage{}, err
	}
	page := s.claimPage(s.frame(c, "Claim "+v.Number, "/claims"), v, lists, people, typed.Get, problem)
	if page.Removal = typed.Get("removal"); page.Fields["currency"].Value == "" {
		of, err := s.services.Shop.Settings(ctx)
		if err != nil {
			return ClaimPage{}, err
		}
		currency := page.Fields["currency"]
		currency.Value = of.RateCurrency
		page.Fields["currency"] = currency
	}
	if typed.Has("from") {
		page.From = typed.Get("from")
	}
	if page.Customer != "" {
		gone, err := s.erased(c, v.Customer)
		if err != nil {
			return ClaimPage{}, err
		}
		if page.Gone = gone[v.Customer]; page.Gone {
			page.Customer = ""
		}
	}
	papers, err := s.services.Documents.Of(ctx, models.SubjectClaim, v.ID)
	if err != nil {
		return ClaimPage{}, err
	}
	page.Photos = s.paperRows(papers, "", people)
	for i := range page.Photos {
		if page.Actor.May(models.ActCustomers) {
			page.Photos[i].Erase = claimPhotoPath(v.Number, papers[i].ID)
		}
	}
	items, err := s.claimedItems(ctx, []models.ClaimView{v})
	if err != nil {
		return ClaimPage{}, err
	}
	page.On = claimedSpan(v, items)
	if err := s.knownOfClaim(ctx, &page, v); err != nil {
		return ClaimPage{}, err
	}
	return page, nil
}

// claimPage is the page without what is known of the item.
func (s *site) claimPage(frame Frame, v models.ClaimView, lists []claims.List, people map[string]string, asked func(string) string, problem error) ClaimPage {
	page := ClaimPage{Frame: frame, Number: v.Number, Path: claimPath(v.Number), Opened: s.minute(v.OpenedAt) + ", " + name(people, v.OpenedBy), State: claimMark(v), Answer: s.claimWhat(v)}
	page.From = v.Newest()
	page.Open = v.State != models.ClaimClosed && frame.Actor.May(models.ActClaims)
	page.Late = v.State == models.ClaimClosed && frame.Actor.May(models.ActClaims)
	if v.Words != nil {
		page.Said = v.Words.Words
		if frame.Actor.May(models.ActCustomers) {
			page.Erase = page.Path + "/erase"
		}
	}
	if v.Customer != "" && frame.Actor.May(models.ActCustomers) {
		page.Customer = customerPath(v.Customer)
	}
	if v.ItemID == nil {
		page.Unknown = words.Sentence(claimWords(v.Claim))
	}
	page.Moves = claimMoves(v)
	page.Moving = asked("item") != ""
	for _, e := range v.Events {
		page.Events = append(page.Events, s.claimLine(e, v.Kind, lists, people))
	}
	if v.State == models.ClaimClosed {
		page.State = Mark{page.State.Shape, page.State.Word + ", closed", page.State.Tone}
	}
	f := newForm(asked, problem)
	page.Fields = s.claimFields(v, f, s.claimCheckList(&page, v, lists, asked))
	decision := asked("decision")
	if last := v.Last(models.ClaimAnswered); decision == "" && last != nil {
		decision = last.Decision
	}
	for _, code := range models.ClaimDecisions {
		page.Decisions = append(page.Decisions, DecisionChoice{code, words.Sentence(english.Decision(code)), code == decision})
	}
	page.Then = claimThen(v)
	page.Cautions = claimCautions(v.Kind)
	page.Problems = f.summary()
	return page
}

// claimCheckList fills in the symptom in hand, its questions as they are asked now, and
// the code that the answers lead to. It gives the code that was chosen against the
// answers that stand, empty for none: saved with them again it must not turn into
// the one that they lead to.
func (s *site) claimCheckList(p *ClaimPage, v models.ClaimView, lists []claims.List, asked func(string) string) (chosen string) {
	coded := v.Last(models.ClaimCoded)
	p.Symptom = asked("symptom")
	yes := func(q string) bool { return asked("yes_"+q) == "yes" }
	revision := -1 // of the answers
	if n, err := strconv.Atoi(asked("list")); err == nil {
		revision = n
	}
	if coded != nil {
		p.Coded = words.Sentence(s.fault(coded.Code, coded.MadeAt)) + " (" + coded.Code + ")"
		if p.Symptom == "" {
			p.Symptom, revision, chosen = coded.Symptom, coded.CheckList, coded.Code
			yes = func(q string) bool {
				return slices.ContainsFunc(coded.Answers, func(a models.ClaimAnswer) bool { return a.Question == q && a.Yes })
			}
		}
	}
	p.Symptoms = []Choice{{"", "choose a check list"}}
	var list *claims.List
	for i, x := range lists {
		if x.Kind != v.Kind {
			continue
		}
		p.Symptoms = append(p.Symptoms, Choice{x.Symptom, words.Sentence(english.Symptom(x.Symptom))})
		if x.Symptom == p.Symptom {
			list = &lists[i]
		}
	}
	if list == nil {
		p.Symptom = ""
		return ""
	}
	now := list.CheckList
	if was, known := list.Asked(revision); known { // Answered so far: shown as it was asked.
		now = was
	}
	p.List = now.Revision
	for _, q := range now.Questions {
		p.Checks = append(p.Checks, Check{q.Code, questionText(q), yes(q.Code)})
	}
	p.Lead = words.Sentence(s.faultNow(now.Otherwise)) + " (" + now.Otherwise + ")"
	if chosen == claims.Leads(now, yes) {
		return ""
	}
	return chosen
}

// claimFields are the fields of the form, with what stands; chosen as of
// claimCheckList.
func (s *site) claimFields(v models.ClaimView, f *form, chosen string) map[string]Field {
	codes := s.faultChoices(v.Kind)
	codes[0].Text = "as the check list says"
	stand := func(what string, value func(models.ClaimEvent) string) string {
		if e := v.Last(what); e != nil {
			return value(*e)
		}
		return ""
	}
	fields := map[string]Field{}
	for _, x := range []Field{
		{Name: "item", Label: "Serial, once it is known", Mono: true, Width: "w6", Optional: true},
		{Name: "came_on", Label: "Came in on", Kind: "date", Width: "w6", Optional: true, Value: stand(models.ClaimCameIn, func(e models.ClaimEvent) string { return e.CameOn })},
		{Name: "moved", Label: "Why it is this one", Width: "w6", Optional: true, Hint: noNameHint},
		{Name: "spot", Label: spotLabel(v.Kind), Width: "w6", Optional: true, Hint: spotHint(v.Kind), Value: stand(models.ClaimWhere, func(e models.ClaimEvent) string { return e.Spot })},
		{Name: "code", Label: "Code", Kind: "select", Choices: codes, Value: chosen},
		{Name: "reason", Label: "Reason", Kind: "text area", Optional: true, Needed: "with a decision", Value: stand(models.ClaimAnswered, func(e models.ClaimEvent) string { return e.Reason }), Hint: "Whoever decides is recorded with it. " + noNameHint},
		{Name: "amount", Label: "Cost", Mode: "decimal", Width: "w4", Optional: true, Value: stand(models.ClaimCost, func(e models.ClaimEvent) string { return e.Amount })},
		{Name: "currency", Label: "Currency", Width: "w4", Optional: true, Needed: "with a cost", Value: stand(models.ClaimCost, func(e models.ClaimEvent) string { return e.Currency })},
	} {
		switch moves := claimMoves(v); {
		case x.Name == "moved" && !moves, x.Name == "item" && v.ItemID != nil && !moves:
			continue // A problem with it is told at the head.
		case x.Name == "item" && moves:
			x.Label = "Serial of the right one"
		}
		if typed := f.value(x.Name); typed != "" {
			x.Value = typed
		}
		fields[x.Name] = f.field(x)
	}
	return fields
}

// claimMoves says whether another item may be named in the place of the one that
// a claim names.
func claimMoves(v models.ClaimView) bool {
	return v.ItemID != nil && v.State == models.ClaimOpen && v.Last(models.ClaimPart) == nil
}

func spotLabel(kind string) string { return "Where on the " + english.Kind(kind) }

func spotHint(kind string) string {
	if kind == models.KindPack {
		return "A block as 1.3, or in words."
	}
	return "A spoke by its number, or in words: at the valve."
}

// spotWords says where it is: a number is that of a spoke of a wheel.
func spotWords(kind, spot string) string {
	if n, err := strconv.Atoi(spot); err == nil && kind == models.KindWheel {
		return fmt.Sprintf("At spoke %d", n)
	}
	return "Where: " + spot
}

// claimCautions stand over the check list: what comes back may be damaged.
func claimCautions(kind string) []string {
	if kind == models.KindPack {
		return []string{english.Caution("lithium_fire"), english.Caution("acid"), english.Caution("short_circuit"), english.Caution("makers_data_first")}
	}
	return []string{english.Caution("eye_protection"), english.Caution("disconnect_motor"), english.Caution("makers_data_first")}
}

// claimThen says what saving brings about.
func claimThen(v models.ClaimView) []string {
	came, decided := v.Last(models.ClaimCameIn) != nil, v.Last(models.ClaimAnswered)
	switch {
	case v.State == models.ClaimClosed:
		return nil
	case decided != nil && v.ItemID != nil && !came && decided.Accepts():
		return []string{"The day it comes in puts it in work: it is accepted.", "A changed decision is added; the earlier one stays on record."}
	case decided != nil:
		return []string{"A changed decision is added; the earlier one stays on record."}
	case v.ItemID == nil:
		return []string{"The claim stays here until it is answered. Name the item once it is known."}
	case !came:
		return []string{"The day it comes in puts it on hold for this claim."}
	}
	return []string{"Accepted: the hold ends and it is worked on. What was turned or swapped is measured again, and a new revision replaces its certificate.", "Rejected, or no fault found: the hold ends and it goes back as it came."}
}

func (s *site) claimLine(e models.ClaimEvent, kind string, lists []claims.List, people map[string]string) ClaimLine {
	line := ClaimLine{When: s.minute(e.MadeAt), Who: name(people, e.MadeBy), Why: e.Reason}
	switch e.What {
	case models.ClaimLinked:
		if line.What = "Its item was named"; e.Reason != "" {
			line.What = "Another item was named"
		}
	case models.ClaimWhere:
		line.What = spotWords(kind, e.Spot)
	case models.ClaimCameIn:
		line.What = "It came in on " + words.Date(e.CameOn)
	case models.ClaimCoded:
		line.What = words.Sentence(s.fault(e.Code, e.MadeAt)) + " (" + e.Code + ")"
		if e.Symptom != "" {
			line.Why = askedWords(e, lists)
		}
	case models.ClaimAnswered:
		line.What = words.Sentence(english.Decision(e.Decision))
	case models.ClaimCost:
		line.What = "Cost " + e.Amount + " " + e.Currency
	case models.ClaimPart:
		line.What = "A part was swapped for it"
	case models.ClaimEnded:
		line.What = "Closed"
	}
	return line
}

// askedWords says which check list was asked, in which revision, and what was
// answered yes, in the words that were asked.
func askedWords(e models.ClaimEvent, lists []claims.List) string {
	text := "Check list: " + english.Symptom(e.Symptom)
	if e.CheckList > 0 {
		text += fmt.Sprintf(", revision %d", e.CheckList)
	}
	at := slices.IndexFunc(lists, func(l claims.List) bool { return l.Symptom == e.Symptom })
	if at < 0 {
		return text
	}
	was, _ := lists[at].Asked(e.CheckList)
	var yes []string
	for _, q := range was.Questions {
		if slices.Contains(e.Answers, models.ClaimAnswer{Question: q.Code, Yes: true}) {
			yes = append(yes, "“"+questionText(q)+"”")
		}
	}
	if len(yes) > 0 {
		text += ". Yes to " + english.Join(yes)
	}
	return text
}
