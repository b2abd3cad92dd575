package api

import (
	"context"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/models/work/truing"
	"tracewright/server/httpx"
)

// makeTurns gives the turn list of an inspection, 201 when it was made now.
// Where there can be none the answer says why, and nothing is stored.
func (a *api) makeTurns(c *gin.Context) error {
	var in struct {
		Short *int `json:"short"`
	}
	if c.Request.ContentLength != 0 { // No body asks for the usual list.
		if err := httpx.DecodeJSON(c, &in); err != nil {
			return err
		}
	}
	id := c.Param("id")
	short := 0 // The list that is there, or the usual one.
	if in.Short != nil {
		short = *in.Short
		if err := truing.CheckShort(short); err != nil {
			return err
		}
	}
	sheet, made, err := a.services.Truing.Make(c.Request.Context(), httpx.Actor(c), id, short)
	if err != nil {
		return err
	}
	if made {
		return created(c, "/inspections/"+id+"/turns", turnsOf(sheet))
	}
	return answer(c, http.StatusOK, turnsOf(sheet))
}

func (a *api) turns(c *gin.Context) error {
	sheet, err := a.services.Truing.Sheet(c.Request.Context(), c.Param("id"))
	return answerTurns(c, sheet, err)
}

// tickTurn says that one turn of a list was made, or takes it back.
func (a *api) tickTurn(c *gin.Context) error {
	var in struct {
		Turned bool      `json:"turned" needed:"yes"`
		At     time.Time `json:"at"`
		SentAt time.Time `json:"sent_at"`
		Person string    `json:"person"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	n, err := strconv.Atoi(c.Param("n"))
	if err != nil {
		n = 0 // No turn has this number: not found.
	}
	sheet, err := a.services.Truing.Tick(c.Request.Context(), httpx.Actor(c), c.Param("id"), c.Param("list"), n, in.Turned, truing.Sent{At: in.At, SentAt: in.SentAt, Person: in.Person})
	return answerTurns(c, sheet, err)
}

// answerStop says what happened where readings contradict a list.
func (a *api) answerStop(c *gin.Context) error {
	var in struct {
		Cause string `json:"cause"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if in.Cause == "" {
		return models.Invalid("cause", "missing")
	}
	sheet, err := a.services.Truing.Answer(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.Cause)
	return answerTurns(c, sheet, err)
}

// compareTurns holds new readings against the turn list that was begun before
// them, where the item has one open or the readings correct earlier ones; any
// other inspection costs nothing here. It never fails the posting: the readings
// are stored, and what could not be compared now is when the next list is asked
// for.
func (a *api) compareTurns(ctx context.Context, actor models.Actor, o capture.Outcome) {
	if !o.Placed || o.Item.Kind != models.KindWheel || o.Item.TurnsOpen == nil && o.Inspection.Supersedes == nil {
		return
	}
	if err := a.services.Truing.Compare(ctx, actor, o.Inspection.ID); err != nil && a.services.Log != nil {
		a.services.Log.ErrorContext(ctx, "readings were not compared with the turns before them", "inspection", o.Inspection.ID, "cause", err)
	}
}

func answerTurns(c *gin.Context, sheet truing.Sheet, err error) error {
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, turnsOf(sheet))
}
