package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/corrective"
	"tracewright/server/httpx"
)

// actionLine is a corrective action in a list.
type actionLine struct {
	Number   string  `json:"number"`
	State    string  `json:"state"` // open, done, worked, closed
	Problem  string  `json:"problem"`
	Owner    string  `json:"owner"`            // name
	DueBy    string  `json:"due_by,omitempty"` // day of the next step
	Overdue  bool    `json:"overdue"`
	OpenedBy string  `json:"opened_by"` // name
	OpenedAt instant `json:"opened_at"`
}

// actionShape is one with what became of it.
type actionShape struct {
	actionLine
	Steps []actionStepLine `json:"steps"` // the oldest first; the newest stated holds
}

type actionStepLine struct {
	ID              string   `json:"id"`
	What            string   `json:"what"`
	Problem         string   `json:"problem,omitempty"`
	Containment     string   `json:"containment,omitempty"`
	Cause           string   `json:"cause,omitempty"`
	Action          string   `json:"action,omitempty"`
	Owner           string   `json:"owner,omitempty"` // name
	DueOn           string   `json:"due_on,omitempty"`
	CheckOn         string   `json:"check_on,omitempty"`
	Codes           []string `json:"codes,omitempty"`
	Lots            []string `json:"lots,omitempty"`
	Nonconformities []string `json:"nonconformities,omitempty"`
	Worked          *bool    `json:"worked,omitempty"` // of a check
	Note            string   `json:"note,omitempty"`
	MadeBy          string   `json:"made_by"` // name
	MadeAt          instant  `json:"made_at"`
}

func (a *api) actionLine(ctx context.Context, v models.CorrectiveActionView, names map[string]string) actionLine {
	stated := v.Stated()
	return actionLine{Number: v.Number, State: v.State, Problem: stated.Problem, Owner: named(names, stated.OwnerID), DueBy: v.DueBy(), Overdue: v.Overdue(a.services.Corrective.Today(ctx)),
		OpenedBy: named(names, v.OpenedBy), OpenedAt: instant(v.OpenedAt)}
}

// correctiveActions lists those that are open, what is due first before the others.
func (a *api) correctiveActions(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Corrective.Open(ctx)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]actionLine, len(list))
	for i, v := range list {
		lines[i] = a.actionLine(ctx, v, names)
	}
	return answer(c, http.StatusOK, gin.H{"corrective_actions": lines})
}

func (a *api) actionOf(ctx context.Context, v models.CorrectiveActionView) (actionShape, error) {
	names, err := a.names(ctx)
	if err != nil {
		return actionShape{}, err
	}
	shape := actionShape{actionLine: a.actionLine(ctx, v, names), Steps: make([]actionStepLine, len(v.Steps))}
	for i, s := range v.Steps {
		shape.Steps[i] = actionStepLine{ID: s.ID, What: s.What, Problem: s.Problem, Containment: s.Containment, Cause: s.Cause, Action: s.Action, Owner: named(names, s.OwnerID), DueOn: s.DueOn, CheckOn: s.CheckOn,
			Codes: s.Codes, Lots: s.Lots, Nonconformities: s.Nonconformities, Note: s.Note, MadeBy: named(names, s.MadeBy), MadeAt: instant(s.MadeAt)}
		if s.What == models.ActionChecked {
			shape.Steps[i].Worked = &s.Worked
		}
	}
	return shape, nil
}

// planIn is what is known and planned, as it is sent.
type planIn struct {
	Problem         string   `json:"problem"`
	Containment     string   `json:"containment"`
	Cause           string   `json:"cause"`
	Action          string   `json:"action"`
	Owner           string   `json:"owner"` // key of a person
	DueOn           string   `json:"due_on"`
	CheckOn         string   `json:"check_on"`
	Codes           []string `json:"codes"`
	Lots            []string `json:"lots"`
	Nonconformities []string `json:"nonconformities"`
}

func (a *api) addCorrectiveAction(c *gin.Context) error {
	var in planIn
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Corrective.Add(ctx, httpx.Actor(c), corrective.Plan(in))
	if err != nil {
		return err
	}
	shape, err := a.actionOf(ctx, v)
	if err != nil {
		return err
	}
	return created(c, "/corrective-actions/"+v.Number, shape)
}

func (a *api) correctiveAction(c *gin.Context) error { return a.changedAction(c, nil) }

// changedAction answers with it as it stands after a change.
func (a *api) changedAction(c *gin.Context, err error) error {
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Corrective.One(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	shape, err := a.actionOf(ctx, v)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) stateCorrectiveAction(c *gin.Context) error {
	var in struct {
		planIn
		From string `json:"from"`
	}
	err := httpx.DecodeJSON(c, &in)
	if err == nil {
		err = a.services.Corrective.State(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.From, corrective.Plan(in.planIn))
	}
	return a.changedAction(c, err)
}

func (a *api) carriedCorrectiveAction(c *gin.Context) error {
	note, err := noted(c)
	if err == nil {
		err = a.services.Corrective.Carried(c.Request.Context(), httpx.Actor(c), c.Param("number"), note)
	}
	return a.changedAction(c, err)
}

func (a *api) checkCorrectiveAction(c *gin.Context) error {
	var in struct {
		Worked bool   `json:"worked" needed:"yes"`
		Note   string `json:"note"`
	}
	err := httpx.DecodeJSON(c, &in)
	if err == nil {
		err = a.services.Corrective.Checked(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Worked, in.Note)
	}
	return a.changedAction(c, err)
}

func (a *api) closeCorrectiveAction(c *gin.Context) error {
	var in struct {
		Note    string        `json:"note"`
		Confirm access.Secret `json:"confirm"`
	}
	err := httpx.DecodeJSON(c, &in)
	if err == nil {
		err = a.services.Sessions.Confirm(c, in.Confirm)
	}
	if err == nil {
		err = a.services.Corrective.Close(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Note)
	}
	return a.changedAction(c, err)
}
