package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/assembly"
	"tracewright/models/work/trace"
	"tracewright/server/httpx"
)

// PartsPage is what is built into an item, to be changed: taken out, swapped, put
// in.
type PartsPage struct {
	Frame
	Serial, Path string
	Answer       string
	Rows         []PartRow
	Gone         []string // what was taken out, the last first
	Fields       []Field
	Problems     Problems
}

// PartRow is one fitting that is in the item.
type PartRow struct {
	Label  string
	Spans  []Span
	Fitted string
	Path   string // of its taking out
}

// rolesOf are the roles that parts of a kind of item have.
func rolesOf(kind string) []string {
	switch kind {
	case models.KindWheel:
		return []string{"motor", "rim", "spokes_a", "spokes_b", "nipples"}
	case models.KindPack:
		return []string{"block", "connector", "harness", "fuse", "case"}
	}
	return models.PartRoles
}

func (s *site) partsPage(c *gin.Context) error { return s.showParts(c, http.StatusOK, nil) }

func (s *site) showParts(c *gin.Context, status int, problem error) error {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return err
	}
	return send(c, status, "parts", s.partsOf(s.frame(c, "What is in "+words.Serial(v.Item.Name()), ""), v, posted(c, problem)))
}

func (s *site) partsOf(frame Frame, v trace.ItemView, f *form) PartsPage {
	p := PartsPage{Frame: frame, Serial: words.Serial(v.Item.Name()), Path: itemPath(pointed(v.Item.Serial), v.Item.ID), Answer: "Nothing is recorded as built in"}
	p.Gone = s.gone(v)
	for _, x := range v.Parts {
		if x.InNow() {
			p.Rows = append(p.Rows, PartRow{partLabel(x.Part), partSpans(x, x.Part.Left()), s.day(x.Part.FittedAt) + ", " + name(v.People, x.Part.FittedBy), p.Path + "/parts/" + x.Part.ID})
		}
	}
	if n := len(p.Rows); n > 0 {
		p.Answer = counted(n, "entry says what is in it", "entries say what is in it")
	}
	p.Fields = []Field{
		f.field(Field{Name: "named", Label: "Scan or type a lot or a number", Mono: true, Width: "w8", Focus: true}),
		f.field(Field{Name: "role", Label: "As what", Kind: "select", Width: "w4", Choices: choices(rolesOf(v.Item.Kind), func(r string) string { return words.Sentence(english.Part(r)) })}),
		f.field(Field{Name: "place", Label: "Place", Mono: true, Width: "w4", Optional: true, Hint: placeHint(v.Item.Kind)}),
		f.field(Field{Name: "quantity", Label: "Pieces", Mode: "numeric", Width: "w4", Optional: true, Hint: "Of a lot. Empty: 1."}),
		f.field(Field{Name: "reason", Label: "Why more than the lot has", Width: "w8", Optional: true}),
	}
	p.Problems = f.summary()
	return p
}

func placeHint(kind string) string {
	if kind == models.KindPack {
		return "String and block: 1.3"
	}
	return ""
}

func partLabel(p models.FittedPart) string {
	label := words.Sentence(english.Part(p.Role))
	if p.Place != "" {
		label += " " + p.Place
	}
	return label
}

// partSpans names a part: pieces of a lot, or its number.
func partSpans(p trace.PartView, pieces int) []Span {
	if p.Lot != nil {
		spans := []Span{{Text: "lot "}, {Text: p.Lot.Code, Mono: true, Path: lotPath(p.Lot.Code)}}
		if p.Lot.Description != "" {
			spans = append(spans, Span{Text: " " + p.Lot.Description})
		}
		if pieces > 1 {
			spans = append([]Span{{Text: fmt.Sprintf("%d of ", pieces)}}, spans...)
		}
		return spans
	}
	if p.Item == nil {
		return nil
	}
	number := pointed(p.Item.MakerNumber)
	if number == "" {
		number = words.Serial(p.Item.Name())
	}
	return []Span{{Text: number, Mono: true, Path: itemPath(pointed(p.Item.Serial), p.Item.ID)}, {Text: strings.TrimRight(" "+p.Item.Supplier+" "+p.Item.Model, " ")}}
}

// gone lists what was taken out of an item, the last first.
func (s *site) gone(v trace.ItemView) []string {
	type line struct {
		at   time.Time
		text string
	}
	var lines []line
	for _, p := range v.Parts {
		for _, r := range p.Out {
			lines = append(lines, line{r.RemovedAt, s.takenOut(v, p, r)})
		}
	}
	slices.SortStableFunc(lines, func(a, b line) int { return b.at.Compare(a.at) })
	var out []string
	for _, l := range lines {
		out = append(out, l.text)
	}
	return out
}

// takenOut says in one line what was taken out, when, by whom and why.
func (s *site) takenOut(v trace.ItemView, p trace.PartView, r models.PartRemoval) string {
	text := partLabel(p.Part) + ": "
	for _, span := range partSpans(p, r.Quantity) {
		text += span.Text
	}
	text += ", " + s.day(r.RemovedAt) + ", " + name(v.People, r.RemovedBy) + ": " + english.Removal(r.Code)
	if r.Reason != "" {
		text += " (" + r.Reason + ")"
	}
	return text + "; " + english.Fate(r.Fate) + "."
}

