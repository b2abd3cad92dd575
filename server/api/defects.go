package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/defects"
	"tracewright/server/httpx"
)

// defectShape is a code as the shop says it now.
type defectShape struct {
	Code     string `json:"code"`
	Name     string `json:"name"`
	Severity string `json:"severity"`
	Retired  bool   `json:"retired"`
	Shipped  bool   `json:"shipped"`  // the program brought it along
	Revision int    `json:"revision"` // 0: as shipped
}

func (a *api) defects(c *gin.Context) error {
	book, err := a.services.Defects.Book(c.Request.Context())
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"defects": a.defectsOf(book)})
}

func (a *api) defectsOf(book models.Defects) []defectShape {
	codes := book.Codes()
	shapes := make([]defectShape, len(codes))
	for i, code := range codes {
		shapes[i] = a.defectOf(book, code)
	}
	return shapes
}

func (a *api) defectOf(book models.Defects, code string) defectShape {
	now := book.Now(code)
	shape := defectShape{Code: code, Name: now.Name, Severity: string(now.Severity), Retired: now.Retired, Shipped: models.ShippedDefect(code), Revision: now.Revision}
	if shape.Name == "" {
		shape.Name = english.Defect(code)
	}
	return shape
}

// reviseDefect adds a revision of a code, or a code of the shop's own.
func (a *api) reviseDefect(c *gin.Context) error {
	var in struct {
		From     int    `json:"from"`
		Name     string `json:"name"`
		Severity string `json:"severity"`
		Retired  bool   `json:"retired"`
		Reason   string `json:"reason"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx, code := c.Request.Context(), c.Param("code")
	err := a.services.Defects.Revise(ctx, httpx.Actor(c), defects.Change{Code: code, From: in.From, Name: in.Name, Severity: models.Severity(in.Severity), Retired: in.Retired, Reason: in.Reason})
	if err != nil {
		return err
	}
	book, err := a.services.Defects.Book(ctx)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, a.defectOf(book, code))
}
