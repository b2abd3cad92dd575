package web

import (
	"context"
	"net/http"
	"net/url"
	"slices"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/nonconforming"
	"tracewright/server/httpx"
)

func nonconformityPath(number string) string { return "/nonconformities/" + url.PathEscape(number) }

// nonconformityRoutes are the pages of work that does not conform.
func (s *site) nonconformityRoutes() []httpx.Route {
	return []httpx.Route{
		get("/nonconformities", models.ActLook, s.nonconformities),
		get("/nonconformities/:number", models.ActLook, s.nonconformity),
		post("/nonconformities/:number/disposition", models.ActDispose, s.dispose),
		post("/nonconformities/:number/approval", models.ActDispose, s.approveConcession),
		post("/nonconformities/:number/confirmation", models.ActDispose, s.confirmDisposed),
		post("/nonconformities/:number/done", models.ActRecord, s.reworkDone),
		post("/nonconformities/:number/notes", models.ActRaiseHold, s.noteNonconformity),
		{Method: http.MethodPost, Path: "/nonconformities/:number/photos", Act: models.ActRaiseHold, Handler: s.addNonconformityPhoto, File: true},
		get("/items/:serial/nonconforming", models.ActRaiseHold, s.nonconformingPage),
		post("/items/:serial/nonconforming", models.ActRaiseHold, s.openNonconformity),
	}
}

// NonconformitiesPage lists what does not conform: what is open, the worst first,
// then the last that were closed.
type NonconformitiesPage struct {
	Frame
	Answer string
	Open   []NonconformityRow
	Closed []NonconformityRow
}

// NonconformityRow is one of them.
type NonconformityRow struct {
	Number, Path, What, Age string
	Severity                Mark
	On                      Span
	State                   Mark
}

func (s *site) nonconformities(c *gin.Context) error {
	ctx := c.Request.Context()
	open, err := s.services.Nonconforming.Open(ctx)
	if err != nil {
		return err
	}
	closed, err := s.services.Nonconforming.Closed(ctx)
	if err != nil {
		return err
	}
	page := NonconformitiesPage{Frame: s.frame(c, "Nonconformities", "/nonconformities"), Answer: "No nonconformity is open"}
	if n := len(open); n > 0 {
		page.Answer = counted(n, "nonconformity is open", "nonconformities are open")
	}
	items, err := s.nonconformityItems(ctx, slices.Concat(open, closed))
	if err != nil {
		return err
	}
	page.Open, page.Closed = s.nonconformityRows(open, items), s.nonconformityRows(closed, items)
	return show(c, "nonconformities", page)
}

// nonconformityItems are the items that a list is about, by their keys.
func (s *site) nonconformityItems(ctx context.Context, list []models.NonconformityView) (map[string]models.Item, error) {
	ids := make([]string, len(list))
	for i, v := range list {
		ids[i] = v.ItemID
	}
	return s.services.Trace.Named(ctx, ids)
}

// nonconformityRows are the rows of a list, on items by their keys.
func (s *site) nonconformityRows(list []models.NonconformityView, items map[string]models.Item) []NonconformityRow {
	rows := make([]NonconformityRow, len(list))
	for i, v := range list {
		item := items[v.ItemID]
		rows[i] = NonconformityRow{Number: v.Number, Path: nonconformityPath(v.Number), What: words.Sentence(s.fault(v.Code, v.OpenedAt)), Severity: severityMark(v.Worst()), State: nonconformityMark(v),
			On:  Span{Text: words.Serial(item.Name()), Mono: true, Path: itemPath(pointed(item.Serial), item.ID)},
			Age: s.day(v.OpenedAt)}
		if v.State != models.NonconformityClosed {
			rows[i].Age += ", " + age(v.OpenedAt.In(s.zone()), s.now()) + " ago"
		}
	}
	return rows
}

// severityMark is the mark of a severity: its word says why.
func severityMark(severity models.Severity) Mark {
	switch severity {
	case models.Critical:
		return Mark{"triangle", "Critical", "fail"}
	case models.Major:
		return Mark{"square", "Major", "care"}
	}
	return Mark{"ring", "Minor", "none"}
}

// nonconformityMark says how one stands: where its item is while it is open, and
// how it ended after.
func nonconformityMark(v models.NonconformityView) Mark {
	if v.State == models.NonconformityClosed {
		word := "Closed"
		if len(v.Steps) > 0 {
			word = words.Sentence(english.NonconformityStep(v.Steps[len(v.Steps)-1].What))
		}
		return Mark{"tick", word, "none"}
	}
	switch v.State {
	case models.StateHeld:
		return Mark{"bars", "Waits for a decision", "hold"}
	case models.StateConcessionPending:
		return Mark{"bars", "Waits for approval", "hold"}
	}
	return Mark{"clock", words.Sentence(english.State(v.State)), "care"}
}

func (s *site) nonconformingPage(c *gin.Context) error {
	return s.showNonconforming(c, http.StatusOK, nil)
}

func (s *site) showNonconforming(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	f := newForm(func(name string) string {
		if v, sent := c.GetPostForm(name); sent {
			return v
		}
		return c.Query(name)
	}, problem)
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	page := ConfirmPage{Frame: s.frame(c, "Nonconforming", "/nonconformities"), Gloves: true, About: words.Serial(v.Item.Name()), Mono: true, Title: "It does not conform", Button: "Close it as nonconforming", Bars: true,
		Path: path + "/nonconforming", Back: path,
		Says: []string{"It goes on hold, and stays there until an inspector or the owner decides what becomes of it.", "Values that one more round can mend need none of this: record again."}}
	severity := Field{Name: "severity", Label: "How bad it is", Kind: "select", Choices: []Choice{{"", "as its code says"}, {string(models.Major), words.Sentence(english.Severity(string(models.Major)))}, {string(models.Critical), words.Sentence(english.Severity(string(models.Critical)))}}}
	code := f.value("code")
	switch v.Item.State {
	case models.StateHeld:
		page.Button, page.Says = "Open a nonconformity", []string{"The hold then ends by what is decided about it: rework, repair, a concession, return or scrap."}
	case models.StateReinspect:
		if open := v.OpenNonconformity(); open != nil {
			page.Title, page.Says = "It still does not conform", []string{open.Number + " goes on: an inspector or the owner decides anew what becomes of it.", "Values that one more round can mend need none of this: record again."}
			page.Back, code = nonconformityPath(open.Number), firstOf(code, open.Code)
		}
	}
	page.Fields = []Field{f.field(Field{Name: "code", Label: "What is wrong", Kind: "select", Value: code, Choices: s.faultChoices(v.Item.Kind), Focus: true})}
	page.Fields = append(page.Fields, f.field(severity), f.field(Field{Name: "note", Label: "What you saw", Kind: "text area", Hint: "Where on it, how far off, how it was noticed. A photo can be added after."}))
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) openNonconformity(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	opened, err := s.services.Nonconforming.Add(ctx, httpx.Actor(c), nonconforming.Opening{Item: v.Item.ID, Code: c.PostForm("code"), Severity: c.PostForm("severity"), Note: c.PostForm("note")})
	if answerable(err) {
		return s.showNonconforming(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, nonconformityPath(opened.Number), "nonconformity")
}
