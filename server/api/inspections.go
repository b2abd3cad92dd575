package api

import (
	"context"
	"fmt"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/capture"
	"tracewright/server/httpx"
)

// sentInspection is a submission and the tablet's clock when it was sent.
type sentInspection struct {
	models.Submission
	SentAt time.Time `json:"sent_at"`
}

// outcome is the answer to an inspection: what it became.
type outcome struct {
	Placed     bool             `json:"placed"`
	Created    bool             `json:"created"`
	Item       *itemLine        `json:"item,omitempty"`
	Inspection *inspectionShape `json:"inspection,omitempty"`
	Results    []resultShape    `json:"results,omitempty"`
	Unplaced   *unplacedShape   `json:"unplaced,omitempty"`
}

// inspectionShape is an inspection without its readings.
type inspectionShape struct {
	ID            string            `json:"id"`
	ItemID        string            `json:"item_id"`
	Specification string            `json:"specification"` // id
	Revision      int               `json:"specification_revision"`
	Stage         string            `json:"stage"`
	Round         int               `json:"round"`
	Verdict       string            `json:"verdict"`
	Recheck       bool              `json:"recheck"`
	FirstSet      bool              `json:"first_set"`
	Person        string            `json:"person"` // id
	Place         string            `json:"place,omitempty"`
	StartedAt     instant           `json:"started_at"`
	MeasuredAt    instant           `json:"measured_at"`
	ReceivedAt    instant           `json:"received_at"`
	OffsetMS      int64             `json:"offset_ms"`
	Conditions    models.Conditions `json:"conditions"`
	Remarks       []remark          `json:"remarks"`
	Supersedes    string            `json:"supersedes,omitempty"`
	SupersededBy  string            `json:"superseded_by,omitempty"`
	Reason        string            `json:"reason,omitempty"`
}

// setShape is one reading set as it was typed.
type setShape struct {
	Characteristic string            `json:"characteristic"`
	Method         string            `json:"method"`
	Instrument     string            `json:"instrument,omitempty"` // its code
	Unit           string            `json:"unit,omitempty"`
	Manner         string            `json:"manner,omitempty"`
	Values         []string          `json:"values"`
	Index          []models.Position `json:"index"`
	Moments        []int64           `json:"moments,omitempty"`
	Masks          []models.Mask     `json:"masks,omitempty"`
	Remarks        []remark          `json:"remarks,omitempty"`
}

// record takes an inspection: 201 when it is new, 200 when it was here already
// and this is the first answer again, 202 when it is kept but could not be
// placed.
func (a *api) record(c *gin.Context) error {
	var sent sentInspection
	if err := httpx.DecodeJSON(c, &sent); err != nil {
		return err
	}
	ctx := c.Request.Context()
	got, err := a.services.Capture.Record(ctx, httpx.Actor(c), sent.Submission, sent.SentAt)
	if err != nil {
		return err
	}
	a.compareTurns(ctx, httpx.Actor(c), got)
	body, err := a.outcome(ctx, got)
	if err != nil {
		return err
	}
	switch {
	case !got.Placed:
		return answer(c, http.StatusAccepted, body)
	case !got.Created:
		return answer(c, http.StatusOK, body)
	}
	return created(c, "/inspections/"+got.Inspection.ID, body)
}

// preview judges what is there so far and stores nothing.
func (a *api) preview(c *gin.Context) error {
	var sent sentInspection
	if err := httpx.DecodeJSON(c, &sent); err != nil {
		return err
	}
	ctx := c.Request.Context()
	got, err := a.services.Capture.Preview(ctx, httpx.Actor(c), sent.Submission)
	if err != nil {
		return err
	}
	body, err := a.outcome(ctx, got)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, body)
}

func (a *api) outcome(ctx context.Context, o capture.Outcome) (outcome, error) {
	body := outcome{Placed: o.Placed, Created: o.Created}
	if o.Unplaced != nil {
		shape := unplacedOf(*o.Unplaced)
		body.Unplaced = &shape
	}
	if !o.Placed {
		return body, nil
	}
	specification, err := a.cache.specification(ctx, o.Inspection.SpecificationID)
	if err != nil {
		return outcome{}, fmt.Errorf("specification of inspection %s: %w", o.Inspection.ID, err)
	}
	line, err := a.itemLine(ctx, o.Item)
	if err != nil {
		return outcome{}, err
	}
	inspection := inspectionOf(o.Inspection, specification)
	body.Item, body.Inspection, body.Results = &line, &inspection, resultShapes(o.Results, specification)
	return body, nil
}

func inspectionOf(i models.Inspection, s models.Specification) inspectionShape {
	return inspectionShape{ID: i.ID, ItemID: i.ItemID, Specification: i.SpecificationID, Revision: s.Revision, Stage: i.Stage, Round: i.Round, Verdict: i.Verdict,
		Recheck: i.Recheck, FirstSet: i.FirstSet, Person: i.PersonID, Place: i.Place, StartedAt: instant(i.StartedAt), MeasuredAt: instant(i.MeasuredAt),
		ReceivedAt: instant(i.ReceivedAt), OffsetMS: i.OffsetMS, Conditions: i.Conditions, Remarks: remarks(i.Remarks),
		Supersedes: pointed(i.Supersedes), SupersededBy: pointed(i.SupersededBy), Reason: i.Reason}
}

// inspectionWhole is an inspection with its readings and results.
type inspectionWhole struct {
	Inspection inspectionShape `json:"inspection"`
	Person     string          `json:"person"` // name
	Sets       []setShape      `json:"sets"`
	Results    []resultShape   `json:"results"`
}

func wholeOf(v models.InspectionView) inspectionWhole {
	codes := map[string]string{}
	for _, i := range v.Instruments {
		codes[i.ID] = i.Code
	}
	whole := inspectionWhole{Inspection: inspectionOf(v.Inspection, v.Specification), Person: v.Person, Results: resultShapes(v.Results, v.Specification), Sets: make([]setShape, len(v.Sets))}
	for i, s := range v.Sets {
		whole.Sets[i] = setShape{Characteristic: s.Code, Method: s.Method, Unit: s.Unit, Manner: s.Manner, Values: s.Values, Index: s.Index, Moments: s.Moments, Masks: s.Masks, Remarks: remarks(s.Remarks)}
		if s.InstrumentID != nil {
			whole.Sets[i].Instrument = codes[*s.InstrumentID]
		}
		if s.Index == nil {
			whole.Sets[i].Index = []models.Position{}
		}
	}
	return whole
}

func (a *api) inspection(c *gin.Context) error {
	ctx := c.Request.Context()
	view, item, err := a.services.Trace.Inspection(ctx, c.Param("id"))
	if err != nil {
		return err
	}
	line, err := a.itemLine(ctx, item)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, struct {
		Item itemLine `json:"item"`
		inspectionWhole
	}{line, wholeOf(view)})
}
