package web

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/labels"
	"tracewright/reports/pdf"
	"tracewright/server/httpx"
)

// LabelPage chooses how labels are printed: of an item, a lot, a roll printed
// ahead, the boxes of a shipment, or of several items at once.
type LabelPage struct {
	Frame
	About    string // kicker: what they are for
	Mono     bool
	Title    string
	Says     string
	Lacks    string   // that its letters lack a sign
	Printed  []string // what was printed of it before
	Path     string   // of the form
	Look     string   // where the labels are shown without being counted
	Back     string
	Fields   []Field
	Problems Problems
}

// labelSource is what a page of labels prints.
type labelSource struct {
	page   LabelPage
	file   string            // name of the PDF
	hub    bool              // a hub mark is offered too
	copies string            // how the number of copies is asked for; empty: it is not
	usual  string            // what an empty number of copies means; empty: one
	filled map[string]string // what the form begins with, beside the usual size
	asks   []string          // fields beside the usual ones, which the PDF needs too
	fields func(f *form) []Field
	batch  func(ctx context.Context, value func(string) string, ask labels.Ask) (labels.Batch, error)
}

// labelRoutes are the pages that print labels: of each source the page, its
// form, and the PDF. A print changes nothing about what it is for, so everybody
// may print; it is counted under their name.
func (s *site) labelRoutes() []httpx.Route {
	var routes []httpx.Route
	for _, x := range []struct {
		path   string
		source func(*gin.Context) (labelSource, error)
	}{
		{"/items/:serial/label", s.itemLabel},
		{"/lots/:code/label", s.lotLabel},
		{"/rolls/:id/labels", s.rollLabels},
		{"/shipments/:number/labels", s.boxLabels},
		{"/labels", s.manyLabels},
	} {
		with := func(do func(*gin.Context, labelSource) error) httpx.Handler {
			return func(c *gin.Context) error {
				source, err := x.source(c)
				if err != nil {
					return err
				}
				return do(c, source)
			}
		}
		routes = append(routes,
			httpx.Route{Method: http.MethodGet, Path: x.path, Act: models.ActLook, Handler: with(s.askLabels)},
			httpx.Route{Method: http.MethodPost, Path: x.path, Act: models.ActPrint, Handler: with(s.printLabels)},
			httpx.Route{Method: http.MethodGet, Path: x.path + ".pdf", Act: models.ActLook, Handler: with(s.labelsPDF)})
	}
	return routes
}

// labelFields are the questions about size, symbol and place.
func (s *site) labelFields(ctx context.Context, f *form, source labelSource) ([]Field, error) {
	sheet := ""
	for _, size := range models.LabelSizes {
		next, err := s.services.Labels.NextPlace(ctx, size)
		if err != nil {
			return nil, err
		}
		if next > 1 {
			sheet += fmt.Sprintf(" The last sheet of %d goes on at %d.", size.PerSheet(), next)
		}
	}
	symbols := []Choice{{"", "Usual for the size"}}
	for _, symbol := range models.Symbols {
		symbols = append(symbols, Choice{symbol, english.Symbol(symbol)})
	}
	fields := []Field{
		f.field(Field{Name: "size", Label: "Label", Kind: "select", Width: "w6", Choices: labelSizes()}),
		f.field(Field{Name: "symbol", Label: "Code", Kind: "select", Width: "w6", Choices: symbols}),
	}
	if source.hub {
		fields = append(fields, f.field(Field{Name: "kind", Label: "What for", Kind: "select", Width: "w6", Choices: []Choice{{models.LabelItem, "A label"}, {models.LabelHub, "A mark on the hub: the serial alone"}}}))
	}
	if source.copies != "" {
		fields = append(fields, f.field(Field{Name: "copies", Label: source.copies, Mode: "numeric", Width: "w6", Optional: true, Hint: "Empty: " + firstOf(source.usual, "one") + "."}))
	}
	return append(fields, f.field(Field{Name: "place", Label: "First free place of a sheet", Mode: "numeric", Width: "w6", Optional: true, Hint: "Counted row by row. Empty: where the last one stopped." + sheet})), nil
}

func labelSizes() []Choice {
	sizes := make([]Choice, len(models.LabelSizes))
	for i, size := range models.LabelSizes {
		sizes[i] = Choice{size.Code, english.LabelSize(size.Code)}
	}
	return sizes
}

