package api

import (
	"errors"
	"fmt"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/watch"
	"tracewright/server/httpx"
)

// changedEvent says where a value came; what is left out stands for all.
type changedEvent struct {
	Family  string `json:"family,omitempty"`
	Product string `json:"product,omitempty"`
	Place   string `json:"place,omitempty"`
	Result  string `json:"result,omitempty"`
}

// chartEvents tells which charts got another point, as it happens.
func (a *api) chartEvents(c *gin.Context) error {
	given := query(c)
	page, err := a.services.Watch.Listen(models.ChartKey{FamilyID: given["family"], ProductID: given["product"], Place: given["place"], Result: given["result"]})
	if errors.Is(err, watch.ErrFull) || errors.Is(err, watch.ErrClosed) {
		return fmt.Errorf("%w: %w", httpx.ErrBusy, err)
	}
	if err != nil {
		return err
	}
	defer page.Leave()
	stream, err := httpx.NewStream(c)
	if err != nil {
		return err
	}
	defer stream.Close()
	// Nothing is kept for whoever was away: it reads the chart anew when it is ready.
	if stream.Send(fmt.Sprintf("retry: %d\n", comeBackAfter)+event("", "ready", struct{}{})) != nil || given["follow"] == "no" {
		return nil
	}
	follow(stream, page.Changes, func(k models.ChartKey) string {
		return event("", "changed", changedEvent{Family: k.FamilyID, Product: k.ProductID, Place: k.Place, Result: k.Result})
	})
	return nil
}
