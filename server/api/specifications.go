package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// specificationShape is one numbered revision.
type specificationShape struct {
	ID              string                  `json:"id"`
	FamilyID        string                  `json:"family_id"`
	ProductID       string                  `json:"product_id,omitempty"` // set where it is one product's own
	Revision        int                     `json:"revision"`
	Grade           string                  `json:"grade"`
	Rule            string                  `json:"rule"`
	GuardFactor     string                  `json:"guard_factor"`
	AppliesToStock  bool                    `json:"applies_to_stock"`
	Characteristics []models.Characteristic `json:"characteristics"`
	Reason          string                  `json:"reason,omitempty"`
	CreatedAt       instant                 `json:"created_at"`
}

func specificationOf(s models.Specification) specificationShape {
	return specificationShape{ID: s.ID, FamilyID: s.FamilyID, ProductID: pointed(s.ProductID), Revision: s.Revision, Grade: s.Grade, Rule: s.Rule, GuardFactor: s.GuardFactor,
		AppliesToStock: s.AppliesToStock, Characteristics: list(s.Characteristics), Reason: s.Reason, CreatedAt: instant(s.CreatedAt)}
}

func (a *api) specifications(c *gin.Context) error {
	q := query(c)
	specifications, err := a.services.Specify.Specifications(c.Request.Context(), q["family"])
	if err != nil {
		return err
	}
	shapes := make([]specificationShape, len(specifications))
	for i, s := range specifications {
		shapes[i] = specificationOf(s)
	}
	return answer(c, http.StatusOK, gin.H{"specifications": shapes})
}

func (a *api) specification(c *gin.Context) error {
	s, err := a.services.Specify.Specification(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, specificationOf(s))
}

// reviseSpecification adds the next revision of a family's specification, or of
// a product's own.
func (a *api) reviseSpecification(c *gin.Context) error {
	var in struct {
		Family          string                  `json:"family"`
		Product         *string                 `json:"product"`
		From            int                     `json:"from" needed:"yes"`
		Grade           string                  `json:"grade"`
		Rule            string                  `json:"rule"`
		GuardFactor     string                  `json:"guard_factor"`
		AppliesToStock  bool                    `json:"applies_to_stock"`
		Characteristics []models.Characteristic `json:"characteristics"`
		Reason          string                  `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	s, err := a.services.Specify.ReviseSpecification(c.Request.Context(), httpx.Actor(c), specify.SpecificationChange{
		FamilyID: in.Family, ProductID: in.Product, From: in.From, Grade: in.Grade, Rule: in.Rule, GuardFactor: in.GuardFactor,
		AppliesToStock: in.AppliesToStock, Characteristics: in.Characteristics, Reason: in.Reason})
	if err != nil {
		return err
	}
	return created(c, "/specifications/"+s.ID, specificationOf(s))
}
