package api

import (
	"errors"
	"fmt"
	"time"

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
	given, err := query(c, "family", "product", "place", "result", "follow")
	if err != nil {
		return err
	}
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
	// Nothing is kept for whoever was away: it reads the chart anew when it is ready.
	if stream.Send(fmt.Sprintf("retry: %d\n", comeBackAfter)+event("", "ready", struct{}{})) != nil || given["follow"] == "no" {
		return nil
	}
	beat, end := time.NewTicker(beatEvery), time.NewTimer(listenFor)
	defer beat.Stop()
	defer end.Stop()
	for {
		text := ""
		select {
		case k, more := <-page.Changes:
			if !more {
				return nil
			}
			text = event("", "changed", changedEvent{Family: k.FamilyID, Product: k.ProductID, Place: k.Place, Result: k.Result})
		case <-beat.C:
			text = event("", "beat", struct{}{})
		case <-end.C:
			return nil
		case <-stream.Done():
			return nil
		}
		if stream.Send(text) != nil {
			return nil
		}
	}
}
