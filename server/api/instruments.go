package api

import (
	"context"
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// instrumentIn is what is said of an instrument. Numbers are decimal text in
// unit, days YYYY-MM-DD; what is not known is left out.
type instrumentIn struct {
	Code              string `json:"code"`
	Kind              string `json:"kind"`
	Name              string `json:"name"`
	Place             string `json:"place"`
	Unit              string `json:"unit"`
	RangeLow          string `json:"range_low"`
	RangeHigh         string `json:"range_high"`
	Resolution        string `json:"resolution"`
	Uncertainty       string `json:"uncertainty"` // expanded, about 95 %
	CalibratedOn      string `json:"calibrated_on"`
	DueOn             string `json:"due_on"`
	CertificateNumber string `json:"certificate_number"`
	State             string `json:"state"` // in_use, out, retired
}

func (in instrumentIn) instrument() models.Instrument {
	return models.Instrument{Code: in.Code, Kind: in.Kind, Name: in.Name, Place: in.Place, Unit: in.Unit, RangeLow: in.RangeLow, RangeHigh: in.RangeHigh,
		Resolution: in.Resolution, Uncertainty: in.Uncertainty, CalibratedOn: in.CalibratedOn, DueOn: in.DueOn, CertificateNumber: in.CertificateNumber, State: in.State}
}

// instrumentShape is an instrument and how it stands today.
type instrumentShape struct {
	ID string `json:"id"`
	instrumentIn
	Overdue  bool   `json:"overdue"`
	Standing string `json:"standing,omitempty"` // in_date, due_soon, overdue, no_date, out, retired
	OutNote  string `json:"out_note,omitempty"` // why readings are judged although it is out
	Digest   string `json:"digest,omitempty"`   // of the entry as it stands: what a change is made on; not in a list or a plan
	Checks   string `json:"checks,omitempty"`   // in a plan: done, due, failed; left out where none is asked for

	Table []models.GaugePoint `json:"table,omitempty"` // in a plan: for the spoke of the product
}

func instrumentOf(v gauges.InstrumentView, today string) instrumentShape {
	i := v.Instrument
	return instrumentShape{ID: i.ID, instrumentIn: instrumentIn{Code: i.Code, Kind: i.Kind, Name: i.Name, Place: i.Place, Unit: i.Unit, RangeLow: i.RangeLow, RangeHigh: i.RangeHigh,
		Resolution: i.Resolution, Uncertainty: i.Uncertainty, CalibratedOn: i.CalibratedOn, DueOn: i.DueOn, CertificateNumber: i.CertificateNumber, State: i.State},
		Overdue: i.OverdueOn(today), Standing: string(v.Standing), OutNote: i.OutNote}
}

// oneInstrument is an instrument with the digest that a change of it is made on.
func (a *api) oneInstrument(ctx context.Context, v gauges.InstrumentView) (instrumentShape, error) {
	shape := instrumentOf(v, a.today(ctx))
	var err error
	shape.Digest, err = models.Digest(v.Instrument)
	return shape, err
}

// today is the day that it now is in the shop.
func (a *api) today(ctx context.Context) string {
	return a.now().In(a.services.Zone(ctx)).Format(time.DateOnly)
}

func (a *api) instruments(c *gin.Context) error {
	ctx := c.Request.Context()
	instruments, err := a.services.Gauges.Instruments(ctx)
	if err != nil {
		return err
	}
	shapes, today := make([]instrumentShape, len(instruments)), a.today(ctx)
	for i, v := range instruments {
		shapes[i] = instrumentOf(v, today)
	}
	return answer(c, http.StatusOK, gin.H{"instruments": shapes})
}

func (a *api) instrument(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := a.services.Gauges.Instrument(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	shape, err := a.oneInstrument(ctx, v)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}

func (a *api) addInstrument(c *gin.Context) error {
	var in instrumentIn
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Gauges.Add(ctx, httpx.Actor(c), in.instrument())
	if err != nil {
		return err
	}
	shape, err := a.oneInstrument(ctx, v)
	if err != nil {
		return err
	}
	return created(c, "/instruments/"+v.Instrument.Code, shape)
}

// updateInstrument writes every field anew, but for code and kind. It names the digest
// that it was made on, so that nothing is written over that was changed meanwhile.
func (a *api) updateInstrument(c *gin.Context) error {
	var in struct {
		instrumentIn
		From string `json:"from"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	v, err := a.services.Gauges.Update(ctx, httpx.Actor(c), c.Param("code"), in.From, in.instrument())
	if err != nil {
		return err
	}
	shape, err := a.oneInstrument(ctx, v)
	if err != nil {
		return err
	}
	return answer(c, http.StatusOK, shape)
}
