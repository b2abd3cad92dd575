package web

import (
	"cmp"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/gauge"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// BudgetsPage lists the newest uncertainty budget of each result.
type BudgetsPage struct {
	Frame
	Answer string
	Rows   []BudgetRow
	About  Field // to begin another
}

// BudgetRow is one of them.
type BudgetRow struct{ Of, Path, Result, U, Lines, Made string }

func (s *site) budgets(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := s.services.Studies.Budgets(ctx, "")
	if err != nil {
		return err
	}
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return err
	}
	names := map[string]string{}
	for _, f := range families {
		names[f.ID] = f.Name
	}
	page := BudgetsPage{Frame: s.frame(c, "Uncertainty budgets", "/budgets"), Answer: "No uncertainty budget yet"}
	seen := map[string]bool{}
	for _, b := range list {
		if key := b.FamilyID + b.Result; !seen[key] { // The newest of each comes first.
			seen[key] = true
			page.Rows = append(page.Rows, BudgetRow{Of: names[b.FamilyID], Path: "/budgets/" + b.ID, Result: english.Result(b.Result), U: words.Quantity(b.U, b.Unit), Lines: plural(len(b.Lines), "line", "lines"), Made: s.day(b.MadeAt)})
		}
	}
	if n := len(page.Rows); n > 0 {
		page.Answer = counted(n, "result has", "results have") + " an uncertainty budget"
	}
	if page.Actor.May(models.ActCalibrate) {
		about, err := s.studied(c)
		if err != nil {
			return err
		}
		page.About = Field{Name: "about", ID: "about", Label: "A budget for", Kind: "select", Width: "w8", Choices: about}
	}
	return show(c, "budgets", page)
}

// BudgetPage is one revision: what the uncertainty of a result is made of.
type BudgetPage struct {
	Frame
	Of, OfPath, Answer string
	Says               []string
	Lines              []BudgetLineRow
	Floor              string // what noise alone reads, of a full run-out reading
	Revise, Rule       string // paths
	Newest             bool
	Older              []Span
}

// BudgetLineRow is one component.
type BudgetLineRow struct{ Name, Path, Shape, Value, U, Share, Freedom string }

