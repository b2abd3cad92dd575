package web

import (
	"errors"
	"fmt"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// StudyPage is one gauge study: how far it has got, or what it came to.
type StudyPage struct {
	Frame
	Path, About, Answer string
	State               Mark
	Facts               []Fact
	Reasons             []string // why there is no result
	Says                []string // the result in sentences
	Next                []string
	Components          []ComponentRow
	Ranges              []RangeRow
	RangeName           string
	Data, Describe      string
	Readings            []StudyReadingRow
	Read, Budget        string // paths
	Confirms            bool   // this person may confirm it now
	GivesUp             bool
	Problems            Problems
}

// ComponentRow is one part of the scatter.
type ComponentRow struct {
	Name, Spread, Share, Tolerance string
	Whole                          bool // a sum of others
}

// RangeRow is what was read of an item, or by a person.
type RangeRow struct{ Name, N, Low, High, Mean string }

// StudyReadingRow is one reading, shown when nobody reads blind any more.
type StudyReadingRow struct {
	Person, Item, Value, When, By, Struck string
}

func (s *site) study(c *gin.Context) error { return s.showStudy(c, http.StatusOK, nil) }

func (s *site) showStudy(c *gin.Context, status int, problem error) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	v, err := s.services.Studies.Study(c.Request.Context(), n)
	if err != nil {
		return err
	}
	page := s.studyPage(s.frame(c, fmt.Sprintf("Gauge study %d", n), "/studies"), v)
	if problem != nil {
		f := posted(c, problem)
		page.Problems = f.summary()
	}
	if v.End != nil && v.End.What == models.StudyConfirmed {
		page.Budget = s.budgetOfStudy(c, v)
	}
	return send(c, status, "study", page)
}

// budgetOfStudy is the path of the budget that a study's confirmation made.
func (s *site) budgetOfStudy(c *gin.Context, v studies.View) string {
	list, err := s.services.Studies.Budgets(c.Request.Context(), v.Study.FamilyID)
	if err != nil {
		return ""
	}
	for _, b := range list {
		if pointed(b.StudyID) == v.Study.ID {
			return "/budgets/" + b.ID
		}
	}
	return ""
}

func (s *site) studyPage(frame Frame, v studies.View) StudyPage {
	study := v.Study
	page := StudyPage{Frame: frame, Path: studyPath(study.Number), About: fmt.Sprintf("Gauge study %d, %s", study.Number, english.Design(study.Design)), State: studyMark(v), Facts: s.studyFacts(v)}
	left, all := v.Left(), len(study.Turns)
	inspects := page.Actor.May(models.ActCalibrate)
	page.GivesUp = v.End == nil && inspects
	if v.End == nil && left > 0 && takesPart(frame, study) {
		page.Read = page.Path + "/read"
	}
	if v.End != nil && v.End.What == models.StudyGivenUp {
		page.Answer = "Given up: " + v.End.Reason
		page.Readings = s.studyReadings(v)
		return page
	}
	if left > 0 {
		page.Answer = english.Of(all-left, all) + " readings taken"
		page.Reasons = []string{"Until the last is taken nobody sees what was read: whoever knows an earlier value reads it again."}
		return page
	}
	r, err := studies.Evaluate(v)
	page.Readings = s.studyReadings(v)
	if err != nil {
		page.Answer, page.Reasons = "There is no result", refusals(err)
		return page
	}
	page.Confirms = v.End == nil && inspects
	page.result(v, r)
	return page
}

// refusals are the reasons of an error in words.
func refusals(err error) []string {
	var refused *models.RefusedError
	if !errors.As(err, &refused) {
		return []string{"The readings cannot be worked out."}
	}
	var out []string
	for _, r := range refused.Reasons {
		out = append(out, english.Say(r.Code, english.Readable(r.Values)))
	}
	return out
}

func (s *site) studyFacts(v studies.View) []Fact {
	study := v.Study
	names := make([]string, len(study.Persons))
	for i, id := range study.Persons {
		names[i] = name(v.People, id)
	}
	of := words.Sentence(english.Characteristic(study.Characteristic)) + " of " + v.Family.Name
	items := plural(len(study.Items), "item", "items")
	if study.Design != models.StudyCrossed {
		items = plural(len(study.Items), "reference", "references")
	}
	facts := []Fact{
		{Label: "What", Value: english.Result(study.Result), Lines: []Span{{Text: of}}},
		{Label: "Gauge", Value: v.Instrument.Code, Lines: []Span{{Text: v.Instrument.Name, Path: "/instruments/" + v.Instrument.Code}}},
		{Label: "Tolerance", Value: between(study.Low, study.High, study.Unit), Lines: []Span{{Text: "the specification it was planned under", Path: "/specifications/" + study.SpecificationID}}},
		{Label: "Readings", Value: fmt.Sprint(len(study.Turns)), Lines: []Span{{Text: fmt.Sprintf("%s, each %s by %s", items, times(study.Repeats), english.Join(names))}}},
		{Label: "Planned", Value: s.day(study.PlannedAt), Lines: []Span{{Text: "by " + name(v.People, study.PlannedBy)}, {Text: fmt.Sprintf("order of chance, seed %d", study.Seed)}}},
	}
	if study.Note != "" {
		facts = append(facts, Fact{Label: "Note", Value: study.Note})
	}
	return facts
}