func (s *site) addParts(c *gin.Context) error {
	in, err := partIn(c)
	if err == nil {
		_, err = s.services.Assembly.Change(c.Request.Context(), httpx.Actor(c), c.Param("serial"), assembly.Change{In: []assembly.In{in}})
	}
	if answerable(err) {
		return s.showParts(c, http.StatusUnprocessableEntity, flat(err, "in[0]."))
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(c.Param("serial"), c.Param("serial"))+"/parts", "fitted")
}

// partIn is the part that a form puts in.
func partIn(c *gin.Context) (assembly.In, error) {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	in := assembly.In{SentPart: models.SentPart{Role: text("role"), Place: text("place")}, Named: text("named"), Reason: text("reason")}
	n, err := piecesIn(text("quantity"))
	in.Quantity = n
	return in, err
}

// piecesIn reads a number of pieces; nothing is 0.
func piecesIn(typed string) (int, error) {
	if typed == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(typed)
	if err != nil {
		return 0, models.Invalid("quantity", "not_a_number", "typed", models.Shortened(typed))
	}
	return n, nil
}

// flat calls the problems of one entry by the names of a form's fields; a lot or
// number stands in one field.
func flat(err error, prefix string) error {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		p.Field = strings.TrimPrefix(p.Field, prefix)
		if p.Field == "lot" || p.Field == "number" || p.Field == "in" {
			p.Field = "named"
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}

func (s *site) takeOutPage(c *gin.Context) error { return s.showTakeOut(c, http.StatusOK, nil) }

// showTakeOut asks for how many, why and where to, and what goes in instead.
func (s *site) showTakeOut(c *gin.Context, status int, problem error) error {
	v, part, err := s.fitted(c)
	if err != nil {
		return err
	}
	f := posted(c, problem)
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	what := ""
	for _, span := range partSpans(part, part.Part.Left()) {
		what += span.Text
	}
	page := ConfirmPage{Frame: s.frame(c, "Take a part out", ""), About: words.Serial(v.Item.Name()), Mono: true, Title: "Take out: " + strings.ToLower(partLabel(part.Part)[:1]) + partLabel(part.Part)[1:] + ", " + what,
		Button: "Take it out", Path: path + "/parts/" + part.Part.ID, Back: path + "/parts",
		Says: []string{"It stays on the record with your name and the time. Unless the record was wrong, the item is measured again before it goes out."}}
	why := append([]Choice{{"", "choose"}}, choices(models.RemovalCodes, func(code string) string { return words.Sentence(english.Removal(code)) })...)
	where := append([]Choice{{"", "choose"}}, choices(models.Fates, func(code string) string { return words.Sentence(english.Fate(code)) })...)
	if part.Part.Left() > 1 {
		page.Fields = append(page.Fields, f.field(Field{Name: "quantity", Label: "How many", Mode: "numeric", Optional: true, Hint: "Empty: all " + strconv.Itoa(part.Part.Left()) + "."}))
	}
	page.Fields = append(page.Fields,
		f.field(Field{Name: "code", Label: "Why", Kind: "select", Choices: why, Focus: true}),
		f.field(Field{Name: "fate", Label: "Where it goes", Kind: "select", Choices: where}),
		f.field(Field{Name: "reason", Label: "In a few words", Kind: "text area", Optional: true}),
		f.field(Field{Name: "named", Label: "In its place: lot or number", Mono: true, Optional: true, Hint: "Empty: nothing goes in yet."}))
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

// fitted finds the fitting that the address names, while it is in.
func (s *site) fitted(c *gin.Context) (trace.ItemView, trace.PartView, error) {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return v, trace.PartView{}, err
	}
	at := slices.IndexFunc(v.Parts, func(p trace.PartView) bool { return p.Part.ID == c.Param("fitted") && p.InNow() })
	if at < 0 {
		return v, trace.PartView{}, fmt.Errorf("part %.40q in %s: %w", c.Param("fitted"), v.Item.Name(), models.ErrNotFound)
	}
	return v, v.Parts[at], nil
}

func (s *site) takeOut(c *gin.Context) error {
	v, part, err := s.fitted(c)
	if err != nil {
		return err
	}
	in, err := partIn(c)
	if err == nil {
		change := assembly.Change{Out: []assembly.Out{{Fitted: part.Part.ID, Quantity: in.Quantity, Code: c.PostForm("code"), Fate: c.PostForm("fate"), Reason: in.Reason}}}
		if in.Named != "" {
			in.Role, in.Place, in.Reason = part.Part.Role, part.Part.Place, ""
			if part.Lot == nil {
				in.Quantity = 0
			} else if in.Quantity == 0 {
				in.Quantity = part.Part.Left()
			}
			change.In = []assembly.In{in}
		}
		_, err = s.services.Assembly.Change(c.Request.Context(), httpx.Actor(c), v.Item.ID, change)
	}
	if answerable(err) {
		return s.showTakeOut(c, http.StatusUnprocessableEntity, flat(flat(err, "out[0]."), "in[0]."))
	}
	if err != nil {
		return err
	}
	return redirect(c, itemPath(pointed(v.Item.Serial), v.Item.ID)+"/parts", "taken_out")
}
