package api

import (
	"context"
	"fmt"
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/labels"
	"tracewright/server/httpx"
)

// printShape is a print of labels or of a certificate's paper.
type printShape struct {
	What      string  `json:"what"`
	SubjectID string  `json:"subject_id"` // of the item, lot, shipment, roll or certificate
	Size      string  `json:"size,omitempty"`
	Place     int     `json:"place,omitempty"` // of the first on its sheet
	Count     int     `json:"count"`
	First     string  `json:"first,omitempty"` // of a roll: its serials from first to last
	Last      string  `json:"last,omitempty"`
	PrintedBy string  `json:"printed_by"`
	PrintedAt instant `json:"printed_at"`
}

func printsOf(prints []models.LabelPrint) []printShape {
	shapes := make([]printShape, len(prints))
	for i, p := range prints {
		shapes[i] = printShape{p.What, p.SubjectID, p.Size, p.Place, p.N, p.First, p.Last, p.PrintedBy, instant(p.PrintedAt)}
	}
	return shapes
}

// sendLabels answers with the labels that batch makes of the query. Fetching
// them is no print: that is said by POST /prints.
func (a *api) sendLabels(c *gin.Context, batch func(q map[string]string, ask labels.Ask) (labels.Batch, error)) error {
	q := query(c)
	ask, err := labels.AskOf(func(name string) string { return q[name] })
	if err != nil {
		return err
	}
	b, err := batch(q, ask)
	if err != nil {
		return err
	}
	pdf, err := a.services.Labels.Draw(b)
	if err != nil {
		return err
	}
	c.Header("Content-Disposition", `inline; filename="label.pdf"`)
	httpx.Send(c, http.StatusOK, "application/pdf", pdf)
	return nil
}

func (a *api) itemLabel(c *gin.Context) error {
	return a.sendLabels(c, func(_ map[string]string, ask labels.Ask) (labels.Batch, error) {
		return a.services.Labels.Items(c.Request.Context(), []string{c.Param("item")}, ask)
	})
}

func (a *api) lotLabel(c *gin.Context) error {
	return a.sendLabels(c, func(_ map[string]string, ask labels.Ask) (labels.Batch, error) {
		return a.services.Labels.Lot(c.Request.Context(), c.Param("code"), ask)
	})
}

func (a *api) rollLabels(c *gin.Context) error {
	return a.sendLabels(c, func(q map[string]string, ask labels.Ask) (labels.Batch, error) {
		return a.services.Labels.Roll(c.Request.Context(), c.Param("id"), q["first"], q["last"], ask)
	})
}

func (a *api) boxLabels(c *gin.Context) error {
	return a.sendLabels(c, func(_ map[string]string, ask labels.Ask) (labels.Batch, error) {
		return a.services.Labels.Boxes(c.Request.Context(), c.Param("number"), ask)
	})
}

// printed is what a program says that it sent to a printer.
type printed struct {
	What     string `json:"what"`
	Which    string `json:"which"`    // serial, code of a lot, number of a shipment, id of a roll, number of a certificate
	Revision int    `json:"revision"` // of a certificate
	Size     string `json:"size"`
	Symbol   string `json:"symbol"`
	Place    int    `json:"place"`
	Copies   int    `json:"copies"`
	First    string `json:"first"`
	Last     string `json:"last"`
}

// countPrint counts labels or a paper that go to a printer.
func (a *api) countPrint(c *gin.Context) error {
	var in printed
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	prints, err := a.counted(c.Request.Context(), httpx.Actor(c), in)
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, gin.H{"prints": printsOf(prints)})
}

func (a *api) counted(ctx context.Context, actor models.Actor, in printed) ([]models.LabelPrint, error) {
	ask := labels.Ask{Size: in.Size, Symbol: in.Symbol, Place: in.Place, Copies: in.Copies, Hub: in.What == models.LabelHub}
	var b labels.Batch
	var err error
	switch in.What {
	case models.LabelItem, models.LabelHub:
		b, err = a.services.Labels.Items(ctx, []string{in.Which}, ask)
	case models.LabelLot:
		b, err = a.services.Labels.Lot(ctx, in.Which, ask)
	case models.LabelBox:
		b, err = a.services.Labels.Boxes(ctx, in.Which, ask)
	case models.PrintRoll:
		b, err = a.services.Labels.Roll(ctx, in.Which, in.First, in.Last, ask)
	case models.PrintCertificate:
		view, err := a.services.Release.ByNumber(ctx, in.Which, in.Revision)
		if err != nil {
			return nil, err
		}
		return a.services.Labels.CountCertificate(ctx, actor, view.Certificate)
	default:
		return nil, models.Invalid("what", "unknown_choice", "typed", models.Shortened(in.What))
	}
	if err != nil {
		return nil, fmt.Errorf("labels to count: %w", err)
	}
	return a.services.Labels.Count(ctx, actor, b)
}
