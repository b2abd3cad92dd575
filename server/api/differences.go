package api

import (
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/effect"
	"tracewright/models/work/finder"
	"tracewright/server/httpx"
)

// differenceRoutes are what differs, and what changes did.
func (a *api) differenceRoutes() []httpx.Route {
	return []httpx.Route{
		get("/differences", models.ActLook, a.differences, "finding", "wait"),
		get("/effect", models.ActLook, a.effect, "family", "result", "product", "place", "person", "at", "days"),
	}
}

// differencesShape is what the last search found. Its figures are estimates, not records, and so
// JSON numbers.
type differencesShape struct {
	Searching bool         `json:"searching"`
	At        *instant     `json:"at"`    // null: nothing was searched yet
	Since     *instant     `json:"since"` // what was measured from then on
	Questions int          `json:"questions"`
	Cuts      int          `json:"cuts"`
	TooSmall  int          `json:"too_small"`
	Hidden    int          `json:"hidden"` // findings about other builders, not for who asks
	Findings  []difference `json:"findings"`
}

type difference struct {
	ID       string             `json:"id"`
	Family   *familyLine        `json:"family"`   // null: of several together
	Families []familyLine       `json:"families"` // of which it is told
	Result   string             `json:"result"`
	Name     string             `json:"name"`
	Unit     string             `json:"unit"`
	Part     searchedCutShape   `json:"part"`
	Effect   float64            `json:"effect"`
	Low      float64            `json:"low"`
	High     float64            `json:"high"`
	Decimals int                `json:"decimals"` // as it is said
	N        int                `json:"n"`
	Others   int                `json:"others"`
	Days     int                `json:"days"`
	Chance   chanceShape        `json:"chance"`
	Returned *returnedShape     `json:"returned"` // null: not about returns
	Sentence sentence           `json:"sentence"`
	Same     []searchedCutShape `json:"same"`
	Points   []differencePoint  `json:"points,omitempty"` // of the one asked for
}

type searchedCutShape struct {
	Cut      string `json:"cut"`
	Name     string `json:"name"`
	Material string `json:"material,omitempty"`
	Shape    string `json:"shape"`
	From     string `json:"from,omitempty"`
	Until    string `json:"until,omitempty"`
	Message  string `json:"message"`
}

type chanceShape struct {
	Larger int     `json:"larger"`
	Drawn  int     `json:"drawn"`
	P      float64 `json:"p"`
}

type returnedShape struct {
	Count    int     `json:"count"`
	Percent  float64 `json:"percent"`
	Low      float64 `json:"low"`
	High     float64 `json:"high"`
	Expected float64 `json:"expected"`
}

type differencePoint struct {
	InspectionID string  `json:"inspection_id,omitempty"`
	ItemID       string  `json:"item_id"`
	Serial       string  `json:"serial,omitempty"`
	At           instant `json:"at"`
	Value        float64 `json:"value"`
	In           bool    `json:"in"`
}

func (a *api) differences(c *gin.Context) error {
	given := query(c)
	ctx := c.Request.Context()
	var answer *finder.Answer
	var err error
	searching := false
	if given["wait"] == "yes" {
		answer, err = a.services.Finder.Find(ctx)
	} else {
		answer, searching, err = a.services.Finder.Look(ctx)
	}
	if err != nil {
		return err
	}
	answer = answer.For(httpx.Actor(c))
	shape := differencesShape{Searching: searching, Findings: []difference{}}
	if answer != nil {
		at, since := instant(answer.At), instant(answer.From)
		shape.At, shape.Since, shape.Questions, shape.Cuts, shape.TooSmall = &at, &since, answer.Questions, answer.Cuts, answer.Small
		shape.Hidden = answer.Hidden
		for _, f := range answer.Findings {
			if given["finding"] == "" || given["finding"] == f.ID {
				shape.Findings = append(shape.Findings, differenceOf(f, given["finding"] != ""))
			}
		}
		if given["finding"] != "" && len(shape.Findings) == 0 {
			return fmt.Errorf("finding %.80q: %w", given["finding"], models.ErrNotFound)
		}
	}
	return answer200(c, shape)
}

func answer200(c *gin.Context, body any) error { return answer(c, http.StatusOK, body) }

func differenceOf(f finder.Finding, points bool) difference {
	d := difference{ID: f.ID, Families: []familyLine{}, Result: f.Measure, Name: english.Result(f.Measure), Unit: f.Unit, Part: cutOf(f.Said), Effect: f.Effect, Low: f.Low, High: f.High,
		Decimals: f.Decimals, N: f.N, Others: f.Others, Days: f.Days, Chance: chanceShape{f.Larger, f.Drawn, f.P}, Sentence: sentenceOf(f.Sentence()), Same: []searchedCutShape{}}
	for _, of := range f.Families {
		d.Families = append(d.Families, familyLineOf(of))
	}
	if len(f.Families) == 0 {
		line := familyLineOf(f.Family)
		d.Family, d.Families = &line, []familyLine{line}
	}
	if f.Measure == finder.Returns {
		d.Returned = &returnedShape{f.Back, f.Share, f.ShareLow, f.ShareHigh, f.Expected}
	}
	for _, s := range f.Same {
		d.Same = append(d.Same, cutOf(s))
	}
	if points {
		for _, p := range f.Points {
			d.Points = append(d.Points, differencePoint{p.InspectionID, p.ItemID, p.Serial, instant(p.At), p.Value, p.In})
		}
	}
	return d
}

