package web

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// StudyForm plans a gauge study: which design first, then what it needs.
type StudyForm struct {
	Frame
	Design   string
	Designs  []StudyDesign
	About    Field
	Gauge    Field
	Persons  []PersonBox
	Who      string // what is wrong with them
	Items    Field
	Repeats  Field
	Note     Field
	Problems Problems
}

// StudyDesign is one of the designs, with what it answers.
type StudyDesign struct {
	Code, Text, Answers string
	On                  bool
}

// PersonBox ticks a person who takes part.
type PersonBox struct {
	ID, Name string
	On       bool
}

// answersOf says what each design is for.
var answersOf = map[string]string{
	models.StudyCrossed:   "How much of what is read is the gauge, how much the person, and is it good enough for the tolerance?",
	models.StudyBias:      "Does the gauge read beside a reference?",
	models.StudyLinearity: "Does it read beside the reference more at one end of the range than at the other?",
	models.StudyStability: "Does it read the same today as last month?",
}

func (s *site) newStudy(c *gin.Context) error { return s.showStudyForm(c, http.StatusOK, nil) }

func (s *site) showStudyForm(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	given := func(name string) string {
		if v, sent := c.GetPostForm(name); sent {
			return v
		}
		return c.Query(name)
	}
	f := newForm(given, itemLines(problem))
	page := StudyForm{Frame: s.frame(c, "Plan a gauge study", "/studies"), Design: cmp.Or(given("design"), models.StudyCrossed)}
	usual, known := studies.Usual[page.Design]
	if !known {
		page.Design, usual = models.StudyCrossed, studies.Usual[models.StudyCrossed]
	}
	for _, d := range studies.Designs() {
		page.Designs = append(page.Designs, StudyDesign{Code: d, Text: words.Sentence(english.Design(d)), Answers: answersOf[d], On: d == page.Design})
	}
	about, err := s.studied(c)
	if err != nil {
		return err
	}
	page.About = f.field(Field{Name: "about", Label: "What is read", Kind: "select", Width: "w8", Choices: about, Hint: "Limited results that a gauge reads directly; the tolerance is the one in force now."})
	page.About.Problem = cmp.Or(f.take("result", "family"), page.About.Problem)
	gauges, err := s.services.Gauges.Instruments(ctx)
	if err != nil {
		return err
	}
	list := []Choice{{"", "choose the gauge"}}
	for _, g := range gauges {
		if g.Instrument.State != models.InstrumentRetired {
			kind, called := kindAndName(g.Instrument)
			list = append(list, Choice{g.Instrument.Code, strings.TrimSuffix(g.Instrument.Code+", "+kind+" "+called, " ")})
		}
	}
	page.Gauge = f.field(Field{Name: "instrument", Label: "Gauge", Kind: "select", Width: "w4", Choices: list})
	people, err := s.services.Access.People(ctx)
	if err != nil {
		return err
	}
	chosen := map[string]bool{}
	for _, id := range c.PostFormArray("persons") {
		chosen[id] = true
	}
	for _, p := range people {
		if p.Active && models.Permitted(p.Role, models.ActRecord) {
			page.Persons = append(page.Persons, PersonBox{p.ID, p.Name, chosen[p.ID]})
		}
	}
	page.Who = f.take("persons", "persons[0]", "persons[1]", "persons[2]")
	items := Field{Name: "items", Label: "Items, a line each", Kind: "text area", Hint: "Serials, or names that are marked on them. Take items that differ as the work does."}
	switch page.Design {
	case models.StudyBias, models.StudyLinearity:
		items.Label, items.Hint = "References with their values, a line each", "A name, then the value: Hung weight 1000. The value in the unit of the limit."
	case models.StudyStability:
		items.Label, items.Hint = "The reference", "One that does not change: a wheel kept for it, a shunt."
	}
	if page.Design == models.StudyCrossed && given("items") == "" && problem == nil {
		items.Value = numberedItems(usual.Items)
	}
	page.Items = f.field(items)
	page.Repeats = f.field(Field{Name: "repeats", Label: repeatsLabel(page.Design), Mode: "numeric", Width: "w4", Value: cmp.Or(given("repeats"), strconv.Itoa(usual.Repeats))})
	page.Note = f.field(Field{Name: "note", Label: "Note", Width: "w8", Optional: true})
	page.Problems = f.summary()
	return send(c, status, "study_form", page)
}

