package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/studies"
	"tracewright/server/httpx"
)

// studyLine is a gauge study in a list.
type studyLine struct {
	Number     int     `json:"number"`
	Design     string  `json:"design"`
	State      string  `json:"state"`      // running, read, confirmed, given_up
	Instrument string  `json:"instrument"` // code
	FamilyID   string  `json:"family_id"`
	Result     string  `json:"result"`
	Taken      int     `json:"taken"`
	All        int     `json:"all"`
	PlannedAt  instant `json:"planned_at"`
	PlannedBy  string  `json:"planned_by"` // name
}

// studyShape is a study with its order. What was read is in it when the last reading
// is taken or the study has ended, and not before.
type studyShape struct {
	studyLine
	Unit     string              `json:"unit"`
	Units    []string            `json:"units"`
	Low      string              `json:"low,omitempty"`
	High     string              `json:"high,omitempty"`
	Persons  []studyPerson       `json:"persons"`
	Items    []models.StudyItem  `json:"items"`
	Repeats  int                 `json:"repeats"`
	Seed     string              `json:"seed"`
	Note     string              `json:"note,omitempty"`
	Order    []studyTurnShape    `json:"order"`
	Readings []studyReadingShape `json:"readings,omitempty"`
	Outcome  *studyOutcome       `json:"outcome,omitempty"`
	Refused  string              `json:"refused,omitempty"` // why there is no outcome, in words
	Reason   string              `json:"reason,omitempty"`  // why it was given up
}

type studyPerson struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

type studyTurnShape struct {
	Turn   int    `json:"turn"`
	Person string `json:"person,omitempty"` // name; left out where anyone reads
	Item   string `json:"item"`
	Repeat int    `json:"repeat"`
	Taken  bool   `json:"taken"`
}

type studyReadingShape struct {
	ID        string  `json:"id"`
	Turn      int     `json:"turn"`
	Typed     string  `json:"typed"`
	Value     string  `json:"value"`
	Person    string  `json:"person"` // name
	EnteredAt instant `json:"entered_at"`
	Struck    string  `json:"struck,omitempty"` // why
}

// studyOutcome is what a study came to.
type studyOutcome struct {
	Judgement        string            `json:"judgement"`
	Message          string            `json:"message"`
	PercentTolerance *float64          `json:"percent_tolerance,omitempty"`
	Figures          map[string]string `json:"figures"`
	Next             []string          `json:"next"` // in words
}

func studyState(v studies.View) string {
	switch {
	case v.End != nil:
		return v.End.What
	case v.Left() == 0:
		return "read"
	}
	return "running"
}

func studyLineOf(v studies.View) studyLine {
	return studyLine{Number: v.Study.Number, Design: v.Study.Design, State: studyState(v), Instrument: v.Instrument.Code, FamilyID: v.Study.FamilyID, Result: v.Study.Result,
		Taken: len(v.Study.Turns) - v.Left(), All: len(v.Study.Turns), PlannedAt: instant(v.Study.PlannedAt), PlannedBy: named(v.People, v.Study.PlannedBy)}
}

func studyOf(v studies.View) studyShape {
	study := v.Study
	s := studyShape{studyLine: studyLineOf(v), Unit: study.Unit, Units: list(study.Units), Low: study.Low, High: study.High, Items: study.Items, Repeats: study.Repeats, Seed: strconv.FormatInt(study.Seed, 10), Note: study.Note}
	for _, id := range study.Persons {
		s.Persons = append(s.Persons, studyPerson{id, named(v.People, id)})
	}
	standing := v.Standing()
	for i, t := range study.Turns {
		turn := studyTurnShape{Turn: i, Item: study.Items[t.Item].Name, Repeat: t.Repeat, Taken: standing[i] != nil}
		if t.Person >= 0 {
			turn.Person = named(v.People, study.Persons[t.Person])
		}
		s.Order = append(s.Order, turn)
	}
	if v.End == nil && v.Left() > 0 {
		return s // Nobody reads what was read before.
	}
	for _, r := range v.Readings {
		x := studyReadingShape{ID: r.ID, Turn: r.Turn, Typed: r.Typed, Value: r.Value, Person: named(v.People, r.PersonID), EnteredAt: instant(r.EnteredAt)}
		if strike, struck := v.Strikes[r.ID]; struck {
			x.Struck = strike.Reason
		}
		s.Readings = append(s.Readings, x)
	}
	if v.End != nil && v.End.What == models.StudyGivenUp {
		s.Reason = v.End.Reason
		return s
	}
	s.Outcome, s.Refused = outcomeOf(v)
	return s
}

