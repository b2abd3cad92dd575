package web

import (
	"fmt"
	"io"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/words"
	"tracewright/models/work/lists"
	"tracewright/server/httpx"
)

// ListsPage leads to the lists that are taken in, and writes lists out.
type ListsPage struct {
	Frame
	In       []ListRow
	Out      []Field
	Problems Problems
}

// ListRow is a kind of list that this person may take in.
type ListRow struct{ Name, Path, Says string }

// listRoutes has pages for each kind of list that is taken in: each asks for its
// own act.
func (s *site) listRoutes() []httpx.Route {
	var routes []httpx.Route
	for _, k := range lists.Kinds() {
		if k.In == "" {
			continue
		}
		route := func(method, path string, file bool, h func(*gin.Context, lists.Kind) error) {
			routes = append(routes, httpx.Route{Method: method, Path: path + k.Name, Act: k.In, File: file, Handler: func(c *gin.Context) error { return h(c, k) }})
		}
		route(http.MethodGet, "/lists/example/", false, exampleList)
		route(http.MethodGet, "/lists/in/", false, s.listInPage)
		route(http.MethodPost, "/lists/in/", true, s.takeListIn)
	}
	return routes
}

func (s *site) listsPage(c *gin.Context) error { return s.showLists(c, http.StatusOK, nil) }

func (s *site) showLists(c *gin.Context, status int, problem error) error {
	f := newForm(c.Query, problem)
	reason, err := s.lookReason(c, f)
	if err != nil {
		return err
	}
	page := listsPageOf(s.frame(c, "Lists in and out", "/lists"), f, reason)
	page.Problems = f.summary()
	return send(c, status, "lists", page)
}

func listsPageOf(frame Frame, f *form, reason *Field) ListsPage {
	page := ListsPage{Frame: frame}
	var out []Choice
	for _, k := range lists.Kinds() {
		if k.In != "" && frame.Actor.May(k.In) {
			page.In = append(page.In, ListRow{words.Sentence(english.List(k.Name)), "/lists/in/" + k.Name, english.ListSays(k.Name)})
		}
		if frame.Actor.May(k.Out) {
			out = append(out, Choice{k.Name, words.Sentence(english.List(k.Name))})
		}
	}
	page.Out = []Field{
		f.field(Field{Name: "kind", Label: "List", Kind: "select", Width: "w4", Choices: out}),
		f.field(Field{Name: "form", Label: "For a spreadsheet that is set to", Kind: "select", Width: "w8", Choices: []Choice{{"commas", "commas between cells and decimal points, as in English"}, {"semicolons", "semicolons and decimal commas, as in German"}}})}
	if frame.Actor.May(models.ActCustomers) {
		page.Out = append(page.Out, f.field(Field{Name: "names", Label: "Shipments with the names of customers", Kind: "check"}))
		if reason != nil {
			reason.Label, reason.Optional, reason.Hint = "Why you look at customers", true, "For a list of customers, or with their names."
			page.Out = append(page.Out, *reason)
		}
	}
	return page
}

// writeList sends a list. A list of customers is a look at each of them.
func (s *site) writeList(c *gin.Context) error {
	kind, ok := lists.Named(c.Query("kind"))
	actor := httpx.Actor(c)
	switch {
	case !ok:
		return s.showLists(c, http.StatusUnprocessableEntity, models.Invalid("kind", "unknown_choice", "typed", models.Shortened(c.Query("kind"))))
	case !actor.May(kind.Out):
		return fmt.Errorf("%s may not %s: %w", actor.Role, kind.Out, models.ErrForbidden)
	}
	form, err := listForm(c)
	if err != nil {
		return s.showLists(c, http.StatusUnprocessableEntity, err)
	}
	ask := lists.Ask{Form: form, Names: c.Query("names") != "", Reason: c.Query("reason")}
	err = httpx.SendFile(c, kind.Name+" "+s.now().Format(time.DateOnly)+".csv", sheet.MediaType, func(to io.Writer) error {
		return s.services.Lists.Write(c.Request.Context(), actor, kind.Name, ask, to)
	})
	if answerable(err) && !c.Writer.Written() {
		return s.showLists(c, http.StatusUnprocessableEntity, err)
	}
	return err
}

// listForm is the form that was asked for.
func listForm(c *gin.Context) (sheet.Form, error) {
	form, known := sheet.FormNamed(c.Query("form"))
	if !known {
		return form, models.Invalid("form", "unknown_choice", "typed", models.Shortened(c.Query("form")))
	}
	return form, nil
}

// exampleList sends a list with headings and one row.
func exampleList(c *gin.Context, kind lists.Kind) error {
	form, err := listForm(c)
	if err != nil {
		return err
	}
	return httpx.SendFile(c, kind.Name+" example.csv", sheet.MediaType, func(to io.Writer) error { return kind.Example(sheet.NewWriter(to, form)) })
}
