package api

import (
	"context"
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/access"
	"tracewright/models/work/release"
	"tracewright/server/httpx"
)

// holdShape is a hold and, once it was lifted, its lift.
type holdShape struct {
	ID       string     `json:"id"`
	ItemID   string     `json:"item_id,omitempty"`
	Item     string     `json:"item,omitempty"` // its serial, or maker and number
	LotID    string     `json:"lot_id,omitempty"`
	Lot      string     `json:"lot,omitempty"` // its code
	Code     string     `json:"code"`
	Name     string     `json:"name"`
	Reason   string     `json:"reason"`
	Message  string     `json:"message"`   // the reason in words
	RaisedBy string     `json:"raised_by"` // name
	RaisedAt instant    `json:"raised_at"`
	Lift     *liftShape `json:"lift,omitempty"`
}

type liftShape struct {
	Code     string  `json:"code"`
	Reason   string  `json:"reason"`
	LiftedBy string  `json:"lifted_by"` // name
	LiftedAt instant `json:"lifted_at"`
}

func (a *api) holdOf(h models.Hold, lift *models.HoldLift, names map[string]string) holdShape {
	shape := holdShape{ID: h.ID, ItemID: pointed(h.ItemID), LotID: pointed(h.LotID), Code: h.Code, Name: a.services.Fault(context.Background(), h.Code, h.RaisedAt), Reason: h.Reason, Message: words.Sentence(english.HoldReason(h.Code, h.Reason)),
		RaisedBy: named(names, h.RaisedBy), RaisedAt: instant(h.RaisedAt)}
	if lift != nil {
		shape.Lift = &liftShape{Code: lift.Code, Reason: lift.Reason, LiftedBy: named(names, lift.LiftedBy), LiftedAt: instant(lift.LiftedAt)}
	}
	return shape
}

// named gives a name by an id; what is no person ("system") stays as it is.
func named(names map[string]string, id string) string {
	if name, ok := names[id]; ok {
		return name
	}
	return id
}

// holds lists every open one, oldest first, with the name of what it is on.
func (a *api) holds(c *gin.Context) error {
	ctx := c.Request.Context()
	open, err := a.services.Monitor.Holds(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]holdShape, len(open))
	for i, h := range open {
		shapes[i] = a.holdOf(h.Hold, nil, names)
		shapes[i].Item, shapes[i].Lot = h.Name(), h.Lot
	}
	return answer(c, http.StatusOK, gin.H{"holds": shapes})
}

// raiseHold stops an item, or everything of a lot, from being released.
func (a *api) raiseHold(c *gin.Context) error {
	var in struct {
		Item   string `json:"item"` // serial or id
		Lot    string `json:"lot"`  // code
		Code   string `json:"code"`
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	hold, err := a.services.Release.RaiseHold(ctx, httpx.Actor(c), release.HoldRequest{Item: in.Item, Lot: in.Lot, Code: in.Code, Reason: strings.TrimSpace(in.Reason)})
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shape := a.holdOf(hold, nil, names)
	if hold.LotID != nil { // As it is written, whatever was typed.
		lots, err := a.services.Receive.LotsOfCode(ctx, in.Lot)
		if err != nil {
			return err
		}
		for _, l := range lots {
			shape.Lot = l.Code
		}
	}
	return answer(c, http.StatusCreated, shape)
}

// liftHold ends a hold with a code and a reason.
func (a *api) liftHold(c *gin.Context) error {
	var in struct {
		Code    string        `json:"code"`
		Reason  string        `json:"reason"`
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	lift, err := a.services.Release.LiftHold(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.Code, strings.TrimSpace(in.Reason))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"id": c.Param("id"), "lifted_at": instant(lift.LiftedAt)})
}
