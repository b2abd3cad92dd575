package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/shelf"
	"tracewright/server/httpx"
)

func (a *api) charges(c *gin.Context) error {
	ctx := c.Request.Context()
	charges, err := a.services.Shelf.Charges(ctx, c.Param("item"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]chargeShape, len(charges))
	for i, v := range charges {
		shapes[i] = chargeOf(v, names)
	}
	return answer(c, http.StatusOK, gin.H{"charges": shapes})
}

// startCharge puts one pack or block on a charger.
func (a *api) startCharge(c *gin.Context) error {
	var in struct {
		ID        string    `json:"id"`   // of the charge; left out: made here
		Kind      string    `json:"kind"` // left out: refresh
		Charger   string    `json:"charger"`
		StartedAt time.Time `json:"started_at"` // left out: now
		SentAt    time.Time `json:"sent_at"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	charge, err := a.services.Shelf.StartCharge(ctx, httpx.Actor(c), c.Param("item"), shelf.NewCharge{ID: in.ID, Kind: in.Kind, Charger: in.Charger, Started: a.onOurClock(in.StartedAt, in.SentAt)})
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	return created(c, "/items/"+c.Param("item")+"/charges", chargeOf(models.ChargeView{Charge: charge}, names))
}

// startAllCharges puts everything that is due today on a charger.
func (a *api) startAllCharges(c *gin.Context) error {
	var in struct {
		Charger string `json:"charger"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	items, err := a.services.Shelf.StartAll(ctx, httpx.Actor(c), in.Charger)
	if err != nil {
		return err
	}
	lines, err := a.itemLines(ctx, items)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, gin.H{"items": lines})
}

func (a *api) endCharge(c *gin.Context) error {
	var in struct {
		EndedAt    time.Time `json:"ended_at"` // left out: now
		EndCurrent string    `json:"end_current_a"`
		SentAt     time.Time `json:"sent_at"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	charge, err := a.services.Shelf.EndCharge(ctx, httpx.Actor(c), c.Param("id"), in.EndCurrent, a.onOurClock(in.EndedAt, in.SentAt))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, chargeOf(charge, names))
}
