package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/build"
	"tracewright/server/httpx"
)

// buildShape is how a pack is being built.
type buildShape struct {
	Steps         []buildStep  `json:"steps"`
	History       []buildEvent `json:"history"` // oldest first
	Charge        *chargeShape `json:"charge,omitempty"`
	RestHours     float64      `json:"rest_hours"`
	ProvisionalAt *instant     `json:"provisional_at,omitempty"`
	OpensAt       *instant     `json:"opens_at,omitempty"`
	JoinLimit     string       `json:"join_limit_v,omitempty"`
	StringLeast   string       `json:"string_least_v,omitempty"`
	StringMost    string       `json:"string_most_v,omitempty"`
	Cautions      []caution    `json:"cautions"`
}

// caution is a code with its words, and the part of the work that it is told at.
type caution struct {
	Code    string `json:"code"`
	At      string `json:"at,omitempty"` // left out: all along
	Message string `json:"message"`
}

type buildStep struct {
	Code   string   `json:"code"`
	Words  string   `json:"words"`
	Done   bool     `json:"done"`
	DoneAt *instant `json:"done_at,omitempty"`
	DoneBy string   `json:"done_by,omitempty"` // name
	Volts  []string `json:"string_volts,omitempty"`
}

type buildEvent struct {
	Step string  `json:"step"`
	Done bool    `json:"done"`
	At   instant `json:"at"`
	By   string  `json:"by"` // name
}

func (a *api) buildOf(ctx context.Context, sheet build.Sheet) (buildShape, error) {
	out := buildShape{Steps: make([]buildStep, len(sheet.Steps)), History: make([]buildEvent, len(sheet.History)), RestHours: sheet.Rest.Hours,
		JoinLimit: sheet.Join.Apart, StringLeast: sheet.Join.Least, StringMost: sheet.Join.Most}
	for i, s := range sheet.Steps {
		out.Steps[i] = buildStep{Code: s.Code, Words: s.Words, Done: s.Done, DoneBy: s.Person, Volts: s.Volts}
		if s.Done {
			at := instant(s.At)
			out.Steps[i].DoneAt = &at
		}
	}
	for i, e := range sheet.History {
		out.History[i] = buildEvent{Step: e.Step, Done: e.Done, At: instant(e.DoneAt), By: e.Person}
	}
	for _, x := range sheet.Cautions() {
		out.Cautions = append(out.Cautions, caution{Code: x.Code, At: x.At, Message: english.Caution(x.Code)})
	}
	if sheet.Rest.Charge == nil {
		return out, nil
	}
	names, err := a.names(ctx)
	if err != nil {
		return out, err
	}
	charge := chargeOf(*sheet.Rest.Charge, names)
	out.Charge = &charge
	if sheet.Rest.Charge.End != nil {
		provisional, opens := instant(sheet.Rest.Provisional), instant(sheet.Rest.Opens)
		out.ProvisionalAt, out.OpensAt = &provisional, &opens
	}
	return out, nil
}

