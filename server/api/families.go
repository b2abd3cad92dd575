package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// familyLine is a family in a list.
type familyLine struct {
	ID   string `json:"id"`
	Kind string `json:"kind"`
	Name string `json:"name"`
}

func familyLineOf(f models.Family) familyLine {
	return familyLine{ID: f.ID, Kind: f.Kind, Name: f.Name}
}

// familyWhole is a family with what belongs to it.
type familyWhole struct {
	Family         familyLine           `json:"family"`
	Products       []productLine        `json:"products"`
	Specifications []specificationShape `json:"specifications"` // newest first
	InForce        specificationShape   `json:"in_force"`       // the family's own
}

func familyWholeOf(v specify.FamilyView) familyWhole {
	whole := familyWhole{Family: familyLineOf(v.Family), InForce: specificationOf(v.InForce), Products: make([]productLine, len(v.Products)), Specifications: make([]specificationShape, len(v.Specifications))}
	for i, p := range v.Products {
		whole.Products[i] = productLineOf(p, v.Family.Name)
	}
	for i, s := range v.Specifications {
		whole.Specifications[i] = specificationOf(s)
	}
	return whole
}

func (a *api) families(c *gin.Context) error {
	families, err := a.services.Specify.Families(c.Request.Context())
	if err != nil {
		return err
	}
	lines := make([]familyLine, len(families))
	for i, f := range families {
		lines[i] = familyLineOf(f)
	}
	return answer(c, http.StatusOK, gin.H{"families": lines})
}

func (a *api) family(c *gin.Context) error {
	v, err := a.services.Specify.Family(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, familyWholeOf(v))
}

// addFamily adds a family with a first specification of a grade's limits.
func (a *api) addFamily(c *gin.Context) error {
	var in struct {
		Kind  string             `json:"kind"`
		Name  string             `json:"name"`
		Grade string             `json:"grade"`
		Form  models.ProductForm `json:"form"` // of a typical product
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Specify.AddFamily(c.Request.Context(), httpx.Actor(c), specify.NewFamily{Kind: in.Kind, Name: in.Name, Grade: in.Grade, Form: in.Form})
	if err != nil {
		return err
	}
	return created(c, "/families/"+v.Family.ID, familyWholeOf(v))
}
