package web

import (
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/lists"
	"tracewright/server/httpx"
)

// ListInPage takes a list in: first it is looked at, and what is wrong is said row
// by row; then it is confirmed as it was looked at. The list goes to the browser
// and comes back, so that no copy of it lies here.
type ListInPage struct {
	Frame
	Kind, Title, Answer string
	Says                string
	Path, Example       string
	Columns             []ListColumn
	Sum                 string   // what came of looking at it
	Notes               []string // worth saying, nothing wrong
	Rows                []ListProblem
	Rest                string // problems that are not shown
	Ready               string // of the button that takes it in; empty: there is nothing to take in
	Heads               []string
	First               [][]ListCell // of the first rows
	Text, Digest        string
	File                Field
	Problems            Problems
	Looked              bool
}

// ListColumn is a column with what may stand in it.
type ListColumn struct {
	Name, Says, Example string
	Needed              bool
}

// ListCell is one cell under its heading.
type ListCell struct{ Head, Text string }

// ListProblem is one thing that is wrong.
type ListProblem struct{ Row, Column, Says string }

// mostProblems is how many a page shows: whoever has more puts a column right.
const mostProblems = 300

func (s *site) listInPage(c *gin.Context, kind lists.Kind) error {
	return send(c, http.StatusOK, "list_in", s.listIn(c, kind, nil))
}

func (s *site) listIn(c *gin.Context, kind lists.Kind, problem error) ListInPage {
	page := listInOf(s.frame(c, "Take in a list", "/lists"), kind)
	f := posted(c, problem)
	page.File = f.field(page.File)
	page.Problems = f.summary()
	return page
}

func listInOf(frame Frame, kind lists.Kind) ListInPage {
	name := english.List(kind.Name)
	page := ListInPage{Frame: frame, Kind: name, Title: "Take in " + name, Says: english.ListSays(kind.Name), Path: "/lists/in/" + kind.Name, Example: "/lists/example/" + kind.Name}
	page.Answer = page.Title
	for _, col := range kind.Columns {
		if !col.Follows {
			page.Columns = append(page.Columns, ListColumn{col.Name, english.Column(kind.Name, col.Name), col.Example, col.Needed})
		}
	}
	page.File = Field{Name: "file", Label: "A CSV file", Kind: "file", Accept: ".csv,.txt,text/csv", Optional: true, Hint: "As a spreadsheet saves it, 10 MB and 20 000 rows at most."}
	return page
}

// takeListIn looks at the list that was sent, or takes it in.
func (s *site) takeListIn(c *gin.Context, kind lists.Kind) error {
	file, err := httpx.ReadFile(c, lists.MostBytes)
	switch {
	case answerable(err):
		return send(c, http.StatusUnprocessableEntity, "list_in", s.listIn(c, kind, err))
	case err != nil:
		return err
	case file.TooLarge:
		return send(c, http.StatusUnprocessableEntity, "list_in", s.listIn(c, kind, models.Invalid("file", "too_large", "most", "10 MB")))
	case len(file.Bytes) == 0:
		return send(c, http.StatusUnprocessableEntity, "list_in", s.listIn(c, kind, models.Invalid("file", "missing")))
	}
	ctx, actor := c.Request.Context(), httpx.Actor(c)
	if file.Fields.Get("take") == "" {
		report, err := s.services.Lists.Try(ctx, actor, kind.Name, file.Bytes)
		if err != nil {
			return err
		}
		page := s.listIn(c, kind, nil)
		page.looked(report)
		return send(c, http.StatusOK, "list_in", page)
	}
	report, err := s.services.Lists.TakeIn(ctx, actor, kind.Name, file.Bytes, file.Fields.Get("digest"))
	if answerable(err) {
		page := s.listIn(c, kind, nil)
		if report.Err() == nil { // The list is good; something else stands against it.
			page = s.listIn(c, kind, err)
		}
		page.looked(report)
		return send(c, http.StatusUnprocessableEntity, "list_in", page)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/lists", "list")
}

// looked shows what came of looking at a list.
func (p *ListInPage) looked(r lists.Report) {
	p.Looked, p.Text, p.Digest, p.Heads = true, r.Text, r.Digest, r.Heads
	p.File.Label = "Choose the file again"
	for _, row := range r.First {
		cells := make([]ListCell, len(row))
		for i, text := range row {
			cells[i] = ListCell{r.Heads[i], text}
		}
		p.First = append(p.First, cells)
	}
	for _, n := range r.Notes {
		p.Notes = append(p.Notes, say(n))
	}
	for _, x := range r.Problems[:min(len(r.Problems), mostProblems)] {
		row := ListProblem{Column: x.Column, Says: english.Say(x.Code, english.Readable(x.Values))}
		if x.Row > 0 {
			row.Row = strconv.Itoa(x.Row)
		}
		p.Rows = append(p.Rows, row)
	}
	if more := len(r.Problems) - len(p.Rows); more > 0 {
		p.Rest = fmt.Sprintf("And %d more.", more)
	}
	p.Sum = plural(r.Rows, "row", "rows") + " below the heading"
	switch bad := r.BadRows(); {
	case bad > 0:
		p.Answer = counted(bad, "row needs a look", "rows need a look")
		if r.Rows == 0 {
			p.Answer, p.Sum = "This list cannot be read", ""
			break
		}
		p.Sum += ". Nothing is taken in until every row is right."
	case r.New == 0:
		p.Answer, p.Sum = "All of it is on record already", p.Sum+"."
	default:
		p.Answer = counted(r.New, "row can be taken in", "rows can be taken in")
		p.Ready = "Take in " + plural(r.New, "row", "rows")
		if r.Same > 0 {
			p.Sum += ", " + strconv.Itoa(r.Same) + " on record already and passed over"
		}
		if r.Given > 0 {
			p.Sum += ". " + words.Sentence(plural(r.Given, "gets a number", "get a number")) + " of the shop"
		}
		p.Sum += ". Nothing is stored yet."
	}
}
