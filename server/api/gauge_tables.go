package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// gaugeTableShape is what the divisions of a gauge mean on a type of spoke.
type gaugeTableShape struct {
	SpokeType string              `json:"spoke_type"`
	N         int                 `json:"n"` // the newest of a spoke is in force
	Points    []models.GaugePoint `json:"points"`
	Reason    string              `json:"reason"`
	EnteredAt instant             `json:"entered_at"`
	EnteredBy string              `json:"entered_by"` // name
}

func (a *api) gaugeTables(c *gin.Context) error {
	ctx := c.Request.Context()
	tables, err := a.services.Gauges.Tables(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]gaugeTableShape, len(tables))
	for i, t := range tables {
		shapes[i] = gaugeTableOf(t, names)
	}
	return answer(c, http.StatusOK, gin.H{"tables": shapes})
}

func gaugeTableOf(t models.GaugeTable, names map[string]string) gaugeTableShape {
	return gaugeTableShape{SpokeType: t.SpokeType, N: t.N, Points: t.Points, Reason: t.Reason, EnteredAt: instant(t.EnteredAt), EnteredBy: names[t.EnteredBy]}
}

// addGaugeTable adds a table, which is in force from now on.
func (a *api) addGaugeTable(c *gin.Context) error {
	var in struct {
		SpokeType string              `json:"spoke_type"`
		Points    []models.GaugePoint `json:"points"`
		Reason    string              `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	table, err := a.services.Gauges.AddTable(ctx, httpx.Actor(c), c.Param("code"), gauges.NewTable{SpokeType: in.SpokeType, Points: in.Points, Reason: in.Reason})
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	return created(c, "/instruments/"+c.Param("code")+"/tables", gaugeTableOf(table, names))
}