func (s *site) budget(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Studies.Budget(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	list, err := s.services.Studies.Budgets(ctx, v.FamilyID)
	if err != nil {
		return err
	}
	numbers, err := s.studyNumbers(c)
	if err != nil {
		return err
	}
	page := s.budgetPage(s.frame(c, "", "/budgets"), v, numbers)
	page.Tab = "Uncertainty: " + page.Of
	for _, b := range list {
		if b.Result == v.Result && b.ID != v.ID {
			page.Older = append(page.Older, Span{Text: fmt.Sprintf("revision %d, %s", b.Revision, s.day(b.MadeAt)), Path: "/budgets/" + b.ID})
		}
	}
	return show(c, "budget", page)
}

// studyNumbers are the numbers of studies by their ids.
func (s *site) studyNumbers(c *gin.Context) (map[string]int, error) {
	list, err := s.services.Studies.Studies(c.Request.Context())
	if err != nil {
		return nil, err
	}
	numbers := map[string]int{}
	for _, v := range list {
		numbers[v.Study.ID] = v.Study.Number
	}
	return numbers, nil
}

func (s *site) budgetPage(frame Frame, v studies.BudgetView, numbers map[string]int) BudgetPage {
	page := BudgetPage{Frame: frame, Of: v.Family.Name + ", " + lowered(english.Result(v.Result)), OfPath: "/families/" + v.FamilyID, Newest: v.Newest,
		Answer: fmt.Sprintf("Uncertainty %s, with a chance of %s %%", words.Quantity(v.U, v.Unit), percentOf(v.Coverage))}
	page.Lines = budgetRows(v, numbers)
	page.Says = budgetSays(v)
	made := fmt.Sprintf("Revision %d, %s, by %s", v.Revision, s.day(v.MadeAt), cmp.Or(v.By, "someone no longer listed"))
	if v.StudyID != nil {
		made += fmt.Sprintf(": gauge study %d was confirmed", numbers[*v.StudyID])
	} else {
		made += ": " + v.Reason
	}
	page.Says = append(page.Says, strings.TrimSuffix(made, ".")+".")
	if v.Floor != nil {
		page.Floor = floorWords(v)
	}
	if v.Newest {
		query := "?about=" + v.FamilyID + "/" + v.Result
		if frame.Actor.May(models.ActCalibrate) {
			page.Revise = "/budgets/new" + query
		}
		if frame.Actor.May(models.ActSpecify) {
			page.Rule = "/families/" + v.FamilyID + "/rule?result=" + v.Result
		}
	}
	return page
}

func budgetSays(v studies.BudgetView) []string {
	freedom := "infinitely many degrees of freedom"
	if v.Freedom != "" {
		freedom = v.Freedom + " degrees of freedom"
	}
	return []string{fmt.Sprintf("The lines combine to a standard uncertainty of %s; with %s the factor is %s.", words.Quantity(significantText(v.Combined), v.Unit), freedom, significantText(v.K))}
}

func significantText(text string) string {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return significant(x, 3)
}

// floorWords says what noise does to a full reading, honestly: it adds, and never
// takes away.
func floorWords(v studies.BudgetView) string {
	text := fmt.Sprintf("A full reading is the highest less the lowest of many, and noise only ever adds to it. With this scatter a perfectly true rim of %d holes reads about %s.", v.Floor.Points, figure(v.Floor.Mean, v.Unit))
	return text + " So a run-out near that says nothing of the rim, and the uncertainty does not lie evenly about the reading: a rule with a guard band would count it twice, and is not offered for a full reading."
}

func percentOf(coverage string) string {
	x, err := strconv.ParseFloat(coverage, 64)
	if err != nil {
		return coverage
	}
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(100*x, 'f', 2, 64), "0"), ".")
}

func budgetRows(v studies.BudgetView, numbers map[string]int) []BudgetLineRow {
	out := make([]BudgetLineRow, len(v.Lines))
	for i, l := range v.Lines {
		row := BudgetLineRow{Name: lineName(l, numbers), Shape: english.Shape(l.Shape), Value: words.Quantity(valueText(l), v.Unit), U: figure(v.Contributions[i].U, v.Unit), Share: perCent(100 * v.Contributions[i].Share), Freedom: "infinitely many"}
		switch {
		case l.Shape == string(gauge.Stated) && l.K != "":
			row.Shape = "stated with k = " + l.K
		case l.Shape == string(gauge.Repeats) && l.N > 1:
			row.Shape += fmt.Sprintf(", mean of %d", l.N)
		}
		if l.Sensitivity != "" {
			row.Shape += ", times " + words.Number(l.Sensitivity)
		}
		if x := v.Contributions[i].DoF; x > 0 {
			row.Freedom = strconv.FormatFloat(x, 'f', -1, 64)
		}
		if n := numbers[l.StudyID]; n > 0 {
			row.Path = studyPath(n)
		} else if l.Instrument != "" {
			row.Path = "/instruments/" + l.Instrument
		}
		out[i] = row
	}
	return out
}

// valueText is a figure as it was typed; one that was computed with three digits.
func valueText(l models.BudgetLine) string {
	if l.Source == models.FromStudy {
		return significantText(l.Value)
	}
	return l.Value
}

func lineName(l models.BudgetLine, numbers map[string]int) string {
	switch {
	case l.Source == models.FromStudy && numbers[l.StudyID] > 0:
		return fmt.Sprintf("%s, from study %d", words.Sentence(english.Studied(l.Name)), numbers[l.StudyID])
	case l.Source == models.FromTyped:
		return words.Sentence(l.Name)
	case l.Instrument != "":
		return words.Sentence(english.Source(l.Source)) + " of " + l.Instrument
	case l.Name != "":
		return words.Sentence(l.Name)
	}
	return words.Sentence(english.Source(l.Source))
}

