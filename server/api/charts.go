package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/spc"
	"tracewright/models/work/monitor"
)

// chartShape is a control chart as data. Its numbers are those of a drawing,
// not of a record, and so are JSON numbers; the exact value of each point stands
// beside it as text.
type chartShape struct {
	Family         familyLine    `json:"family"`
	Product        *productLine  `json:"product"`
	Result         string        `json:"result"`
	Name           string        `json:"name"`
	Place          string        `json:"place,omitempty"`
	Unit           string        `json:"unit,omitempty"`
	Decimals       int           `json:"decimals"`
	FirstSets      bool          `json:"first_sets"`
	Truncated      bool          `json:"truncated"`
	Kind           string        `json:"kind"`
	Scale          string        `json:"scale,omitempty"`
	ScaleReason    string        `json:"scale_reason,omitempty"`
	Sigma          *float64      `json:"sigma"`
	SigmaEstimator string        `json:"sigma_estimator,omitempty"`
	Facts          factsShape    `json:"facts"`
	Needed         int           `json:"needed"` // points before there are limits
	Points         []pointShape  `json:"points"`
	Panels         []panelShape  `json:"panels"`
	Signals        []signalShape `json:"signals"`
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
}

// panelShape is one strip: first is the index of the point its values begin at.
type panelShape struct {
	Name   string    `json:"name"`
	First  int       `json:"first"`
	Values []float64 `json:"values"`
	Centre []float64 `json:"centre"`
	Low    []float64 `json:"low"` // null: no limit on this side
	High   []float64 `json:"high"`
}

type signalShape struct {
	Panel  string `json:"panel"`
	Point  int    `json:"point"`
	Side   string `json:"side"`
	Reason remark `json:"reason"`
}

func (a *api) chart(c *gin.Context) error {
	given, err := query(c, "family", "product", "place", "result", "from", "to")
	if err != nil {
		return err
	}
	q := monitor.ChartQuery{FamilyID: given["family"], ProductID: given["product"], Place: given["place"], Result: given["result"]}
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
	t, err := time.ParseInLocation(time.DateOnly, text, zone)
	if err != nil {
		invalid.Add(field, "bad_date", "typed", models.Shortened(text))
		return time.Time{}
	}
	return t.AddDate(0, 0, after).UTC()
}

func chartOf(v monitor.ChartView) chartShape {
	shape := chartShape{Family: familyLineOf(v.Family), Result: v.Query.Result, Name: english.Result(v.Query.Result), Place: v.Query.Place, Unit: v.Unit,
		Decimals: v.Decimals, FirstSets: v.FirstSets, Truncated: v.Truncated, Kind: v.Kind, Scale: string(v.Scale), ScaleReason: v.ScaleReason,
		SigmaEstimator: v.SigmaEstimator, Facts: factsOf(v.Facts), Needed: v.Needed,
		Points: make([]pointShape, len(v.Points)), Panels: make([]panelShape, len(v.Panels)), Signals: make([]signalShape, len(v.Signals))}
	if v.Product != nil {
		line := productLineOf(*v.Product, v.Family.Name)
		shape.Product = &line
	}
	if v.SigmaEstimator != "" {
		shape.Sigma = &v.Sigma
	}
	for i, p := range v.Points {
		shape.Points[i] = pointShape{InspectionID: p.InspectionID, ItemID: p.ItemID, Serial: p.Serial, MeasuredAt: instant(p.MeasuredAt), Value: p.Value,
			Place: p.Place, Person: p.PersonID, Product: p.ProductID}
	}
	for i, p := range v.Panels {
		shape.Panels[i] = panelShape{Name: p.Name, First: p.First, Values: p.Points, Centre: p.Centre, Low: p.Low, High: p.High}
	}
	for i, s := range v.Signals {
		shape.Signals[i] = signalShape{Panel: s.Panel, Point: s.Point, Side: string(s.Side), Reason: remarks([]models.Remark{signalReason(s, v.Unit)})[0]}
	}
	return shape
}

// signalReason is a signal's reason with the unit of its values, where they have
// one: a ratio of neighbours has none.
func signalReason(s monitor.Signal, unit string) models.Remark {
	r := models.Remark{Code: s.Reason.Code + "_" + string(s.Side), Values: map[string]string{}}
	for name, value := range s.Reason.Values {
		r.Values[name] = value
	}
	if s.Panel != spc.PanelMovingRatio && unit != "" {
		r.Values["unit"] = unit
	}
	return r
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
