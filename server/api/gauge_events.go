package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/work/access"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// calibrationShape is one calibration, with what it found where that was entered.
type calibrationShape struct {
	ID           string                    `json:"id,omitempty"`
	CalibratedOn string                    `json:"calibrated_on"`
	DueOn        string                    `json:"due_on"`
	Certificate  string                    `json:"certificate_number"`
	MadeAt       *instant                  `json:"made_at,omitempty"`
	By           string                    `json:"by,omitempty"`
	Standard     string                    `json:"standard,omitempty"` // the code of one of the register, or in words
	Adjusted     bool                      `json:"adjusted,omitempty"`
	AsFound      string                    `json:"as_found,omitempty"` // pass, fail
	AsLeft       string                    `json:"as_left,omitempty"`
	Points       []models.CalibrationPoint `json:"points,omitempty"`
	Note         string                    `json:"note,omitempty"`
	EnteredAt    instant                   `json:"entered_at"`
	EnteredBy    string                    `json:"entered_by"`      // name
	Trace        string                    `json:"trace,omitempty"` // of the answer just given, where it failed
}

func passed(good bool) string {
	if good {
		return models.VerdictPass
	}
	return models.VerdictFail
}

func calibrationOf(v gauges.CalibrationView, names map[string]string) calibrationShape {
	s := calibrationShape{CalibratedOn: v.CalibratedOn, DueOn: v.DueOn, Certificate: v.CertificateNumber, EnteredAt: instant(v.EnteredAt), EnteredBy: named(names, v.EnteredBy)}
	if r := v.Report; r != nil {
		at := instant(r.MadeAt)
		s.ID, s.MadeAt, s.By, s.Standard, s.Adjusted, s.AsFound, s.AsLeft, s.Points, s.Note = r.ID, &at, r.MadeBy, v.Standard, r.Adjusted, passed(r.AsFoundGood), passed(r.AsLeftGood), r.Points, r.Note
	}
	return s
}

func (a *api) calibrations(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Gauges.Calibrations(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]calibrationShape, len(list))
	for i, v := range list {
		shapes[i] = calibrationOf(v, names)
	}
	return answer(c, http.StatusOK, gin.H{"calibrations": shapes})
}

// calibrate enters a calibration. A failed one answers with the reverse trace that
// it led to.
func (a *api) calibrate(c *gin.Context) error {
	var in struct {
		Day         string                    `json:"day"`
		Time        string                    `json:"time"`
		DueOn       string                    `json:"due_on"`
		Certificate string                    `json:"certificate_number"`
		By          string                    `json:"by"`
		Standard    string                    `json:"standard"`
		Adjusted    bool                      `json:"adjusted"`
		Points      []models.CalibrationPoint `json:"points"`
		Note        string                    `json:"note"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	out, err := a.services.Gauges.Calibrate(ctx, httpx.Actor(c), c.Param("code"), gauges.NewCalibration(in))
	if err != nil {
		return err
	}
	list, err := a.services.Gauges.Calibrations(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	for _, v := range list {
		if v.Report == nil || v.Report.ID != out.Report.ID {
			continue
		}
		shape := calibrationOf(v, names)
		if out.Trace != nil {
			shape.Trace = out.Trace.ID
		}
		return created(c, "/instruments/"+c.Param("code")+"/calibrations", shape)
	}
	return models.ErrNotFound
}

// judgeAnyway lets readings of an instrument that is out be judged, or no longer.
func (a *api) judgeAnyway(c *gin.Context) error {
	var in struct {
		Note    string        `json:"out_note"`
		From    *string       `json:"from"` // left out: said of the instrument as it stands
		Confirm access.Secret `json:"confirm"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	if err := a.services.Sessions.Confirm(c, in.Confirm); err != nil {
		return err
	}
	ctx := c.Request.Context()
	if err := a.services.Gauges.JudgeAnyway(ctx, httpx.Actor(c), c.Param("code"), in.From, in.Note); err != nil {
		return err
	}
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

// gaugeCheckShape is a short check with its newest readings, oldest first.
type gaugeCheckShape struct {
	ID        string              `json:"id"`
	What      string              `json:"what"`
	Piece     string              `json:"piece,omitempty"`
	Reference string              `json:"reference"`
	Low       string              `json:"low"`
	High      string              `json:"high"`
	DoneToday bool                `json:"done_today"`
	Readings  []gaugeReadingShape `json:"readings"`
}

type gaugeReadingShape struct {
	ID      string  `json:"id"`
	Value   string  `json:"value"`
	Verdict string  `json:"verdict"` // pass, fail
	Place   string  `json:"place,omitempty"`
	ReadAt  instant `json:"read_at"`
	ReadBy  string  `json:"read_by"`         // name
	Trace   string  `json:"trace,omitempty"` // of the answer just given, where it failed
}

func gaugeReadingOf(r models.GaugeReading, names map[string]string) gaugeReadingShape {
	return gaugeReadingShape{ID: r.ID, Value: r.Value, Verdict: passed(r.Good), Place: r.Place, ReadAt: instant(r.ReadAt), ReadBy: named(names, r.ReadBy)}
}

func gaugeCheckOf(v gauges.CheckView, names map[string]string) gaugeCheckShape {
	s := gaugeCheckShape{ID: v.ID, What: v.What, Piece: v.Piece, Reference: v.Reference, Low: v.Low, High: v.High, DoneToday: v.Today, Readings: make([]gaugeReadingShape, len(v.Readings))}
	for i, r := range v.Readings {
		s.Readings[i] = gaugeReadingOf(r, names)
	}
	return s
}

func (a *api) gaugeChecks(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := a.services.Gauges.Checks(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shapes := make([]gaugeCheckShape, len(list))
	for i, v := range list {
		shapes[i] = gaugeCheckOf(v, names)
	}
	return answer(c, http.StatusOK, gin.H{"checks": shapes})
}

func (a *api) addGaugeCheck(c *gin.Context) error {
	var in struct {
		What      string `json:"what"`
		Piece     string `json:"piece"`
		Reference string `json:"reference"`
		Low       string `json:"low"`
		High      string `json:"high"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	check, err := a.services.Gauges.AddCheck(c.Request.Context(), httpx.Actor(c), c.Param("code"), gauges.NewCheck(in))
	if err != nil {
		return err
	}
	return created(c, "/instruments/"+c.Param("code")+"/checks", gaugeCheckOf(gauges.CheckView{GaugeCheck: check}, nil))
}

func (a *api) endGaugeCheck(c *gin.Context) error {
	if err := a.services.Gauges.EndCheck(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.Param("id")); err != nil {
		return err
	}
	return answer(c, http.StatusOK, gin.H{"id": c.Param("id"), "ended": true})
}

// enterCheck enters a short check as it was done.
func (a *api) enterCheck(c *gin.Context) error {
	var in struct {
		ID    string `json:"id"`
		Value string `json:"value"`
	}
	if err := httpx.DecodeJSON(c, &in); err != nil {
		return err
	}
	ctx := c.Request.Context()
	out, err := a.services.Gauges.Check(ctx, httpx.Actor(c), c.Param("code"), c.Param("id"), in.ID, in.Value)
	if err != nil {
		return err
	}
	names, err := a.names(ctx)
	if err != nil {
		return err
	}
	shape := gaugeReadingOf(out.Reading, names)
	if out.Trace != nil {
		shape.Trace = out.Trace.ID
	}
	return created(c, "/instruments/"+c.Param("code")+"/checks", shape)
}
