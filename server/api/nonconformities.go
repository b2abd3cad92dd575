package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/nonconforming"
	"tracewright/server/httpx"
)

// nonconformityLine is a nonconformity in a list.
type nonconformityLine struct {
	Number   string   `json:"number"`
	State    string   `json:"state"` // of its item while it is open, then closed
	Item     itemLine `json:"item"`
	Code     string   `json:"code"`
	Name     string   `json:"name"` // of the code, as it was said then
	Severity string   `json:"severity"`
	Note     string   `json:"note"`
	OpenedBy string   `json:"opened_by"` // name
	OpenedAt instant  `json:"opened_at"`
}

// nonconformityShape is one with what became of it.
type nonconformityShape struct {
	nonconformityLine
	Inspection string                  `json:"inspection,omitempty"` // the newest that judged the item then
	Failed     []string                `json:"failed"`               // characteristics of it
	Holds      []string                `json:"holds"`                // that it stands on
	Steps      []nonconformityStepLine `json:"steps"`                // the oldest first
	Photos     []paperShape            `json:"photos"`
}

type nonconformityStepLine struct {
	ID         string   `json:"id"`
	What       string   `json:"what"`
	Inspection string   `json:"inspection,omitempty"`
	Results    []string `json:"results,omitempty"`
	Work       string   `json:"work,omitempty"`
	Again      []string `json:"again,omitempty"`
	Supplier   string   `json:"supplier,omitempty"`
	Lot        string   `json:"lot,omitempty"`
	Marked     bool     `json:"marked,omitempty"`
	Found      []string `json:"found,omitempty"`    // codes of what else was found
	Severity   string   `json:"severity,omitempty"` // of what failed when it was inspected again
	Note       string   `json:"note,omitempty"`
	MadeBy     string   `json:"made_by"` // name
	MadeAt     instant  `json:"made_at"`
}

func (a *api) nonconformityLine(ctx context.Context, v models.NonconformityView, items map[string]models.Item, names map[string]string) (nonconformityLine, error) {
	item, err := a.itemLine(ctx, items[v.ItemID])
	return nonconformityLine{Number: v.Number, State: v.State, Item: item, Code: v.Code, Name: a.services.Fault(ctx, v.Code, v.OpenedAt), Severity: string(v.Worst()), Note: v.Note,
		OpenedBy: named(names, v.OpenedBy), OpenedAt: instant(v.OpenedAt)}, err
}

// nonconformities lists those that are open, the worst first; or those of an item.
func (a *api) nonconformities(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	var list []models.NonconformityView
	var err error
	if q["item"] == "" {
		list, err = a.services.Nonconforming.Open(ctx)
	} else {
		var item models.Item
		if item, err = a.services.Trace.One(ctx, q["item"]); err == nil {
			list, err = a.services.Nonconforming.Of(ctx, item.ID)
		}
	}
	if err != nil {
		return err
	}
	ids := make([]string, len(list))
	for i, v := range list {
		ids[i] = v.ItemID
	}
	items, err := a.services.Trace.Named(ctx, ids)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	lines := make([]nonconformityLine, len(list))
	for i, v := range list {
		if lines[i], err = a.nonconformityLine(ctx, v, items, names); err != nil {
			return err
		}
	}
	return answer(c, http.StatusOK, gin.H{"nonconformities": lines})
}

func (a *api) nonconformityOf(ctx context.Context, v models.NonconformityView) (nonconformityShape, error) {
	items, err := a.services.Trace.Named(ctx, []string{v.ItemID})
	if err != nil {
		return nonconformityShape{}, err
	}
	names, err := a.names(ctx)
	if err != nil {
		return nonconformityShape{}, err
	}
	shape := nonconformityShape{Inspection: pointed(v.InspectionID), Failed: v.Failed, Holds: v.AllHolds(), Steps: make([]nonconformityStepLine, len(v.Steps))}
	if shape.nonconformityLine, err = a.nonconformityLine(ctx, v, items, names); err != nil {
		return shape, err
	}
	for i, s := range v.Steps {
		shape.Steps[i] = nonconformityStepLine{ID: s.ID, What: s.What, Inspection: pointed(s.InspectionID), Results: s.Results, Work: s.Work, Again: s.Again, Supplier: s.Supplier, Lot: s.Lot, Marked: s.Marked, Severity: string(s.Severity), Note: s.Note,
			MadeBy: named(names, s.MadeBy), MadeAt: instant(s.MadeAt)}
		for _, f := range s.Found {
			shape.Steps[i].Found = append(shape.Steps[i].Found, f.Code)
		}
	}
	papers, err := a.services.Documents.Of(ctx, models.SubjectNonconformity, v.ID)
	shape.Photos = paperShapes(papers, names)
	return shape, err
}

