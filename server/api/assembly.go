package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models/work/assembly"
	"tracewright/server/httpx"
)

// changeParts takes parts out of an item and puts others in, at once.
func (a *api) changeParts(c *gin.Context) error {
	var in assembly.Change
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	item, err := a.services.Assembly.Change(ctx, httpx.Actor(c), c.Param("item"), in)
	if err != nil {
		return err
	}
	line, err := a.itemLine(ctx, item)
	if err != nil {
		return err
	}
	parts, err := a.partsOf(ctx, item.ID)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"item": line, "parts": parts})
}

// lace makes the next wheel of a row.
func (a *api) lace(c *gin.Context) error {
	var in assembly.Lacing
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	made, err := a.services.Assembly.Lace(ctx, httpx.Actor(c), in)
	if err != nil {
		return err
	}
	line, err := a.itemLine(ctx, made.Item)
	if err != nil {
		return err
	}
	motor, err := a.itemLine(ctx, made.Motor)
	if err != nil {
		return err
	}
	return created(c, "/items/"+line.Serial, gin.H{"item": line, "motor": motor, "motor_came_in": made.New})
}