func repeatsLabel(design string) string {
	switch design {
	case models.StudyCrossed:
		return "How often each person reads each item"
	case models.StudyStability:
		return "How many checks"
	}
	return "How often each reference is read"
}

// numberedItems are lines to be written over.
func numberedItems(n int) string {
	lines := make([]string, n)
	for i := range lines {
		lines[i] = fmt.Sprintf("Item %d", i+1)
	}
	return strings.Join(lines, "\n")
}

// studied are the results that a study can be about, of every family.
func (s *site) studied(c *gin.Context) ([]Choice, error) {
	ctx := c.Request.Context()
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return nil, err
	}
	list := []Choice{{"", "choose the result"}}
	for _, family := range families {
		spec, err := s.services.Specify.InForce(ctx, family.ID, nil)
		if errors.Is(err, models.ErrNotFound) {
			continue
		}
		if err != nil {
			return nil, err
		}
		for _, x := range studies.StudiedOf(spec) {
			list = append(list, Choice{family.ID + "/" + x.Limit.Result, family.Name + ": " + lowered(english.Result(x.Limit.Result)) + ", " + between(x.Limit.Low, x.Limit.High, x.Limit.Unit)})
		}
	}
	return list, nil
}

func (s *site) planStudy(c *gin.Context) error {
	v, err := s.services.Studies.Plan(c.Request.Context(), httpx.Actor(c), postedStudy(c))
	if answerable(err) {
		return s.showStudyForm(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, studyPath(v.Study.Number), "study")
}

func postedStudy(c *gin.Context) studies.Plan {
	in := studies.Plan{Design: c.PostForm("design"), Instrument: c.PostForm("instrument"), Persons: c.PostFormArray("persons"), Note: c.PostForm("note")}
	in.FamilyID, in.Result, _ = strings.Cut(c.PostForm("about"), "/")
	in.Repeats, _ = strconv.Atoi(strings.TrimSpace(c.PostForm("repeats")))
	if in.Repeats == 0 && strings.TrimSpace(c.PostForm("repeats")) != "" {
		in.Repeats = -1 // No number: too small, and not the usual.
	}
	withReference := in.Design == models.StudyBias || in.Design == models.StudyLinearity
	for _, line := range strings.Split(c.PostForm("items"), "\n") {
		if line = strings.TrimSpace(line); line == "" {
			continue
		}
		item := models.StudyItem{Name: line}
		if withReference {
			item = referenceOf(line)
		}
		in.Items = append(in.Items, item)
	}
	return in
}

// referenceOf reads a line of a name and a value; the unit behind it may be typed.
func referenceOf(line string) models.StudyItem {
	words := strings.Fields(line)
	for k := len(words) - 1; k > 0; k-- {
		if strings.ContainsAny(words[k], "0123456789") {
			return models.StudyItem{Name: strings.Join(words[:k], " "), Reference: words[k]}
		}
	}
	if strings.ContainsAny(line[:1], "-0123456789.,") {
		return models.StudyItem{Name: "Reference " + line, Reference: line}
	}
	return models.StudyItem{Name: line}
}

var itemAt = regexp.MustCompile(`^items\[(\d+)\]`)

// itemLines puts the problems of single items to the field that they were typed in,
// with the line.
func itemLines(err error) error {
	var invalid *models.InvalidError
	if !errors.As(err, &invalid) {
		return err
	}
	out := &models.InvalidError{}
	for _, p := range invalid.Problems {
		if itemAt.MatchString(p.Field) {
			p.Field = "items"
		}
		out.Problems = append(out.Problems, p)
	}
	return out
}
