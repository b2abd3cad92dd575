package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// unplacedShape is an inspection that waits for a person, whole.
type unplacedShape struct {
	ID         string            `json:"id"`
	Cause      remark            `json:"cause"`
	Person     string            `json:"person"` // id
	OffsetMS   int64             `json:"offset_ms"`
	ReceivedAt instant           `json:"received_at"`
	Content    models.Submission `json:"content"`
}

func unplacedOf(u models.Unplaced) unplacedShape {
	return unplacedShape{ID: u.ID, Cause: remarks([]models.Remark{u.Cause})[0], Person: u.PersonID, OffsetMS: u.OffsetMS, ReceivedAt: instant(u.ReceivedAt), Content: u.Content}
}

func (a *api) unplaced(c *gin.Context) error {
	list, err := a.services.Capture.Unplaced(c.Request.Context())
	if err != nil {
		return err
	}
	shapes := make([]unplacedShape, len(list))
	for i, u := range list {
		shapes[i] = unplacedOf(u)
	}
	return answer(c, http.StatusOK, gin.H{"unplaced": shapes})
}

// settlement says what becomes of an unplaced inspection, and why.
type settlement struct {
	Serial string `json:"serial"` // empty: the one it was sent with
	Reason string `json:"reason"`
}

func (a *api) placeUnplaced(c *gin.Context) error {
	var in settlement
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	got, err := a.services.Capture.Place(ctx, httpx.Actor(c), c.Param("id"), in.Serial, in.Reason)
	if err != nil {
		return err
	}
	a.compareTurns(ctx, httpx.Actor(c), got)
	body, err := a.outcome(ctx, got)
	if err != nil {
		return err
	}
	return created(c, "/inspections/"+got.Inspection.ID, body)
}

func (a *api) dismissUnplaced(c *gin.Context) error {
	var in struct {
		Reason string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	settled, err := a.services.Capture.Dismiss(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.Reason)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"id": c.Param("id"), "dismissed_at": instant(settled.SettledAt)})
}

func (a *api) now() time.Time { return a.services.Now() }
