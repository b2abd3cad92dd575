package web

import (
	"context"
	"net/http"
	"net/url"
	"strings"
	"unicode"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/corrective"
	"tracewright/server/httpx"
)

func actionPath(number string) string { return "/corrective-actions/" + url.PathEscape(number) }

// correctiveRoutes are the pages of work on the causes of problems.
func (s *site) correctiveRoutes() []httpx.Route {
	post := func(path string, h httpx.Handler) httpx.Route {
		return httpx.Route{Method: http.MethodPost, Path: path, Act: models.ActImprove, Handler: h}
	}
	return []httpx.Route{
		get("/corrective-actions", models.ActLook, s.correctiveActions),
		get("/corrective-actions/new", models.ActImprove, s.newCorrectiveAction),
		post("/corrective-actions/new", s.addCorrectiveAction),
		get("/corrective-actions/:number", models.ActLook, s.correctiveAction),
		post("/corrective-actions/:number", s.stateCorrectiveAction),
		post("/corrective-actions/:number/done", s.carriedCorrectiveAction),
		post("/corrective-actions/:number/check", s.checkCorrectiveAction),
		post("/corrective-actions/:number/close", s.closeCorrectiveAction),
	}
}

// CorrectiveActionsPage lists the corrective actions: what is due first comes first.
type CorrectiveActionsPage struct {
	Frame
	Answer string
	Open   []ActionRow
	Closed []ActionRow
}

// ActionRow is one of them.
type ActionRow struct {
	Number, Path, Problem, Owner, Due string
	State                             Mark
}

func (s *site) correctiveActions(c *gin.Context) error {
	ctx := c.Request.Context()
	open, err := s.services.Corrective.Open(ctx)
	if err != nil {
		return err
	}
	closed, err := s.services.Corrective.Closed(ctx)
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	page := s.correctiveActionsPage(s.frame(c, "Corrective actions", "/corrective-actions"), open, closed, people, s.services.Corrective.Today(ctx))
	return show(c, "corrective_actions", page)
}

func (s *site) correctiveActionsPage(frame Frame, open, closed []models.CorrectiveActionView, people map[string]string, today string) CorrectiveActionsPage {
	page := CorrectiveActionsPage{Frame: frame, Answer: "No corrective action is open"}
	overdue := 0
	for _, v := range open {
		page.Open = append(page.Open, actionRow(v, people, today))
		if v.Overdue(today) {
			overdue++
		}
	}
	for _, v := range closed {
		page.Closed = append(page.Closed, actionRow(v, people, today))
	}
	switch {
	case overdue > 0:
		page.Answer = counted(overdue, "corrective action is overdue", "corrective actions are overdue")
	case len(open) > 0:
		page.Answer = counted(len(open), "corrective action is open", "corrective actions are open") + ", none overdue"
	}
	return page
}

func actionRow(v models.CorrectiveActionView, people map[string]string, today string) ActionRow {
	stated := v.Stated()
	row := ActionRow{Number: v.Number, Path: actionPath(v.Number), Problem: shortened(stated.Problem, 120), Owner: name(people, stated.OwnerID), State: actionMark(v, today)}
	if due := v.DueBy(); due != "" {
		row.Due = words.Date(due)
	}
	return row
}

func actionMark(v models.CorrectiveActionView, today string) Mark {
	mark := Mark{"clock", words.Sentence(english.ActionState(v.State)), "none"}
	switch {
	case v.State == models.ActionClosed:
		mark.Shape = "tick"
	case v.Overdue(today):
		mark = Mark{"triangle", "Overdue: " + lowered(mark.Word), "care"}
	}
	return mark
}

func (s *site) newCorrectiveAction(c *gin.Context) error {
	return s.showNewCorrectiveAction(c, http.StatusOK, c.Query, nil)
}

func (s *site) showNewCorrectiveAction(c *gin.Context, status int, value func(string) string, problem error) error {
	ctx := c.Request.Context()
	f := newForm(value, problem)
	fields, err := s.planFields(ctx, f)
	if err != nil {
		return err
	}
	page := ReceiveForm{Frame: s.frame(c, "Open a corrective action", "/corrective-actions"), Title: "Open a corrective action", Path: "/corrective-actions/new", Back: "/corrective-actions", Button: "Open it",
		Says: "Say what is wrong and who sees to it by when. The cause and the action may follow.", Fields: fields}
	page.Problems = f.summary()
	return send(c, status, "receive", page)
}

// planFields are what is known and planned.
func (s *site) planFields(ctx context.Context, f *form) ([]Field, error) {
	people, err := s.services.Access.People(ctx)
	if err != nil {
		return nil, err
	}
	owners := []Choice{{"", "choose"}}
	for _, p := range people {
		if p.Active {
			owners = append(owners, Choice{p.ID, p.Name})
		}
	}
	return []Field{
		f.field(Field{Name: "problem", Label: "The problem", Kind: "text area", Focus: true}),
		f.field(Field{Name: "containment", Label: "What keeps it from doing harm meanwhile", Kind: "text area", Optional: true}),
		f.field(Field{Name: "cause", Label: "The cause", Kind: "text area", Optional: true, Hint: "Why it came about, and why nobody saw it in time."}),
		f.field(Field{Name: "action", Label: "The action", Kind: "text area", Optional: true, Hint: "What is changed, so that it does not come again."}),
		f.field(Field{Name: "owner", Label: "Who sees to it", Kind: "select", Width: "w4", Choices: owners}),
		f.field(Field{Name: "due_on", Label: "Done by", Kind: "date", Width: "w4"}),
		f.field(Field{Name: "check_on", Label: "Whether it worked is seen on", Kind: "date", Width: "w4", Optional: true}),
		f.field(Field{Name: "codes", Label: "Codes of defects", Mono: true, Width: "w4", Optional: true, Hint: "With a space or a comma between: W08 W09."}),
		f.field(Field{Name: "lots", Label: "Lots", Mono: true, Width: "w4", Optional: true}),
		f.field(Field{Name: "nonconformities", Label: "Nonconformities", Mono: true, Width: "w4", Optional: true}),
	}, nil
}

func actionPlan(c *gin.Context) corrective.Plan {
	list := func(name string) []string {
		return strings.FieldsFunc(c.PostForm(name), func(r rune) bool { return unicode.IsSpace(r) || r == ',' || r == ';' })
	}
	return corrective.Plan{Problem: c.PostForm("problem"), Containment: c.PostForm("containment"), Cause: c.PostForm("cause"), Action: c.PostForm("action"), Owner: c.PostForm("owner"), DueOn: c.PostForm("due_on"), CheckOn: c.PostForm("check_on"),
		Codes: list("codes"), Lots: list("lots"), Nonconformities: list("nonconformities")}
}

func (s *site) addCorrectiveAction(c *gin.Context) error {
	v, err := s.services.Corrective.Add(c.Request.Context(), httpx.Actor(c), actionPlan(c))
	if answerable(err) {
		return s.showNewCorrectiveAction(c, http.StatusUnprocessableEntity, c.PostForm, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, actionPath(v.Number), "lot_kept")
}
