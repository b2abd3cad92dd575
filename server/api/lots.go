package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/server/httpx"
)

// lotShape is a received batch.
type lotShape struct {
	ID           string  `json:"id"`
	Code         string  `json:"code"`
	Material     string  `json:"material"`
	Description  string  `json:"description,omitempty"`
	Supplier     string  `json:"supplier,omitempty"`
	SupplierCode string  `json:"supplier_code,omitempty"`
	DateCode     string  `json:"date_code,omitempty"`
	Quantity     int     `json:"quantity"`
	ReceivedAt   instant `json:"received_at"`
}

func lotOf(l models.Lot) lotShape {
	return lotShape{ID: l.ID, Code: l.Code, Material: l.Material, Description: l.Description, Supplier: l.Supplier, SupplierCode: l.SupplierCode,
		DateCode: l.DateCode, Quantity: l.Quantity, ReceivedAt: instant(l.ReceivedAt)}
}

func (a *api) lots(c *gin.Context) error {
	ctx := c.Request.Context()
	find := a.services.Receive.Lots
	if code := query(c)["code"]; code != "" {
		find = func(ctx context.Context) ([]models.Lot, error) { return a.services.Receive.LotsOfCode(ctx, code) }
	}
	lots, err := find(ctx)
	if err != nil {
		return err
	}
	shapes := make([]lotShape, len(lots))
	for i, l := range lots {
		shapes[i] = lotOf(l)
	}
	return answer(c, http.StatusOK, gin.H{"lots": shapes})
}

func (a *api) addLot(c *gin.Context) error {
	var in struct {
		Code         string    `json:"code"`
		Material     string    `json:"material"`
		Description  string    `json:"description"`
		Supplier     string    `json:"supplier"`
		SupplierCode string    `json:"supplier_code"`
		DateCode     string    `json:"date_code"`
		Quantity     int       `json:"quantity"`
		ReceivedAt   time.Time `json:"received_at"` // left out: now
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	lot, err := a.services.Receive.AddLot(c.Request.Context(), httpx.Actor(c), models.Lot{Code: in.Code, Material: in.Material, Description: in.Description,
		Supplier: in.Supplier, SupplierCode: in.SupplierCode, DateCode: in.DateCode, Quantity: in.Quantity, ReceivedAt: in.ReceivedAt})
	if err != nil {
		return err
	}
	return answer(c, http.StatusCreated, lotOf(lot))
}

// readLabel says what the code on a supplier's label means, and stores nothing.
func (a *api) readLabel(c *gin.Context) error {
	var in struct {
		Text string `json:"text"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	label, err := a.services.Receive.SupplierLabel(c.Request.Context(), in.Text)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, labelShape{label.Lot, label.Date, label.Quantity, label.Article})
}

// labelShape is what a supplier's label says of a lot.
type labelShape struct {
	SupplierCode string `json:"supplier_code,omitempty"`
	DateCode     string `json:"date_code,omitempty"`
	Quantity     int    `json:"quantity,omitempty"`
	Article      string `json:"article,omitempty"`
}

// addPart takes in one motor or block.
func (a *api) addPart(c *gin.Context) error {
	var in struct {
		Kind        string `json:"kind"` // motor, block
		Supplier    string `json:"supplier"`
		Model       string `json:"model"`
		MakerNumber string `json:"maker_number"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	item, err := a.services.Receive.AddPart(c.Request.Context(), httpx.Actor(c), receive.NewPart{Kind: in.Kind, Supplier: in.Supplier, Model: in.Model, MakerNumber: in.MakerNumber})
	if err != nil {
		return err
	}
	return a.createdItem(c, item)
}
