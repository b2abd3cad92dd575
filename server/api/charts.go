package api

import (
	"crypto/sha256"
	"encoding/hex"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// chartShape is a control chart as data. Its numbers are those of a drawing,
// not of a record, and so are JSON numbers; the exact value of each point stands
// beside it as text.
type chartShape struct {
	Family     familyLine    `json:"family"`
	Product    *productLine  `json:"product"`
	Result     string        `json:"result"`
	Name       string        `json:"name"`
	Place      string        `json:"place,omitempty"`
	Unit       string        `json:"unit,omitempty"`
	Decimals   int           `json:"decimals"`
	FirstSets  bool          `json:"first_sets"`
	Truncated  bool          `json:"truncated"`
	Kind       string        `json:"kind"`
	KindReason remark        `json:"kind_reason"`
	Finding    findingShape  `json:"finding"`
	Facts      factsShape    `json:"facts"`  // of the present phase
	Needed     int           `json:"needed"` // points before there are limits
	Points     []pointShape  `json:"points"`
	Phases     []phaseShape  `json:"phases"`
	Signals    []signalShape `json:"signals"`
	Events     []eventShape  `json:"events"`
	Design     designShape   `json:"design"`
}

// findingShape is what the chart says.
type findingShape struct {
	remark
	Change *movedShape `json:"change"`
}

type movedShape struct {
	Since  instant  `json:"since"`
	Until  *instant `json:"until"` // null: it goes on
	Unit   string   `json:"unit,omitempty"`
	Before string   `json:"before"`
	After  string   `json:"after"`
	By     string   `json:"by"`
	Low    *string  `json:"low"` // of the 95 % interval of by; null: too few points
	High   *string  `json:"high"`
	NFrom  int      `json:"n_before"`
	N      int      `json:"n_since"`
}

// factsShape is what a chart admits about itself.
type factsShape struct {
	N                int      `json:"n"`
	Distinct         int      `json:"distinct"`
	Lag1             *float64 `json:"lag1"` // null: not known
	Lag1Limit        *float64 `json:"lag1_limit"`
	Correlated       bool     `json:"correlated"`
	Provisional      bool     `json:"provisional"`
	NoLimits         bool     `json:"no_limits"`
	NoLimitsReason   string   `json:"no_limits_reason,omitempty"`
	Resolution       *float64 `json:"resolution"` // null: not known
	ResolutionCoarse bool     `json:"resolution_coarse"`
}

type pointShape struct {
	InspectionID string  `json:"inspection_id"`
	ItemID       string  `json:"item_id"`
	Serial       string  `json:"serial"`
	MeasuredAt   instant `json:"measured_at"`
	Value        string  `json:"value"`
	Place        string  `json:"place,omitempty"`
	Person       string  `json:"person"` // id
	Product      string  `json:"product,omitempty"`
	Group        string  `json:"group,omitempty"` // a week or a lot, of which the item is one
	Size         int     `json:"size,omitempty"`
	Count        int     `json:"count,omitempty"`
}

// phaseShape is a stretch with limits of its own; from and to are indices of
// points, to behind the last.
type phaseShape struct {
	From           int            `json:"from"`
	To             int            `json:"to"`
	Baseline       *baselineShape `json:"baseline"` // null: the first points stand in
	Kind           string         `json:"kind"`
	Scale          string         `json:"scale,omitempty"`
	ScaleReason    string         `json:"scale_reason,omitempty"`
	Sigma          float64        `json:"sigma"`
	SigmaEstimator string         `json:"sigma_estimator,omitempty"`
	N              int            `json:"n"` // points that the limits rest on
	Revision       int            `json:"specification_then,omitempty"`
	RevisionNow    int            `json:"specification_now,omitempty"`
	Changed        bool           `json:"limits_changed"`
	Panels         []panelShape   `json:"panels"`
}

type baselineShape struct {
	ID        string           `json:"id"`
	First     string           `json:"first"` // inspections
	Last      string           `json:"last"`
	HoldsFrom instant          `json:"holds_from"`
	Excluded  []exclusionShape `json:"excluded"`
	Note      string           `json:"note,omitempty"`
	MadeBy    string           `json:"made_by"`
	MadeAt    instant          `json:"made_at"`
}

type exclusionShape struct {
	Inspection string `json:"inspection"`
	Reason     string `json:"reason"`
}

// panelShape is one strip of a phase.
type panelShape struct {
	Name   string    `json:"name"`
	Values []float64 `json:"values"`
	Centre []float64 `json:"centre"`
	Low    []float64 `json:"low"` // null: no limit on this side
	High   []float64 `json:"high"`
}

type signalShape struct {
	Panel   string       `json:"panel"`
	Rule    string       `json:"rule"`
	Side    string       `json:"side"`
	Point   int          `json:"point"`
	First   int          `json:"first"` // where it began, best estimate
	Last    int          `json:"last"`
	Open    bool         `json:"open"`    // it goes on at the newest point
	Covered bool         `json:"covered"` // a signal of the smoothed mean says the same
	Reason  remark       `json:"reason"`
	Causes  []causeShape `json:"causes"` // oldest first; the last one holds
}

type causeShape struct {
	ID     string  `json:"id"`
	Code   string  `json:"code"`
	Name   string  `json:"name"`
	Note   string  `json:"note,omitempty"`
	Action string  `json:"action,omitempty"`
	MadeBy string  `json:"made_by"`
	MadeAt instant `json:"made_at"`
}

type eventShape struct {
	At     instant `json:"at"`
	Kind   string  `json:"kind"`
	Place  string  `json:"place,omitempty"`
	Name   string  `json:"name,omitempty"`
	Detail string  `json:"detail,omitempty"`
	Person string  `json:"person,omitempty"`
}

type designShape struct {
	Alarms    float64 `json:"alarms"` // false ones a month, all charts together
	Charts    int     `json:"charts"`
	Points    float64 `json:"points"` // a month, on all charts
	RunLength float64 `json:"run_length"`
	Weight    float64 `json:"weight"`
	Point     float64 `json:"point_limit"` // in sigma, of a centre that is known
	Smoothed  float64 `json:"smoothed_limit"`
}

func (a *api) chart(c *gin.Context) error {
	given := query(c)
	q := monitor.ChartQuery{FamilyID: given["family"], ProductID: given["product"], Place: given["place"], Result: given["result"]}
	if given["rules"] != "" {
		q.Rules = strings.Split(given["rules"], ",")
	}
	invalid := &models.InvalidError{}
	zone := a.services.Zone(c.Request.Context())
	q.From, q.To = day(invalid, "from", given["from"], zone, 0), day(invalid, "to", given["to"], zone, 1)
	if err := invalid.OrNil(); err != nil {
		return err
	}
	v, err := a.services.Monitor.Chart(c.Request.Context(), q)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, chartOf(v))
}

