package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// CorrectiveActionPage is one corrective action: what is to be done now, what is
// known and planned, and what became of it.
type CorrectiveActionPage struct {
	Frame
	Number, Path, Answer, Opened string
	State                        Mark
	Now                          string  // what is to be done, in a sentence
	Form                         string  // where the form of it goes; "" for none
	Fields                       []Field // of that form
	Secret                       *Field  // of that form, where it needs one
	Button                       string
	From                         string  // newest step, which the plan is stated on
	Plan                         []Field // nil for who may not change it, and of one that is closed
	Known                        []BuiltLine
	Steps                        []ClaimLine
	Problems                     Problems
}

func (s *site) correctiveAction(c *gin.Context) error {
	return s.showCorrectiveAction(c, http.StatusOK, nil)
}

func (s *site) showCorrectiveAction(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	v, err := s.services.Corrective.One(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	values := actionValues(v.Stated())
	f := newForm(func(name string) string {
		if typed, sent := c.GetPostForm(name); sent {
			return typed
		}
		return values[name]
	}, problem)
	page := s.correctiveActionPage(s.frame(c, v.Number, "/corrective-actions"), v, people, s.services.Corrective.Today(ctx), f)
	if page.Actor.May(models.ActImprove) && v.State != models.ActionClosed {
		if page.Plan, err = s.planFields(ctx, f); err != nil {
			return err
		}
		page.Plan[0].Focus = false
		page.From = v.Newest()
		if from, sent := c.GetPostForm("from"); sent {
			page.From = from
		}
	}
	if v.State == models.ActionWorked && page.Form != "" {
		page.Secret = s.secretField(c, f)
	}
	page.Problems = f.summary()
	return send(c, status, "corrective_action", page)
}

func actionValues(stated models.CorrectiveActionStep) map[string]string {
	return map[string]string{"problem": stated.Problem, "containment": stated.Containment, "cause": stated.Cause, "action": stated.Action, "owner": stated.OwnerID, "due_on": stated.DueOn, "check_on": stated.CheckOn,
		"codes": strings.Join(stated.Codes, " "), "lots": strings.Join(stated.Lots, " "), "nonconformities": strings.Join(stated.Nonconformities, " ")}
}

// correctiveActionPage is the page without the form of the plan.
func (s *site) correctiveActionPage(frame Frame, v models.CorrectiveActionView, people map[string]string, today string, f *form) CorrectiveActionPage {
	stated := v.Stated()
	page := CorrectiveActionPage{Frame: frame, Number: v.Number, Path: actionPath(v.Number), Answer: stated.Problem, Opened: s.minute(v.OpenedAt) + ", " + name(people, v.OpenedBy), State: actionMark(v, today)}
	said := func(label, text string) {
		if text != "" {
			page.Known = append(page.Known, BuiltLine{Label: label, Spans: []Span{{Text: text}}})
		}
	}
	said("Kept from harm by", stated.Containment)
	said("Cause", stated.Cause)
	said("Action", stated.Action)
	said("Seen to by", name(people, stated.OwnerID)+", by "+words.Date(stated.DueOn))
	if stated.CheckOn != "" {
		said("Whether it worked", "is seen on "+words.Date(stated.CheckOn))
	}
	for _, code := range stated.Codes {
		said(code, words.Sentence(s.fault(code, v.OpenedAt)))
	}
	links := func(label string, list []string, path func(string) string) {
		if len(list) == 0 {
			return
		}
		line := BuiltLine{Label: label}
		for i, x := range list {
			if i > 0 {
				line.Spans = append(line.Spans, Span{Text: ", "})
			}
			line.Spans = append(line.Spans, Span{Text: x, Mono: true, Path: path(x)})
		}
		page.Known = append(page.Known, line)
	}
	links("Lots", stated.Lots, lotPath)
	links("Nonconformities", stated.Nonconformities, nonconformityPath)
	s.actionNow(&page, v, people, f)
	for _, step := range v.Steps {
		page.Steps = append(page.Steps, s.actionLine(step, people))
	}
	return page
}

// actionNow fills in what is to be done now, and the form for it where this person
// may.
func (s *site) actionNow(page *CorrectiveActionPage, v models.CorrectiveActionView, people map[string]string, f *form) {
	stated := v.Stated()
	note := Field{Name: "note", Label: "What was done", Kind: "text area", Optional: true}
	switch v.State {
	case models.ActionOpen:
		page.Now = name(people, stated.OwnerID) + " sees to it by " + words.Date(stated.DueOn) + "."
		if last := v.Last(models.ActionChecked); last != nil && !last.Worked {
			page.Now = "What was done did not work. Find the cause anew, and plan what is done about it."
		}
		if stated.Cause == "" || stated.Action == "" || stated.CheckOn == "" {
			page.Now += " Before it is done: the cause, the action, and the day on which it is seen whether it worked."
			return
		}
		page.Form, page.Button = page.Path+"/done", "It is done"
	case models.ActionDone:
		page.Now = "Look on " + words.Date(stated.CheckOn) + " whether it worked."
		page.Form, page.Button = page.Path+"/check", "Keep it"
		note.Label, note.Optional = "How that was seen", false
		page.Fields = []Field{f.field(Field{Name: "worked", Label: "Did it work?", Kind: "select", Width: "w4", Choices: []Choice{{"", "choose"}, {"yes", "yes"}, {"no", "no"}}})}
	case models.ActionWorked:
		page.Now = "It worked. Close it."
		page.Form, page.Button = page.Path+"/close", "Close it"
		note.Label = "What is to be remembered"
	default:
		return
	}
	if !page.Actor.May(models.ActImprove) {
		page.Form, page.Fields = "", nil
		return
	}
	page.Fields = append(page.Fields, f.field(note))
}

func (s *site) actionLine(step models.CorrectiveActionStep, people map[string]string) ClaimLine {
	line := ClaimLine{When: s.minute(step.MadeAt), Why: step.Note, Who: name(people, step.MadeBy)}
	switch step.What {
	case models.ActionStated:
		line.What = "Stated"
		var why []string
		for _, x := range []struct{ label, text string }{{"Cause", step.Cause}, {"Action", step.Action}} {
			if x.text != "" {
				why = append(why, x.label+": "+stopped(x.text))
			}
		}
		line.Why = strings.Join(append(why, "Done by "+words.Date(step.DueOn)+"."), " ")
	case models.ActionCarried:
		line.What = "Done"
	case models.ActionChecked:
		line.What = "It did not work"
		if step.Worked {
			line.What = "It worked"
		}
	case models.ActionEnded:
		line.What = "Closed"
	}
	return line
}

func (s *site) actionAnswered(c *gin.Context, err error) error {
	if answerable(err) {
		return s.showCorrectiveAction(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, actionPath(c.Param("number")), "lot_kept")
}

func (s *site) stateCorrectiveAction(c *gin.Context) error {
	return s.actionAnswered(c, s.services.Corrective.State(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("from"), actionPlan(c)))
}

func (s *site) carriedCorrectiveAction(c *gin.Context) error {
	return s.actionAnswered(c, s.services.Corrective.Carried(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("note")))
}

func (s *site) checkCorrectiveAction(c *gin.Context) error {
	worked := c.PostForm("worked")
	var err error = models.Invalid("worked", "missing")
	if worked == "yes" || worked == "no" {
		err = s.services.Corrective.Checked(c.Request.Context(), httpx.Actor(c), c.Param("number"), worked == "yes", c.PostForm("note"))
	}
	return s.actionAnswered(c, err)
}

func (s *site) closeCorrectiveAction(c *gin.Context) error {
	err := s.confirm(c)
	if err == nil {
		err = s.services.Corrective.Close(c.Request.Context(), httpx.Actor(c), c.Param("number"), c.PostForm("note"))
	}
	return s.actionAnswered(c, err)
}