func (a *api) build(c *gin.Context) error {
	ctx := c.Request.Context()
	sheet, err := a.services.Build.Sheet(ctx, c.Param("item"))
	if err != nil {
		return err
	}
	shape, err := a.buildOf(ctx, sheet)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

// tickBuildStep ticks a step or takes it back.
func (a *api) tickBuildStep(c *gin.Context) error {
	var in struct {
		Done   bool      `json:"done" needed:"yes"`
		Volts  []string  `json:"string_volts"`
		At     time.Time `json:"at"` // left out: now
		SentAt time.Time `json:"sent_at"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	sheet, err := a.services.Build.Tick(ctx, httpx.Actor(c), c.Param("item"), build.NewTick{Step: c.Param("step"), Done: in.Done, Volts: in.Volts, At: a.onOurClock(in.At, in.SentAt)})
	if err != nil {
		return err
	}
	shape, err := a.buildOf(ctx, sheet)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

// buildSteps gives the list of a family.
func (a *api) buildSteps(c *gin.Context) error {
	steps, n, err := a.services.Build.Steps(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"n": n, "steps": steps})
}

func (a *api) reviseBuildSteps(c *gin.Context) error {
	var in struct {
		From   int      `json:"from" needed:"yes"`
		Steps  []string `json:"steps"`
		Reason string   `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	list, err := a.services.Build.Revise(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.From, in.Steps, in.Reason)
	if err != nil {
		return err
	}
	return created(c, "/families/"+c.Param("id")+"/steps", gin.H{"n": list.N, "steps": list.Steps})
}

// testShape is a discharge and what each block gave.
type testShape struct {
	ID           string         `json:"id"`
	StartedAt    instant        `json:"started_at"`
	TemperatureC string         `json:"temperature_c"`
	ReferenceC   string         `json:"reference_c"`
	RatedAh      string         `json:"rated_ah"`
	CutOffV      string         `json:"cut_off_v"`
	CoefPerK     string         `json:"coef_per_k"`
	CurrentA     float64        `json:"current_a"`
	AcceptPct    float64        `json:"accept_pct"`
	Accepted     bool           `json:"accepted"`
	StoppedEarly bool           `json:"stopped_early,omitempty"`
	Weakest      int            `json:"weakest,omitempty"`
	InRange      bool           `json:"correction_good"`
	Blocks       []testBlock    `json:"blocks"`
	Figure       *models.Figure `json:"figure,omitempty"` // of one test asked for by itself
}

type testBlock struct {
	Place       int     `json:"place"`
	Name        string  `json:"name"`
	Reached     bool    `json:"reached_cut_off"`
	Hours       float64 `json:"hours"`
	MeasuredAh  float64 `json:"measured_ah"`
	CorrectedAh float64 `json:"corrected_ah"`
	Pct         float64 `json:"pct_of_rated"`
}

func testOf(t build.Tested) testShape {
	out := testShape{ID: t.ID, StartedAt: instant(t.StartedAt), TemperatureC: t.TemperatureC, ReferenceC: t.ReferenceC, RatedAh: t.RatedAh, CutOffV: t.CutOffV, CoefPerK: t.CoefPerK, CurrentA: rounded(t.CurrentA, 4),
		AcceptPct: t.AcceptPct, Accepted: t.Accepted, StoppedEarly: t.StoppedEarly, Weakest: t.Weakest, InRange: t.InRange, Blocks: make([]testBlock, len(t.Blocks))}
	for i, b := range t.Blocks {
		out.Blocks[i] = testBlock{Place: b.Place, Name: b.Name, Reached: b.Reached, Hours: rounded(b.Hours, 4), MeasuredAh: rounded(b.MeasuredAh, 4), CorrectedAh: rounded(b.CorrectedAh, 4), Pct: rounded(b.PctOfRated, 3)}
	}
	return out
}

// addCapacityTest takes a log as JSON, or as it was exported in csv.
func (a *api) addCapacityTest(c *gin.Context) error {
	var in struct {
		StartedAt    time.Time           `json:"started_at"`
		TemperatureC string              `json:"temperature_c"`
		ReferenceC   string              `json:"reference_c"` // left out: 25
		CutOffV      string              `json:"cut_off_v"`   // left out: the default of the class
		CoefPerK     string              `json:"coef_per_k"`  // left out: by the hours it took
		Log          *models.CapacityLog `json:"log"`
		CSV          string              `json:"csv"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	test := build.NewTest{Started: in.StartedAt, TemperatureC: in.TemperatureC, ReferenceC: in.ReferenceC, CutOffV: in.CutOffV, CoefPerK: in.CoefPerK}
	var err error
	switch {
	case in.Log != nil:
		test.Log = *in.Log
	default:
		if test.Log, err = build.ParseLog(in.CSV); err != nil {
			return err
		}
	}
	tested, err := a.services.Build.AddCapacityTest(c.Request.Context(), httpx.Actor(c), c.Param("item"), test)
	if err != nil {
		return err
	}
	return created(c, "/items/"+c.Param("item")+"/capacity-tests/"+tested.ID, testOf(tested))
}

func (a *api) capacityTests(c *gin.Context) error {
	tests, err := a.services.Build.CapacityTests(c.Request.Context(), c.Param("item"))
	if err != nil {
		return err
	}
	shapes := make([]testShape, len(tests))
	for i, t := range tests {
		shapes[i] = testOf(t)
	}
	return answer(c, http.StatusOK, gin.H{"tests": shapes})
}

// capacityTest gives one test with its figure.
func (a *api) capacityTest(c *gin.Context) error {
	tested, err := a.services.Build.CapacityTest(c.Request.Context(), c.Param("item"), c.Param("id"))
	if err != nil {
		return err
	}
	shape, drawing := testOf(tested), tested.Figure()
	shape.Figure = &drawing
	return answer(c, http.StatusOK, shape)
}