func (a *api) nonconformity(c *gin.Context) error {
	return a.changedNonconformity(c, http.StatusOK, nil)
}

// changedNonconformity answers with it as it stands after a change.
func (a *api) changedNonconformity(c *gin.Context, status int, err error) error {
	if err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Nonconforming.One(ctx, c.Param("number"))
	if err != nil {
		return err
	}
	shape, err := a.nonconformityOf(ctx, v)
	if err != nil {
		return err
	}
	return answer(c, status, shape)
}

// openNonconformity closes work as nonconforming, or opens what is to be decided
// about a hold.
func (a *api) openNonconformity(c *gin.Context) error {
	var in struct {
		Item string `json:"item"` // serial or id
		Code string `json:"code"`
		Note string `json:"note"`

		Severity string `json:"severity"` // empty: as the code says
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Nonconforming.Add(ctx, httpx.Actor(c), nonconforming.Opening{Item: in.Item, Code: in.Code, Severity: in.Severity, Note: in.Note})
	if err != nil {
		return err
	}
	shape, err := a.nonconformityOf(ctx, v)
	if err != nil {
		return err
	}
	return created(c, "/nonconformities/"+v.Number, shape)
}

func (a *api) disposeNonconformity(c *gin.Context) error {
	var in struct {
		What     string        `json:"what"`
		Work     string        `json:"work"`
		Supplier string        `json:"supplier"`
		Lot      string        `json:"lot"`
		Note     string        `json:"note"`
		Confirm  access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	err := a.services.Sessions.Confirm(c, in.Confirm)
	if err == nil {
		err = a.services.Nonconforming.Dispose(c.Request.Context(), httpx.Actor(c), c.Param("number"), nonconforming.Disposition{What: in.What, Work: in.Work, Supplier: in.Supplier, Lot: in.Lot, Note: in.Note})
	}
	return a.changedNonconformity(c, http.StatusOK, err)
}

func (a *api) approveConcession(c *gin.Context) error {
	var in struct {
		Approve bool          `json:"approve" needed:"yes"`
		Note    string        `json:"note"`
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	err := a.services.Sessions.Confirm(c, in.Confirm)
	if err == nil {
		err = a.services.Nonconforming.Approve(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Approve, in.Note)
	}
	return a.changedNonconformity(c, http.StatusOK, err)
}

func (a *api) confirmDisposed(c *gin.Context) error {
	var in struct {
		Marked  bool          `json:"marked"`
		Note    string        `json:"note"`
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	err := a.services.Sessions.Confirm(c, in.Confirm)
	if err == nil {
		err = a.services.Nonconforming.Confirm(c.Request.Context(), httpx.Actor(c), c.Param("number"), in.Marked, in.Note)
	}
	return a.changedNonconformity(c, http.StatusOK, err)
}

// noted is a body with a note alone.
func noted(c *gin.Context) (string, error) {
	var in struct {
		Note string `json:"note"`
	}
	err := httpx.DecodeJSON(c, &in)
	return in.Note, err
}

func (a *api) reworkDone(c *gin.Context) error {
	note, err := noted(c)
	if err == nil {
		err = a.services.Nonconforming.Done(c.Request.Context(), httpx.Actor(c), c.Param("number"), note)
	}
	return a.changedNonconformity(c, http.StatusOK, err)
}

func (a *api) noteNonconformity(c *gin.Context) error {
	note, err := noted(c)
	if err == nil {
		err = a.services.Nonconforming.Note(c.Request.Context(), httpx.Actor(c), c.Param("number"), note)
	}
	return a.changedNonconformity(c, http.StatusOK, err)
}

// addNonconformityPhoto keeps the bytes of the body, whatever type they say they
// are.
func (a *api) addNonconformityPhoto(c *gin.Context) error {
	v, err := a.services.Nonconforming.One(c.Request.Context(), c.Param("number"))
	if err != nil {
		return err
	}
	q := query(c)
	return a.changedNonconformity(c, http.StatusCreated, a.keepPaper(c, models.SubjectNonconformity, v.ID, q))
}