func cutOf(s finder.Said) searchedCutShape {
	p := searchedCutShape{Cut: s.Factor, Name: s.Name, Material: s.Material, Shape: s.Shape, Message: english.Remark(s.Remark())}
	if s.Shape != finder.Level {
		p.From, p.Until = s.From.Format(time.DateOnly), s.Until.Format(time.DateOnly)
	}
	return p
}

// effectShape is what a result did over a moment.
type effectShape struct {
	Family   familyLine         `json:"family"`
	Product  *productLine       `json:"product"`
	Result   string             `json:"result"`
	Name     string             `json:"name"`
	Unit     string             `json:"unit"`
	Decimals int                `json:"decimals"`
	At       *instant           `json:"at"`
	Event    *changeEventShape  `json:"event"` // null: the day was chosen
	Before   sideShape          `json:"before"`
	After    sideShape          `json:"after"`
	Effect   *float64           `json:"effect"` // null: there is none to speak of, and answer says why
	Low      *float64           `json:"low"`
	High     *float64           `json:"high"`
	Chance   *chanceShape       `json:"chance"`
	Answer   remark             `json:"answer"`
	Said     *remark            `json:"chance_said"`
	Notes    []remark           `json:"notes"`
	Events   []changeEventShape `json:"events"`
	Points   []effectPoint      `json:"points"`
}

type changeEventShape struct {
	What    string  `json:"what"`
	At      instant `json:"at"`
	Ref     string  `json:"ref"`
	Message string  `json:"message"`
}

type sideShape struct {
	N     int      `json:"n"`
	Days  int      `json:"days"`
	Level *float64 `json:"level"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
}

type effectPoint struct {
	InspectionID string  `json:"inspection_id"`
	ItemID       string  `json:"item_id"`
	Serial       string  `json:"serial,omitempty"`
	At           instant `json:"at"`
	Value        float64 `json:"value"`
	After        bool    `json:"after"`
}

func (a *api) effect(c *gin.Context) error {
	given := query(c)
	invalid := &models.InvalidError{}
	q := effect.Query{FamilyID: given["family"], Result: given["result"], ProductID: given["product"], Place: given["place"], PersonID: given["person"]}
	q.At = httpx.DayOrMoment(invalid, "at", given["at"], a.services.Zone(c.Request.Context()))
	q.Days = httpx.WholeDays(invalid, "days", given["days"])
	if err := invalid.OrNil(); err != nil {
		return err
	}
	v, err := a.services.Effect.For(c.Request.Context(), httpx.Actor(c), q)
	if err != nil {
		return err
	}
	return answer200(c, effectOf(v))
}

func effectOf(v effect.View) effectShape {
	e := effectShape{Family: familyLineOf(v.Family), Result: v.Result, Name: english.Result(v.Result), Unit: v.Unit, Decimals: v.Decimals, Before: sideOf(v.Before), After: sideOf(v.After),
		Answer: remarks([]models.Remark{v.Answer})[0], Notes: remarks(v.Notes), Events: make([]changeEventShape, len(v.Events)), Points: make([]effectPoint, len(v.Points))}
	if v.Product != nil {
		line := productLineOf(*v.Product, v.Family.Name)
		e.Product = &line
	}
	if !v.At.IsZero() {
		at := instant(v.At)
		e.At = &at
	}
	if v.Event != nil {
		event := eventOf(*v.Event)
		e.Event = &event
	}
	if v.Answered {
		said := remarks([]models.Remark{v.Chance})[0]
		e.Said = &said
		e.Effect, e.Low, e.High, e.Chance = &v.Effect, &v.Low, &v.High, &chanceShape{v.Larger, v.Drawn, v.P}
	}
	for i, x := range v.Events {
		e.Events[i] = eventOf(x)
	}
	for i, p := range v.Points {
		e.Points[i] = effectPoint{p.InspectionID, p.ItemID, p.Serial, instant(p.At), p.Value, p.After}
	}
	return e
}

func eventOf(e effect.Event) changeEventShape {
	return changeEventShape{e.What, instant(e.At), e.Ref, english.Remark(e.Remark())}
}

func sideOf(s effect.Side) sideShape {
	out := sideShape{N: s.N, Days: s.Days}
	if s.N > 0 {
		out.Level = &s.Level
	}
	if s.Bounded {
		out.Low, out.High = &s.Low, &s.High
	}
	return out
}