// BudgetForm revises a budget. What the lines come to is shown before they are kept.
type BudgetForm struct {
	Frame
	Of, About, Back string
	From, Next      int
	Rows            []BudgetFormRow
	Coverage        Field
	Reason          Field
	Lines           []BudgetLineRow // worked out
	Says            []string
	Floor           string
	Confirming      bool
	Button          string
	Problems        Problems
}

// BudgetFormRow are the fields of one line, and what is carried along unseen.
type BudgetFormRow struct {
	N, N0                                                     int // as people count, and as the names do
	Source, Name, Shape, Value, K, Times, Sensitivity, Degree Field
	Study, Instrument                                         string
}

// spareLines are how many empty lines the form ends with.
const spareLines = 2

func (s *site) newBudget(c *gin.Context) error { return s.showBudgetForm(c, http.StatusOK, false, nil) }

func (s *site) showBudgetForm(c *gin.Context, status int, confirming bool, problem error) error {
	ctx := c.Request.Context()
	about := c.Query("about")
	if c.Request.Method == http.MethodPost {
		about = c.PostForm("about")
	}
	familyID, result, _ := strings.Cut(about, "/")
	family, err := s.services.Specify.Family(ctx, familyID)
	if err != nil {
		return err
	}
	limit, _, found := family.InForce.Limit(result)
	if !found {
		return fmt.Errorf("result %.40q of family %s: %w", result, family.Family.Name, models.ErrNotFound)
	}
	before, err := s.services.Studies.NewestBudget(ctx, familyID, result)
	if err != nil {
		return err
	}
	page := BudgetForm{Frame: s.frame(c, "Uncertainty budget", "/budgets"), Of: family.Family.Name + ", " + lowered(english.Result(result)), About: about, Back: "/budgets", Confirming: confirming, Button: "See what it comes to"}
	f, lines, coverage := filled(map[string]string{}), []models.BudgetLine(nil), "0.9545"
	if before != nil {
		page.From, page.Back, lines, coverage = before.Revision, "/budgets/"+before.ID, before.Lines, before.Coverage
	}
	if c.Request.Method == http.MethodPost {
		in, places := postedBudget(c)
		page.From, coverage = in.From, in.Coverage
		if confirming && problem == nil {
			v, err := s.services.Studies.Preview(ctx, in)
			if err != nil && !answerable(err) {
				return err
			}
			if problem = err; err == nil {
				numbers, err := s.studyNumbers(c)
				if err != nil {
					return err
				}
				page.Lines, page.Says = budgetRows(v, numbers), append([]string{fmt.Sprintf("Together: an uncertainty of %s.", words.Quantity(v.U, v.Unit))}, budgetSays(v)...)
				if v.Floor != nil {
					page.Floor = floorWords(v)
				}
			}
		}
		f, lines = posted(c, atLines(problem, "lines", places)), nil
		for i := range postedLines(c) {
			lines = append(lines, lineAt(c, i))
		}
		page.Confirming = confirming && problem == nil
	}
	page.Next = page.From + 1
	if page.Confirming {
		page.Button = fmt.Sprintf("Keep revision %d", page.Next)
	}
	page.fill(f, lines, limit.Unit, coverage)
	page.Problems = f.summary()
	return send(c, status, "budget_form", page)
}

