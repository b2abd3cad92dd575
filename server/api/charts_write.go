package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/monitor"
	"tracewright/server/httpx"
)

// chartKeyShape names a chart.
type chartKeyShape struct {
	Family  string `json:"family"`
	Product string `json:"product"`
	Place   string `json:"place"`
	Result  string `json:"result"`
}

func (k chartKeyShape) key() models.ChartKey {
	return models.ChartKey{FamilyID: k.Family, ProductID: k.Product, Place: k.Place, Result: k.Result}
}

// chooseBaseline freezes the limits of a stretch of a chart.
func (a *api) chooseBaseline(c *gin.Context) error {
	var in struct {
		chartKeyShape
		First    string           `json:"first"`
		Last     string           `json:"last"`
		Excluded []exclusionShape `json:"excluded"`
		Note     string           `json:"note"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	chosen := monitor.NewBaseline{ChartKey: in.key(), First: in.First, Last: in.Last, Note: in.Note}
	for _, e := range in.Excluded {
		chosen.Excluded = append(chosen.Excluded, models.ChartExclusion{InspectionID: e.Inspection, Reason: e.Reason})
	}
	b, err := a.services.Monitor.AddBaseline(c.Request.Context(), httpx.Actor(c), chosen)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, baselineOf(b))
}

// explainSignal keeps the cause of a signal.
func (a *api) explainSignal(c *gin.Context) error {
	var in struct {
		chartKeyShape
		Rule       string `json:"rule"`
		Side       string `json:"side"`
		Inspection string `json:"inspection"`
		Code       string `json:"code"`
		Note       string `json:"note"`
		Action     string `json:"action"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	cause, err := a.services.Monitor.AddCause(c.Request.Context(), httpx.Actor(c), monitor.NewCause{ChartKey: in.key(), Rule: in.Rule, Side: in.Side, InspectionID: in.Inspection, Code: in.Code, Note: in.Note, Action: in.Action})
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, causesOf([]models.SignalCause{cause})[0])
}

// addHappening keeps something that happened, to stand beside the points.
func (a *api) addHappening(c *gin.Context) error {
	var in struct {
		Family string    `json:"family"`
		Place  string    `json:"place"`
		At     time.Time `json:"at"`
		Words  string    `json:"words"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	e, err := a.services.Monitor.AddEvent(c.Request.Context(), httpx.Actor(c), monitor.NewEvent{FamilyID: in.Family, Place: in.Place, At: in.At, Words: in.Words})
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, eventShape{At: instant(e.At), Kind: models.HappenedEvent, Place: e.Place, Detail: e.Words, Person: httpx.Actor(c).PersonID})
}
