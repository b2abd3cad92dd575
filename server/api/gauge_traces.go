package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// traceLine is a reverse trace in a list.
type traceLine struct {
	ID      string  `json:"id"`
	Cause   string  `json:"cause"` // calibration, check
	CauseID string  `json:"cause_id"`
	N       int     `json:"n"` // of the answers for this cause
	MadeAt  instant `json:"made_at"`
	MadeBy  string  `json:"made_by"` // name
}

func traceLineOf(t models.GaugeTrace, names map[string]string) traceLine {
	return traceLine{ID: t.ID, Cause: t.Cause, CauseID: t.CauseID, N: t.N, MadeAt: instant(t.MadeAt), MadeBy: named(names, t.MadeBy)}
}

// traceShape is a reverse trace, item by item.
type traceShape struct {
	traceLine
	SHA256  string              `json:"sha256"` // of what was frozen
	At      instant             `json:"at"`     // of the failure
	Unit    string              `json:"unit"`
	Windows []traceWindowShape  `json:"windows"`
	Errors  []models.TraceError `json:"errors"`
	Items   []tracedItemShape   `json:"items"`
}

type traceWindowShape struct {
	Instrument string   `json:"instrument"`
	From       *instant `json:"from,omitempty"`  // after it; left out: from the beginning
	Until      *instant `json:"until,omitempty"` // up to and with it; left out: not ended yet
	PassedOn   bool     `json:"passed_on"`
}

type tracedItemShape struct {
	ID       string           `json:"id"`
	Item     string           `json:"item"` // serial, or maker and number
	Effect   string           `json:"effect"`
	Where    string           `json:"where"` // here, shipped, scrapped
	Held     bool             `json:"held"`
	Shipment string           `json:"shipment,omitempty"` // its number
	Sets     []tracedSetShape `json:"sets"`
}

type tracedSetShape struct {
	Inspection string               `json:"inspection"`
	Code       string               `json:"characteristic"`
	Method     string               `json:"method"`
	Instrument string               `json:"instrument"`
	MeasuredAt instant              `json:"measured_at"`
	Effect     string               `json:"effect"`
	Reason     string               `json:"reason,omitempty"`
	Results    []models.TraceResult `json:"results"`
}

func traceOf(v gauges.TraceView, names map[string]string) traceShape {
	s := traceShape{traceLine: traceLineOf(v.Trace, names), SHA256: v.Trace.ContentHash, At: instant(v.Content.At), Unit: v.Content.Unit, Windows: make([]traceWindowShape, len(v.Content.Windows)), Errors: v.Content.Errors, Items: make([]tracedItemShape, len(v.Items))}
	for i, w := range v.Content.Windows {
		s.Windows[i] = traceWindowShape{Instrument: w.Instrument, PassedOn: w.PassedOn}
		if w.From != nil {
			at := instant(*w.From)
			s.Windows[i].From = &at
		}
		if w.Until != nil {
			at := instant(*w.Until)
			s.Windows[i].Until = &at
		}
	}
	for i, x := range v.Items {
		item := tracedItemShape{ID: x.Item.ID, Item: x.Item.Name(), Effect: x.Effect, Where: x.Where, Held: x.Held, Sets: make([]tracedSetShape, len(x.Sets))}
		if x.Shipment != nil {
			item.Shipment = x.Shipment.Number
		}
		for k, set := range x.Sets {
			item.Sets[k] = tracedSetShape{Inspection: set.Inspection, Code: set.Code, Method: set.Method, Instrument: set.Instrument, MeasuredAt: instant(set.MeasuredAt), Effect: set.Effect, Reason: set.Reason, Results: append([]models.TraceResult{}, set.Results...)}
		}
		s.Items[i] = item
	}
	return s
}

func (a *api) gaugeTraces(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Gauges.Traces(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]traceLine, len(list))
	for i, t := range list {
		lines[i] = traceLineOf(t, names)
	}
	return answer(c, http.StatusOK, gin.H{"traces": lines})
}

func (a *api) gaugeTrace(c *gin.Context) error {
	shape, err := a.traced(c, c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) traced(c *gin.Context, id string) (traceShape, error) {
	ctx := c.Request.Context()
	v, err := a.services.Gauges.Traced(ctx, c.Param("code"), id)
	if err != nil {
		return traceShape{}, err
	}
	names, err := a.names(ctx)
	return traceOf(v, names), err
}

// traceGauge asks again what a failed gauge had measured, and freezes the answer.
func (a *api) traceGauge(c *gin.Context) error {
	var in struct {
		Cause   string `json:"cause"`
		CauseID string `json:"cause_id"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	t, err := a.services.Gauges.Trace(c.Request.Context(), httpx.Actor(c), c.Param("code"), in.Cause, in.CauseID)
	if err != nil {
		return err
	}
	shape, err := a.traced(c, t.ID)
	if err != nil {
		return err
	}
	return created(c, "/instruments/"+c.Param("code")+"/traces/"+t.ID, shape)
}

// holdTraced puts what is here and no longer passes, or of which it cannot be told,
// on hold.
func (a *api) holdTraced(c *gin.Context) error {
	held, err := a.services.Gauges.HoldTraced(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"held": held})
}
