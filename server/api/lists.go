package api

import (
	"io"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/sheet"
	"tracewright/models/work/lists"
	"tracewright/server/httpx"
)

// listReport is what came of looking at a list.
type listReport struct {
	Kind     string        `json:"kind"`
	Digest   string        `json:"digest"`
	TakenIn  bool          `json:"taken_in"`
	Rows     int           `json:"rows"`  // below the heading
	New      int           `json:"new"`   // to be taken in, or taken in
	Same     int           `json:"same"`  // on record already
	Given    int           `json:"given"` // of the new ones: get a code or serial of the shop
	Problems []listProblem `json:"problems"`
	Notes    []remark      `json:"notes"`
}

// listProblem is one thing wrong with a list.
type listProblem struct {
	Row     int               `json:"row,omitempty"` // as a spreadsheet counts
	Column  string            `json:"column,omitempty"`
	Code    string            `json:"code"`
	Values  map[string]string `json:"values,omitempty"`
	Message string            `json:"message"`
}

func listReportOf(r lists.Report, takenIn bool) listReport {
	out := listReport{Kind: r.Kind, Digest: r.Digest, TakenIn: takenIn, Rows: r.Rows, New: r.New, Same: r.Same, Given: r.Given, Problems: make([]listProblem, len(r.Problems)), Notes: remarks(r.Notes)}
	for i, p := range r.Problems {
		out.Problems[i] = listProblem{p.Row, p.Column, p.Code, p.Values, english.Say(p.Code, english.Readable(p.Values))}
	}
	return out
}

// listRoutes has a route for each kind of list: each asks for its own act.
func (a *api) listRoutes() []httpx.Route {
	var routes []httpx.Route
	for _, k := range lists.Kinds() {
		if k.In != "" {
			routes = append(routes, httpx.Route{Method: http.MethodPost, Path: Base + "/imports/" + k.Name, Act: k.In, Asked: []string{"dry_run", "digest"}, File: true, Handler: func(c *gin.Context) error { return a.importList(c, k) }})
		}
		asked := []string{"form"}
		if k.Names {
			asked = append(asked, "names")
		}
		if k.Names || k.Personal {
			asked = append(asked, "reason")
		}
		routes = append(routes, get("/exports/"+k.Name, k.Out, func(c *gin.Context) error { return a.exportList(c, k) }, asked...))
	}
	return routes
}

// importList looks at a list, or takes it in where dry_run is false.
func (a *api) importList(c *gin.Context, kind lists.Kind) error {
	values := query(c)
	dry, err := yesOrNo(values, "dry_run", true)
	if err != nil {
		return err
	}
	file, err := httpx.ReadFile(c, lists.MostBytes)
	switch {
	case err != nil:
		return err
	case file.TooLarge:
		return models.Invalid("", "too_large", "most", "10 MB")
	}
	ctx, actor := c.Request.Context(), httpx.Actor(c)
	if dry {
		report, err := a.services.Lists.Try(ctx, actor, kind.Name, file.Bytes)
		if err != nil {
			return err
		}
		return answer(c, http.StatusOK, listReportOf(report, false))
	}
	report, err := a.services.Lists.TakeIn(ctx, actor, kind.Name, file.Bytes, values["digest"])
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, listReportOf(report, true))
}

// yesOrNo reads a choice of true and false.
func yesOrNo(values map[string]string, name string, unsaid bool) (bool, error) {
	switch values[name] {
	case "":
		return unsaid, nil
	case "true":
		return true, nil
	case "false":
		return false, nil
	}
	return false, models.Invalid(name, "unknown_choice", "typed", models.Shortened(values[name]))
}

// exportList writes a list out.
func (a *api) exportList(c *gin.Context, kind lists.Kind) error {
	values := query(c)
	form, known := sheet.FormNamed(values["form"])
	if !known {
		return models.Invalid("form", "unknown_choice", "typed", models.Shortened(values["form"]))
	}
	names, err := yesOrNo(values, "names", false)
	if err != nil {
		return err
	}
	ask := lists.Ask{Form: form, Names: names, Reason: values["reason"]}
	return httpx.SendFile(c, kind.Name+".csv", sheet.MediaType, func(to io.Writer) error {
		return a.services.Lists.Write(c.Request.Context(), httpx.Actor(c), kind.Name, ask, to)
	})
}
