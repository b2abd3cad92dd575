package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/server/httpx"
)

// productLine is a product in a list.
type productLine struct {
	ID       string `json:"id"`
	Name     string `json:"name"`
	Revision int    `json:"revision"` // of its form, the newest
	FamilyID string `json:"family_id"`
	Family   string `json:"family"` // name
}

func productLineOf(p models.Product, family string) productLine {
	return productLine{ID: p.ID, Name: p.Name, Revision: p.Revision, FamilyID: p.FamilyID, Family: family}
}

// revisionShape is one state of a product's form.
type revisionShape struct {
	Revision  int                `json:"revision"`
	Form      models.ProductForm `json:"form"`
	Reason    string             `json:"reason,omitempty"`
	CreatedAt instant            `json:"created_at"`
}

// productWhole is a product with its forms.
type productWhole struct {
	Product          productLine        `json:"product"`
	Form             models.ProductForm `json:"form"`
	Revisions        []revisionShape    `json:"revisions"` // newest first
	InForce          specificationShape `json:"in_force"`
	OwnSpecification bool               `json:"own_specification"` // false: its family's
}

func productWholeOf(v specify.ProductView) productWhole {
	whole := productWhole{Product: productLineOf(v.Product, v.Family.Name), Form: v.Form.Form, InForce: specificationOf(v.InForce), OwnSpecification: v.Own, Revisions: make([]revisionShape, len(v.Revisions))}
	for i, r := range v.Revisions {
		whole.Revisions[i] = revisionShape{Revision: r.Revision, Form: r.Form, Reason: r.Reason, CreatedAt: instant(r.CreatedAt)}
	}
	return whole
}

func (a *api) products(c *gin.Context) error {
	q := query(c)
	ctx := c.Request.Context()
	products, err := a.services.Specify.Products(ctx, q["family"])
	if err != nil {
		return err
	}
	lines := make([]productLine, len(products))
	for i, p := range products {
		family, err := a.cache.familyName(ctx, &p.FamilyID)
		if err != nil {
			return err
		}
		lines[i] = productLineOf(p, family)
	}
	return answer(c, http.StatusOK, gin.H{"products": lines})
}

func (a *api) product(c *gin.Context) error {
	v, err := a.services.Specify.Product(c.Request.Context(), c.Param("id"))
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, productWholeOf(v))
}

func (a *api) addProduct(c *gin.Context) error {
	var in struct {
		Family string             `json:"family"`
		Name   string             `json:"name"`
		Form   models.ProductForm `json:"form"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Specify.AddProduct(c.Request.Context(), httpx.Actor(c), specify.NewProduct{FamilyID: in.Family, Name: in.Name, Form: in.Form})
	if err != nil {
		return err
	}
	return created(c, "/products/"+v.Product.ID, productWholeOf(v))
}

// reviseProduct follows a form by the next one; from is the revision that the
// change was made on.
func (a *api) reviseProduct(c *gin.Context) error {
	var in struct {
		From   int                `json:"from" needed:"yes"`
		Form   models.ProductForm `json:"form"`
		Reason string             `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	v, err := a.services.Specify.ReviseProduct(c.Request.Context(), httpx.Actor(c), c.Param("id"), in.From, in.Form, in.Reason)
	if err != nil {
		return err
	}
	return created(c, "/products/"+v.Product.ID, productWholeOf(v))
}