func times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

// studyReadings lists what was read, the struck ones with their reason.
func (s *site) studyReadings(v studies.View) []StudyReadingRow {
	out := make([]StudyReadingRow, len(v.Readings))
	for i, r := range v.Readings {
		turn := v.Study.Turns[r.Turn]
		typed := r.Typed
		if !strings.ContainsFunc(typed, func(x rune) bool { return x >= 'A' }) {
			typed = words.Quantity(strings.ReplaceAll(typed, ",", "."), v.Study.Unit)
		}
		row := StudyReadingRow{Person: name(v.People, r.PersonID), Item: v.Study.Items[turn.Item].Name, Value: typed, When: s.minute(r.EnteredAt)}
		if r.EnteredBy != r.PersonID {
			row.By = "typed by " + name(v.People, r.EnteredBy)
		}
		if x, struck := v.Strikes[r.ID]; struck {
			row.Struck = fmt.Sprintf("struck by %s: %s", name(v.People, x.StruckBy), x.Reason)
		}
		out[i] = row
	}
	return out
}

// StudySheet is the order of a study on paper, with room for what is read.
type StudySheet struct {
	Frame
	Path, About, Gauge string
	Unit               string
	Rounds             []SheetRound
}

// SheetRound is what one person reads in one go.
type SheetRound struct {
	Title string
	Turns []SheetTurn
}

// SheetTurn is one line of it.
type SheetTurn struct {
	N    int
	Item string
	Done bool
}

func (s *site) studySheet(c *gin.Context) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	v, err := s.services.Studies.Study(c.Request.Context(), n)
	if err != nil {
		return err
	}
	return show(c, "study_sheet", studySheetPage(s.frame(c, "Order sheet", "/studies"), v))
}

func studySheetPage(frame Frame, v studies.View) StudySheet {
	page := StudySheet{Frame: frame, Path: studyPath(v.Study.Number), About: fmt.Sprintf("Gauge study %d: %s", v.Study.Number, lowered(english.Result(v.Study.Result))), Gauge: v.Instrument.Code, Unit: words.Unit(v.Study.Unit)}
	standing := v.Standing()
	last := ""
	for i, t := range v.Study.Turns {
		title := "Reading"
		if t.Person >= 0 {
			title = name(v.People, v.Study.Persons[t.Person])
		}
		if v.Study.Repeats > 1 && len(v.Study.Items) > 1 {
			title += fmt.Sprintf(", round %d", t.Repeat)
		}
		if title != last {
			page.Rounds = append(page.Rounds, SheetRound{Title: title})
			last = title
		}
		r := &page.Rounds[len(page.Rounds)-1]
		r.Turns = append(r.Turns, SheetTurn{N: i + 1, Item: v.Study.Items[t.Item].Name, Done: standing[i] != nil})
	}
	return page
}

func (s *site) confirmStudy(c *gin.Context) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	b, err := s.services.Studies.Confirm(c.Request.Context(), httpx.Actor(c), n, "")
	if answerable(err) {
		return s.showStudy(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/budgets/"+b.ID, "budget")
}

func (s *site) giveUpPage(c *gin.Context) error { return s.showGiveUp(c, http.StatusOK, nil) }

func (s *site) showGiveUp(c *gin.Context, status int, problem error) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	v, err := s.services.Studies.Study(c.Request.Context(), n)
	if err != nil {
		return err
	}
	f, path := posted(c, problem), studyPath(v.Study.Number)
	page := ConfirmPage{Frame: s.frame(c, "Give up a study", "/studies"), About: fmt.Sprintf("Gauge study %d", n), Title: "Give it up", Button: "Give up the study", Path: path + "/give-up", Back: path,
		Says: []string{"It gets no result. What was read stays on record."}, Fields: []Field{f.field(Field{Name: "reason", Label: "Why", Kind: "text area", Focus: true})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) giveUp(c *gin.Context) error {
	n, err := numbered(c)
	if err != nil {
		return err
	}
	err = s.services.Studies.GiveUp(c.Request.Context(), httpx.Actor(c), n, c.PostForm("reason"))
	if answerable(err) {
		return s.showGiveUp(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, studyPath(n), "study_ended")
}