func (p *BudgetForm) fill(f *form, lines []models.BudgetLine, unit, coverage string) {
	if n := len(lines); n == 0 || lines[n-1] != (models.BudgetLine{}) && lines[n-1].Value != "" {
		for range spareLines {
			lines = append(lines, models.BudgetLine{})
		}
	}
	for i, l := range lines {
		at := fmt.Sprintf("lines[%d].", i)
		field := func(x Field, value string) Field {
			x.Name, x.Optional, x.Value = at+x.Name, true, value
			x = f.field(x)
			x.Value = value
			return x
		}
		row := BudgetFormRow{N: i + 1, N0: i, Study: l.StudyID, Instrument: l.Instrument}
		row.Source = field(Field{Name: "source", Label: "Where it comes from", Kind: "select", Choices: append([]Choice{{"", "no line"}}, choices(studies.Sources(), english.Source)...)}, l.Source)
		row.Name = field(Field{Name: "name", Label: "What it is"}, l.Name)
		row.Shape = field(Field{Name: "shape", Label: "The figure is", Kind: "select", Choices: choices(studies.Shapes(), english.Shape)}, cmp.Or(l.Shape, string(gauge.Rectangular)))
		row.Value = field(Field{Name: "value", Label: "Figure", Mode: "decimal", Unit: words.Unit(unit)}, l.Value)
		row.K = field(Field{Name: "k", Label: "Factor k", Mode: "decimal"}, l.K)
		times := ""
		if l.N > 0 {
			times = strconv.Itoa(l.N)
		}
		row.Times = field(Field{Name: "n", Label: "Mean of", Mode: "numeric"}, times)
		row.Sensitivity = field(Field{Name: "sensitivity", Label: "Sensitivity", Mode: "decimal"}, l.Sensitivity)
		row.Degree = field(Field{Name: "freedom", Label: "Degrees of freedom", Mode: "decimal"}, l.Freedom)
		p.Rows = append(p.Rows, row)
	}
	p.Coverage = f.field(Field{Name: "coverage", Label: "Chance that it covers", Mode: "decimal", Width: "w4", Value: coverage, Hint: "0.9545 is the usual: the factor 2 where degrees of freedom are many."})
	p.Reason = f.field(Field{Name: "reason", Label: "Why it is revised", Kind: "text area", Hint: "Kept with the revision."})
}

// postedLines are the places of the lines that a form has.
func postedLines(c *gin.Context) []struct{} {
	n := 0
	for n < 40 {
		if _, there := c.GetPostForm(fmt.Sprintf("lines[%d].source", n)); !there {
			break
		}
		n++
	}
	return make([]struct{}, n)
}

func lineAt(c *gin.Context, i int) models.BudgetLine {
	text := func(name string) string {
		return strings.TrimSpace(c.PostForm(fmt.Sprintf("lines[%d].%s", i, name)))
	}
	n, err := strconv.Atoi(text("n"))
	if err != nil && text("n") != "" {
		n = -1 // No number: said where it was typed.
	}
	return models.BudgetLine{Source: text("source"), Name: text("name"), Shape: text("shape"), Value: text("value"), K: text("k"), N: n, Sensitivity: text("sensitivity"), Freedom: text("freedom"), StudyID: text("study"), Instrument: text("instrument")}
}

// postedBudget is what was sent, without the lines that are none; places says where
// in the form each of the others stands.
func postedBudget(c *gin.Context) (in studies.BudgetChange, places []int) {
	in = studies.BudgetChange{Coverage: c.PostForm("coverage"), Reason: c.PostForm("reason")}
	in.FamilyID, in.Result, _ = strings.Cut(c.PostForm("about"), "/")
	in.From, _ = strconv.Atoi(c.PostForm("from"))
	for i := range postedLines(c) {
		l := lineAt(c, i)
		if l.Source == "" && l.Value == "" {
			continue
		}
		in.Lines, places = append(in.Lines, l), append(places, i)
	}
	return in, places
}

func (s *site) reviseBudget(c *gin.Context) error {
	if c.PostForm("confirmed") == "" {
		return s.showBudgetForm(c, http.StatusOK, true, nil)
	}
	in, _ := postedBudget(c)
	v, err := s.services.Studies.ReviseBudget(c.Request.Context(), httpx.Actor(c), in)
	if answerable(err) {
		return s.showBudgetForm(c, http.StatusUnprocessableEntity, true, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/budgets/"+v.ID, "budget_up")
}