func outcomeOf(v studies.View) (*studyOutcome, string) {
	r, err := studies.Evaluate(v)
	if err != nil {
		var refused *models.RefusedError
		if errors.As(err, &refused) {
			return nil, english.Say(refused.Reasons[0].Code, english.Readable(refused.Reasons[0].Values))
		}
		return nil, "The readings cannot be worked out."
	}
	o := &studyOutcome{Judgement: r.Judgement, Message: english.Judgement(r.Answer()), Figures: map[string]string{}, Next: []string{}}
	if r.ShareKnown {
		o.PercentTolerance = &r.Share
	}
	for _, f := range r.Figures() {
		if f.Code != "judgement" {
			o.Figures[f.Code] = f.Value
		}
	}
	for _, code := range r.Next {
		o.Next = append(o.Next, english.Say(code, nil))
	}
	return o, ""
}

func (a *api) studies(c *gin.Context) error {
	views, err := a.services.Studies.Studies(c.Request.Context())
	if err != nil {
		return err
	}
	lines := make([]studyLine, len(views))
	for i, v := range views {
		lines[i] = studyLineOf(v)
	}
	return answer(c, http.StatusOK, gin.H{"studies": lines})
}

// study answers with the study that the address names, after what was done to it.
func (a *api) answerStudy(ctx context.Context, c *gin.Context, number int) error {
	v, err := a.services.Studies.Study(ctx, number)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, studyOf(v))
}

func studyNumber(c *gin.Context) (int, error) {
	n, err := strconv.Atoi(c.Param("number"))
	if err != nil {
		return 0, fmt.Errorf("gauge study %.20q: %w", c.Param("number"), models.ErrNotFound)
	}
	return n, nil
}

func (a *api) study(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	return a.answerStudy(c.Request.Context(), c, n)
}

func (a *api) planStudy(c *gin.Context) error {
	var in struct {
		Design     string             `json:"design"`
		Instrument string             `json:"instrument"`
		Family     string             `json:"family"`
		Result     string             `json:"result"`
		Persons    []string           `json:"persons"`
		Items      []models.StudyItem `json:"items"`
		Repeats    int                `json:"repeats"`
		Note       string             `json:"note"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Studies.Plan(c.Request.Context(), httpx.Actor(c), studies.Plan{Design: in.Design, Instrument: in.Instrument, FamilyID: in.Family, Result: in.Result, Persons: in.Persons, Items: in.Items, Repeats: in.Repeats, Note: in.Note})
	if err != nil {
		return err
	}
	return created(c, "/studies/"+strconv.Itoa(v.Study.Number), studyOf(v))
}

// nextReading says what is to be read next, and nothing of what was read.
func (a *api) nextReading(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	q := query(c)
	next, err := a.services.Studies.Next(c.Request.Context(), httpx.Actor(c), n, q["person"])
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"turn": next.Turn, "person_id": next.PersonID, "person": next.Person, "item": next.Item, "unit": next.Study.Unit, "units": list(next.Study.Units), "taken": next.Read, "all": next.All})
}

func (a *api) enterReading(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	var in struct {
		ID     string `json:"id"`
		Turn   int    `json:"turn" needed:"yes"`
		Person string `json:"person"`
		Value  string `json:"value"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if err := a.services.Studies.Enter(ctx, httpx.Actor(c), n, studies.Entry{ID: in.ID, Turn: in.Turn, PersonID: in.Person, Typed: in.Value}); err != nil {
		return err
	}
	return a.progress(ctx, c, http.StatusCreated, n)
}

// progress is how far a study has got, without what was read.
func (a *api) progress(ctx context.Context, c *gin.Context, status, number int) error {
	v, err := a.services.Studies.Study(ctx, number)
	if err != nil {
		return err
	}
	return answer(c, status, gin.H{"taken": len(v.Study.Turns) - v.Left(), "all": len(v.Study.Turns)})
}

func (a *api) strikeReading(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if err := a.services.Studies.Strike(ctx, httpx.Actor(c), n, c.Param("id"), in.Reason); err != nil {
		return err
	}
	return a.progress(ctx, c, http.StatusOK, n)
}

// confirmStudy ends a study; its figures are in the budget that comes back.
func (a *api) confirmStudy(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	b, err := a.services.Studies.Confirm(ctx, httpx.Actor(c), n, "")
	if err != nil {
		return err
	}
	v, err := a.services.Studies.Budget(ctx, b.ID)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, budgetOf(v))
}

func (a *api) giveUpStudy(c *gin.Context) error {
	n, err := studyNumber(c)
	if err != nil {
		return err
	}
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if err := a.services.Studies.GiveUp(ctx, httpx.Actor(c), n, in.Reason); err != nil {
		return err
	}
	return a.answerStudy(ctx, c, n)
}
