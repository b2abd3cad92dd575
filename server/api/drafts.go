package api

import (
	"context"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/server/httpx"
)

// draftShape is a submission in the making. In a list the content is left out.
type draftShape struct {
	ID        string             `json:"id"`
	Version   int                `json:"version"`
	Serial    string             `json:"serial"`
	Print     string             `json:"print"`
	Kind      string             `json:"kind"`
	Stage     string             `json:"stage"`
	Person    string             `json:"person"` // name
	PersonID  string             `json:"person_id"`
	Place     string             `json:"place"`
	UpdatedAt instant            `json:"updated_at"`
	Closed    bool               `json:"closed"` // submitted or set aside
	Content   *models.Submission `json:"content,omitempty"`
}

func draftOf(d models.Draft, names map[string]string, whole bool) draftShape {
	shape := draftShape{ID: d.ID, Version: d.Version, Serial: d.Serial, Print: words.Serial(d.Serial), Kind: d.Kind, Stage: d.Stage, Person: names[d.PersonID],
		PersonID: d.PersonID, Place: d.Content.Place, UpdatedAt: instant(d.UpdatedAt), Closed: d.ClosedAt != nil}
	if whole {
		shape.Content = &d.Content
	}
	return shape
}

// names gives people by their ids.
func (a *api) names(ctx context.Context) (map[string]string, error) {
	people, err := a.services.Access.People(ctx)
	if err != nil {
		return nil, fmt.Errorf("names of people: %w", err)
	}
	return models.NamesOf(people), nil
}

func (a *api) drafts(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Capture.Drafts(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]draftShape, len(list))
	for i, d := range list {
		shapes[i] = draftOf(d, names, false)
	}
	return answer(c, http.StatusOK, gin.H{"drafts": shapes})
}

func (a *api) draft(c *gin.Context) error {
	d, err := a.services.Capture.Draft(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerDraft(c, http.StatusOK, d)
}

func (a *api) answerDraft(c *gin.Context, status int, d models.Draft) error {
	names, err := a.names(c.Request.Context())
	if err != nil {
		return err
	}
	return answer(c, status, draftOf(d, names, true))
}

// saveDraft writes a draft over the version its tablet last saw, 0 for a new
// one.
func (a *api) saveDraft(c *gin.Context) error {
	var in struct {
		Version int               `json:"version" needed:"yes"`
		Content models.Submission `json:"content"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if in.Content.ID == "" {
		in.Content.ID = c.Param("id")
	}
	if in.Content.ID != c.Param("id") {
		return models.Invalid("content.id", "bad_id")
	}
	d, err := a.services.Capture.SaveDraft(c.Request.Context(), httpx.Actor(c), in.Content, in.Version)
	if err != nil {
		return err
	}
	status := http.StatusOK
	if in.Version == 0 {
		status = http.StatusCreated
	}
	return a.answerDraft(c, status, d)
}

func (a *api) takeOverDraft(c *gin.Context) error {
	d, err := a.services.Capture.TakeOver(c.Request.Context(), httpx.Actor(c), c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerDraft(c, http.StatusOK, d)
}

func (a *api) setDraftAside(c *gin.Context) error {
	ctx := c.Request.Context()
	if err := a.services.Capture.SetAside(ctx, httpx.Actor(c), c.Param("id")); err != nil {
		return err
	}
	d, err := a.services.Capture.Draft(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	return a.answerDraft(c, http.StatusOK, d)
}
