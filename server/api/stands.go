package api

import (
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/stands"
	"tracewright/server/httpx"
)

// readingIn is one value that a gauge sends to its stand. The gauge, or the
// small program that reads it, makes the id.
type readingIn struct {
	ID         string     `json:"id"`
	Value      string     `json:"value"`
	Unit       string     `json:"unit"`
	Instrument string     `json:"instrument"`
	At         *time.Time `json:"at"`
}

// receiptShape says what became of it.
type receiptShape struct {
	ID       string `json:"id"`
	Value    string `json:"value"`
	Unit     string `json:"unit"`
	Repeated bool   `json:"repeated"`
	Pages    int    `json:"pages"`
}

// place is the stand of the path: the place of work of an enrolled device. A
// place that no device has is not found.
func (a *api) place(c *gin.Context) (string, error) {
	named := strings.TrimSpace(c.Param("stand"))
	devices, err := a.services.Access.Devices(c.Request.Context())
	if err != nil {
		return "", err
	}
	for _, d := range devices {
		if d.RevokedAt == nil && strings.EqualFold(d.Place, named) {
			return strings.ToLower(d.Place), nil
		}
	}
	return "", fmt.Errorf("stand %q: %w", named, models.ErrNotFound)
}

// here refuses a device of another place: a gauge's key writes to its own stand
// and to no other, and a tablet hears its own.
func here(c *gin.Context, place string) error {
	if device, ok := httpx.Device(c); ok && !strings.EqualFold(device.Place, place) {
		return fmt.Errorf("device %s is at %s and not at %s: %w", device.ID, device.Place, place, models.ErrForbidden)
	}
	return nil
}

// postReading hands a gauge's reading to the pages that are open at its stand.
// Nothing is stored.
func (a *api) postReading(c *gin.Context) error {
	place, err := a.place(c)
	if err != nil {
		return err
	}
	if _, ok := httpx.Device(c); !ok {
		return fmt.Errorf("a reading for %s without the key of a device there: %w", place, models.ErrForbidden)
	}
	if err := here(c, place); err != nil {
		return err
	}
	var in readingIn
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	reading, err := stands.Check(stands.Reading{ID: in.ID, Value: in.Value, Unit: in.Unit, Instrument: in.Instrument, At: in.At})
	if err != nil {
		return err
	}
	if reading.Instrument != "" {
		if _, err := a.services.Gauges.Instrument(c.Request.Context(), reading.Instrument); errors.Is(err, models.ErrNotFound) {
			return models.Invalid("instrument", "unknown_instrument", "code", reading.Instrument)
		} else if err != nil {
			return err
		}
	}
	receipt, err := a.services.Stands.Post(place, reading)
	if err != nil {
		return standsError(err)
	}
	return answer(c, http.StatusAccepted, receiptShape{ID: reading.ID, Value: reading.Value, Unit: reading.Unit, Repeated: receipt.Repeated, Pages: receipt.Pages})
}

// standsError turns what the service says of its bounds into "come back".
func standsError(err error) error {
	if errors.Is(err, stands.ErrFull) || errors.Is(err, stands.ErrClosed) {
		return fmt.Errorf("%w: %w", httpx.ErrBusy, err)
	}
	return err
}