// day reads a day of the shop's zone; after is how many days later the moment
// meant begins: the day after "to", so that "to" belongs to the range.
func day(invalid *models.InvalidError, field, text string, zone *time.Location, after int) time.Time {
	if text == "" {
		return time.Time{}
	}
	t, err := models.ReadDay(text, zone)
	if err != nil {
		invalid.Add(field, "bad_date", "typed", models.Shortened(text))
		return time.Time{}
	}
	return models.DayOf(t, after).UTC()
}

func chartOf(v monitor.ChartView) chartShape {
	shape := chartShape{Family: familyLineOf(v.Family), Result: v.Query.Result, Name: english.Result(v.Query.Result), Place: v.Query.Place, Unit: v.Unit,
		Decimals: v.Decimals, FirstSets: v.FirstSets, Truncated: v.Truncated, Kind: v.Kind, KindReason: said(models.Remark{Code: "chart_kind." + v.KindReason}),
		Finding: findingOf(v.Finding), Facts: factsOf(v.Present().Limits.Facts), Needed: v.Needed,
		Points: make([]pointShape, len(v.Points)), Phases: make([]phaseShape, len(v.Phases)), Signals: make([]signalShape, len(v.Signals)), Events: make([]eventShape, len(v.Events)),
		Design: designShape{v.Design.Alarms, v.Design.Charts, v.Design.Points, v.Design.RunLength, v.Design.Watch.Weight, v.Design.Watch.Point, v.Design.Watch.Smoothed}}
	if v.Product != nil {
		line := productLineOf(*v.Product, v.Family.Name)
		shape.Product = &line
	}
	for i, p := range v.Points {
		shape.Points[i] = pointShape{InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial, MeasuredAt: instant(p.MeasuredAt), Value: p.Value,
			Place: p.Place, Person: p.PersonID, Product: p.ProductID, Group: p.Group, Size: p.Size, Count: p.Count}
	}
	for i, p := range v.Phases {
		shape.Phases[i] = phaseOf(p)
	}
	for i, g := range v.Signals {
		shape.Signals[i] = signalShape{Panel: g.Panel, Rule: g.Reason.Code, Side: string(g.Side), Point: g.Point, First: g.First, Last: g.Last, Open: g.Open, Covered: g.Covered,
			Reason: said(v.Said(g)), Causes: causesOf(g.Causes)}
	}
	for i, h := range v.Events {
		shape.Events[i] = eventShape{instant(h.At), h.Kind, h.Place, h.Name, h.Detail, h.Person}
	}
	return shape
}

