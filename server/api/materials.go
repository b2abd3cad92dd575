package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/server/httpx"
)

// materialShape is what a lot may hold.
type materialShape struct {
	Code   string         `json:"code"`
	Name   string         `json:"name"`
	Roles  []string       `json:"roles"`
	Unit   string         `json:"unit"`
	Plan   models.LotPlan `json:"plan"`
	Least  int            `json:"least"`
	Digest string         `json:"digest"` // of what stands: what a change is made on
}

func materialOf(m models.Material) (materialShape, error) {
	digest, err := models.Digest(m)
	return materialShape{Code: m.Code, Name: m.Name, Roles: m.Roles, Unit: m.Unit, Plan: m.Plan, Least: m.Least, Digest: digest}, err
}

func (a *api) materials(c *gin.Context) error {
	list, err := a.services.Receive.Materials(c.Request.Context())
	if err != nil {
		return err
	}
	shapes := make([]materialShape, len(list))
	for i, m := range list {
		if shapes[i], err = materialOf(m); err != nil {
			return err
		}
	}
	return answer(c, http.StatusOK, gin.H{"materials": shapes})
}

// putMaterial adds a material, or changes the one of its code on the digest of what stood.
func (a *api) putMaterial(c *gin.Context) error {
	var in struct {
		Name  string         `json:"name"`
		Roles []string       `json:"roles"`
		Unit  string         `json:"unit"`
		Plan  models.LotPlan `json:"plan"`
		Least int            `json:"least"`
		From  string         `json:"from"` // left out: it is a new one
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	m, err := a.services.Receive.PutMaterial(c.Request.Context(), httpx.Actor(c), in.From, models.Material{Code: c.Param("code"), Name: in.Name, Roles: in.Roles, Unit: in.Unit, Plan: in.Plan, Least: in.Least})
	if err != nil {
		return err
	}
	shape, err := materialOf(m)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}