// askLabels shows the page of a source.
func (s *site) askLabels(c *gin.Context, source labelSource) error {
	settings, err := s.services.Shop.Settings(c.Request.Context())
	if err != nil {
		return err
	}
	values := map[string]string{"size": settings.LabelSize}
	maps.Copy(values, source.filled)
	return s.showLabels(c, source, http.StatusOK, filled(values))
}

func (s *site) showLabels(c *gin.Context, source labelSource, status int, f *form) error {
	fields, err := s.labelFields(c.Request.Context(), f, source)
	if err != nil {
		return err
	}
	page := source.page
	if source.fields != nil {
		page.Fields = source.fields(f)
	}
	page.Fields = append(page.Fields, fields...)
	page.Problems = f.summary()
	if b, err := labelBatch(c.Request.Context(), source, f.value); err == nil && lackLetters(b) {
		page.Lacks = english.Say("label.signs_replaced", nil)
	}
	return send(c, status, "label", page)
}

// lackLetters says whether a label holds a sign that is printed as a question mark.
func lackLetters(b labels.Batch) bool {
	return slices.ContainsFunc(b.Labels, func(l models.LabelContent) bool {
		said, err := json.Marshal(l)
		return err == nil && pdf.Lacks(string(said))
	})
}

// labelBatch makes what was asked for.
func labelBatch(ctx context.Context, source labelSource, value func(string) string) (labels.Batch, error) {
	ask, err := labels.AskOf(value)
	if err != nil {
		return labels.Batch{}, err
	}
	return source.batch(ctx, value, ask)
}

// labelsPDF shows labels in the browser. Looking is no print.
func (s *site) labelsPDF(c *gin.Context, source labelSource) error {
	batch, err := labelBatch(c.Request.Context(), source, c.Query)
	var pdf []byte
	if err == nil {
		pdf, err = s.services.Labels.Draw(batch)
	}
	if answerable(err) {
		return s.showLabels(c, source, http.StatusUnprocessableEntity, newForm(c.Query, err))
	}
	if err != nil {
		return err
	}
	return sendPDF(c, source.file, pdf)
}

// printLabels counts a print and goes on to its PDF, at the place of the sheet
// that was counted.
func (s *site) printLabels(c *gin.Context, source labelSource) error {
	ctx := c.Request.Context()
	batch, err := labelBatch(ctx, source, c.PostForm)
	if err == nil {
		_, err = s.services.Labels.Count(ctx, httpx.Actor(c), batch)
	}
	if answerable(err) {
		return s.showLabels(c, source, http.StatusUnprocessableEntity, posted(c, err))
	}
	if err != nil {
		return err
	}
	query := url.Values{"size": {batch.Size.Code}}
	if batch.Place > 0 {
		query.Set("place", strconv.Itoa(batch.Place))
	}
	for _, name := range append([]string{"symbol", "copies", "kind"}, source.asks...) {
		if v := c.PostForm(name); v != "" {
			query.Set(name, v)
		}
	}
	c.Redirect(http.StatusSeeOther, source.page.Look+"?"+query.Encode())
	return nil
}

// printedLines say what was printed before, newest first.
func (s *site) printedLines(prints []models.LabelPrint, people map[string]string) []string {
	var lines []string
	for i := len(prints) - 1; i >= 0; i-- {
		lines = append(lines, s.minute(prints[i].PrintedAt)+", "+name(people, prints[i].PrintedBy)+": "+printSays(prints[i]))
	}
	return lines
}

// printSays is one print in words: "2 labels, 62 × 29 mm".
func printSays(p models.LabelPrint) string {
	text := plural(p.N, "label", "labels")
	switch p.What {
	case models.LabelHub:
		text = plural(p.N, "hub mark", "hub marks")
	case models.LabelBox:
		text = plural(p.N, "box label", "box labels")
	}
	if p.Size != "" {
		text += ", " + english.LabelSize(p.Size)
	}
	if p.Place > 0 {
		text += fmt.Sprintf(", from place %d", p.Place)
	}
	if p.First != "" {
		text += ", " + words.Serial(p.First) + " to " + words.Serial(p.Last)
	}
	return text
}