// said is a remark with its words.
func said(r models.Remark) remark { return remarks([]models.Remark{r})[0] }

func findingOf(f monitor.Finding) findingShape {
	shape := findingShape{remark: said(f.Title)}
	shape.Message = words.Sentence(shape.Message)
	c := f.Change
	if c == nil {
		return shape
	}
	texts := c.Texts()
	shape.Change = &movedShape{Since: instant(c.Since), Unit: c.Unit, Before: texts["before"], After: texts["after"], By: texts["by"], NFrom: c.NBefore, N: c.N}
	if !c.Until.IsZero() {
		until := instant(c.Until)
		shape.Change.Until = &until
	}
	if c.HasInterval {
		low, high := texts["low"], texts["high"]
		shape.Change.Low, shape.Change.High = &low, &high
	}
	return shape
}

func phaseOf(p monitor.Phase) phaseShape {
	l := p.Limits
	shape := phaseShape{From: p.From, To: p.To, Kind: l.Kind, Scale: string(l.Scale), ScaleReason: l.ScaleReason, Sigma: l.Sigma, SigmaEstimator: l.SigmaEstimator, N: l.Facts.N,
		Revision: p.Revision, RevisionNow: p.RevisionNow, Changed: p.Changed, Panels: []panelShape{}}
	if p.Baseline != nil {
		b := baselineOf(*p.Baseline)
		shape.Baseline = &b
	}
	for _, panel := range []spc.Panel{p.Values, p.Smoothed, p.Within} {
		if len(panel.Points) == 0 {
			continue
		}
		one := panelShape{Name: panel.Name, Values: panel.Points, Centre: panel.Centre, Low: panel.Low, High: panel.High}
		if l.Facts.NoLimits { // Points alone.
			one.Centre = []float64{}
		}
		shape.Panels = append(shape.Panels, one)
	}
	return shape
}

func baselineOf(b models.ChartBaseline) baselineShape {
	shape := baselineShape{ID: b.ID, First: b.FirstInspection, Last: b.LastInspection, HoldsFrom: instant(b.HoldsFrom), Excluded: []exclusionShape{}, Note: b.Note, MadeBy: b.MadeBy, MadeAt: instant(b.MadeAt)}
	for _, e := range b.Excluded {
		shape.Excluded = append(shape.Excluded, exclusionShape{e.InspectionID, e.Reason})
	}
	return shape
}

func causesOf(list []models.SignalCause) []causeShape {
	shapes := make([]causeShape, len(list))
	for i, c := range list {
		shapes[i] = causeShape{c.ID, c.Code, english.Cause(c.Code), c.Note, c.Action, c.MadeBy, instant(c.MadeAt)}
	}
	return shapes
}

func factsOf(f spc.Facts) factsShape {
	shape := factsShape{N: f.N, Distinct: f.Distinct, Correlated: f.Correlated, Provisional: f.Provisional, NoLimits: f.NoLimits,
		NoLimitsReason: f.NoLimitsReason, ResolutionCoarse: f.ResolutionCoarse}
	if f.Lag1Known {
		shape.Lag1, shape.Lag1Limit = &f.Lag1, &f.Lag1Limit
	}
	if f.Resolution > 0 {
		shape.Resolution = &f.Resolution
	}
	return shape
}

// chartMark says whether a chart is still the one that was fetched.
func (a *api) chartMark(c *gin.Context) error {
	given := query(c)
	mark, err := a.services.Monitor.Mark(c.Request.Context(), models.ChartKey{FamilyID: given["family"], ProductID: given["product"], Place: given["place"], Result: given["result"]})
	if err != nil {
		return err
	}
	sum := sha256.Sum256([]byte(mark))
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	c.Header("ETag", tag)
	if matches(c.GetHeader("If-None-Match"), tag) {
		c.Status(http.StatusNotModified)
		c.Writer.WriteHeaderNow()
		return nil
	}
	return answer(c, http.StatusOK, gin.H{"mark": hex.EncodeToString(sum[:12])})
}
