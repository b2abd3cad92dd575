package web

import (
	"encoding/json"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// CheckRow is a short check of a gauge, with the form that enters it.
type CheckRow struct {
	Name, Path, Chart, End string
	Limits, Last           string
	Drawn                  string // the limits of its chart: where they lie, and what they come from
	Mark                   Mark
	Taps                   []Choice // readings that one tap chooses
	Value                  Field
	ID                     string // of the reading that the form enters
	May, First             bool   // First: it is what the page is there for
}

// CheckForm defines a short check.
type CheckForm struct {
	Path     string
	Fields   []Field
	Problems Problems
}

// mostTaps is how many readings stand to be tapped: with more steps between the
// limits the reading is typed.
const mostTaps = 9

func (s *site) checkRow(i models.Instrument, x gauges.CheckView, people map[string]string, frame Frame, problem error) CheckRow {
	path := instrumentPath(i.Code) + "/checks/" + x.ID
	row := CheckRow{Name: checkName(x.GaugeCheck), Path: path, Chart: path, End: path + "/end", May: frame.Actor.May(models.ActRecord), ID: models.NewID(), Mark: Mark{"clock", "To be done today", "note"},
		Limits: words.Quantity(x.Reference, i.Unit) + ", may read " + words.Number(x.Low) + " to " + words.Quantity(x.High, i.Unit), Taps: taps(i, x.GaugeCheck)}
	if len(x.Readings) > 0 {
		row.Drawn = limitsOfChart(x, i.Unit, i.Resolution).words(i.Unit)
	}
	if last := x.Last(); last != nil {
		row.Last = words.Quantity(last.Value, i.Unit) + ", " + s.minute(last.ReadAt) + ", " + name(people, last.ReadBy)
		switch {
		case !last.Good:
			row.Mark = Mark{"cross", "Outside its limits", "fail"}
		case x.Today:
			row.Mark = Mark{"tick", "Done today", "pass"}
		}
	}
	f := filled(map[string]string{})
	if problem != nil {
		f = newForm(func(string) string { return "" }, problem)
	}
	row.Value = f.field(Field{Name: "value", ID: "value-" + x.ID, Label: "It reads", Mode: "decimal", Width: "w4", Unit: words.Unit(i.Unit), Optional: len(row.Taps) > 0})
	return row
}

// checkName is what a short check is called: "Check weight W-5".
func checkName(c models.GaugeCheck) string {
	return strings.TrimSpace(words.Sentence(english.GaugeCheck(c.What)) + " " + c.Piece)
}

// taps are all readings within the limits, a step outside on each side with them,
// where the steps of the gauge make them few.
func taps(i models.Instrument, c models.GaugeCheck) []Choice {
	step, errStep := measure.Parse(i.Resolution)
	at, errLow := measure.Parse(c.Low)
	high, errHigh := measure.Parse(c.High)
	if errStep != nil || errLow != nil || errHigh != nil || step.Sign() <= 0 {
		return nil
	}
	last, errLast := high.Add(step)
	at, errFirst := at.Sub(step)
	if errLast != nil || errFirst != nil {
		return nil
	}
	var list []Choice
	for at.Cmp(last) <= 0 {
		if len(list) == mostTaps {
			return nil
		}
		list = append(list, Choice{at.String(), withSign(at.String())})
		next, err := at.Add(step)
		if err != nil {
			return nil
		}
		at = next
	}
	return list
}

func newCheckForm(i models.Instrument, f *form) *CheckForm {
	unit := words.Unit(i.Unit)
	x := &CheckForm{Path: instrumentPath(i.Code) + "/checks", Fields: []Field{
		f.field(Field{Name: "what", Label: "What is looked at", Kind: "select", Width: "w6", Choices: choices(models.GaugeCheckKinds, func(c string) string { return words.Sentence(english.GaugeCheck(c)) })}),
		f.field(Field{Name: "piece", Label: "Which one", Width: "w6", Mono: true, Optional: true, Hint: "As it is marked. One of the register passes its failures on."}),
		f.field(Field{Name: "reference", Label: "What is there", Mode: "decimal", Width: "w4", Unit: unit}),
		f.field(Field{Name: "low", Label: "It may read from", Mode: "decimal", Width: "w4", Unit: unit}),
		f.field(Field{Name: "high", Label: "to", Mode: "decimal", Width: "w4", Unit: unit}),
	}}
	x.Problems = f.summary()
	return x
}

func (s *site) addGaugeCheck(c *gin.Context) error {
	code := c.Param("code")
	_, err := s.services.Gauges.AddCheck(c.Request.Context(), httpx.Actor(c), code, gauges.NewCheck{What: c.PostForm("what"), Piece: c.PostForm("piece"), Reference: c.PostForm("reference"), Low: c.PostForm("low"), High: c.PostForm("high")})
	if answerable(err) {
		page, found := s.instrumentPage(c, nil)
		if found != nil {
			return found
		}
		v, found := s.services.Gauges.Instrument(c.Request.Context(), code)
		if found != nil {
			return found
		}
		page.NewCheck = newCheckForm(v.Instrument, posted(c, err))
		return send(c, http.StatusUnprocessableEntity, "instrument", page)
	}
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(code)+"#checks", "gauge_check")
}

func (s *site) endGaugeCheck(c *gin.Context) error {
	if err := s.services.Gauges.EndCheck(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.Param("id")); err != nil {
		return err
	}
	return redirect(c, instrumentPath(c.Param("code"))+"#checks", "gauge_check_ended")
}

// enterCheck keeps a short check: what was typed, or else what was tapped.
func (s *site) enterCheck(c *gin.Context) error {
	typed := strings.TrimSpace(c.PostForm("value"))
	if typed == "" {
		typed = c.PostForm("tapped")
	}
	out, err := s.services.Gauges.Check(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.Param("id"), c.PostForm("id"), typed)
	if answerable(err) {
		return s.showGaugeCheck(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	if out.Trace != nil {
		return redirect(c, instrumentPath(c.Param("code"))+"/traces/"+out.Trace.ID, "check_failed")
	}
	return redirect(c, instrumentPath(c.Param("code"))+"#checks", "checked")
}

// GaugeCheckPage charts the readings of one short check.
type GaugeCheckPage struct {
	Frame
	Code, Back, Answer, Sub, Data, Describe, Why, Unit string
	Row                                                CheckRow
	Table                                              []CheckPoint
	Change                                             bool
}

// CheckPoint is one reading in the table beside the chart.
type CheckPoint struct{ When, Who, Place, Value, Signal string }

func (s *site) gaugeCheck(c *gin.Context) error { return s.showGaugeCheck(c, http.StatusOK, nil) }

func (s *site) showGaugeCheck(c *gin.Context, status int, problem error) error {
	ctx := c.Request.Context()
	v, err := s.services.Gauges.Instrument(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	checks, err := s.services.Gauges.Checks(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	for _, x := range checks {
		if x.ID != c.Param("id") {
			continue
		}
		people, err := s.people(ctx)
		if err != nil {
			return err
		}
		frame := s.frame(c, checkName(x.GaugeCheck)+", "+v.Instrument.Code, "/instruments")
		page := s.gaugeCheckPage(frame, v.Instrument, x, people)
		page.Row = s.checkRow(v.Instrument, x, people, frame, problem)
		page.Row.First = true
		return send(c, status, "gauge_check", page)
	}
	return models.ErrNotFound
}

// individualsFrom is how many readings limits of a check's own want at least.
const individualsFrom = spc.FewestForLimits

func (s *site) gaugeCheckPage(frame Frame, i models.Instrument, x gauges.CheckView, people map[string]string) GaugeCheckPage {
	page := GaugeCheckPage{Frame: frame, Code: i.Code, Back: instrumentPath(i.Code), Unit: words.Unit(i.Unit), Change: frame.Actor.May(models.ActCalibrate), Answer: checkName(x.GaugeCheck)}
	values := make([]float64, len(x.Readings))
	for n, r := range x.Readings {
		values[n] = r.ValueF
	}
	panel := chartPanel{Name: "value", Title: checkName(x.GaugeCheck), Unit: page.Unit, Values: values, Signals: map[int]string{}}
	for n, r := range x.Readings {
		if !r.Good {
			panel.Signals[n] = "Outside the limits of the check, " + words.Number(x.Low) + " to " + words.Quantity(x.High, i.Unit) + "."
		}
	}
	page.Sub, page.Why = limitsOfChart(x, i.Unit, i.Resolution).draw(&panel, i.Unit)
	page.Answer += ": " + checkAnswer(len(x.Readings), len(panel.Signals))
	for n := len(x.Readings) - 1; n >= 0; n-- {
		r := x.Readings[n]
		page.Table = append(page.Table, CheckPoint{When: s.minute(r.ReadAt), Who: name(people, r.ReadBy), Place: r.Place, Value: words.Number(r.Value), Signal: panel.Signals[n]})
	}
	if len(values) > 0 {
		decimals := 0
		if d, err := measure.Parse(x.Readings[len(values)-1].Value); err == nil {
			decimals = d.Decimals()
		}
		// Finite numbers and text cannot fail to encode.
		raw, _ := json.Marshal(chartData{Unit: page.Unit, Behind: strings.TrimPrefix(words.Quantity("0", i.Unit), "0"), Decimals: decimals, Panels: []chartPanel{panel}})
		page.Data = string(raw)
		page.Describe = plural(len(values), "reading", "readings") + " of one check in the order of time. The table below holds the same."
	}
	return page
}

func checkAnswer(n, signals int) string {
	switch {
	case n == 0:
		return "not done yet"
	case signals == 0:
		return "nothing unusual in " + plural(n, "reading", "readings")
	}
	return plural(signals, "unusual reading", "unusual readings") + " of " + strconv.Itoa(n)
}

// checkLimits are the limits of a check's chart.
type checkLimits struct {
	low, centre, high string // in the unit of the gauge, as they are written
	Low, Centre, High float64
	own               bool // from how the readings scatter; else those of the check
	n                 int  // readings
	x                 gauges.CheckView
}

// limitsOfChart gives the limits that follow from how the readings scatter from one
// to the next (chart of individuals), or those of the check while they are few.
func limitsOfChart(x gauges.CheckView, unit, resolution string) checkLimits {
	values := make([]float64, len(x.Readings))
	for n, r := range x.Readings {
		values[n] = r.ValueF
	}
	out := checkLimits{n: len(values), x: x, low: x.Low, centre: x.Reference, high: x.High, Low: floatOf(x.Low), Centre: floatOf(x.Reference), High: floatOf(x.High)}
	if len(values) < individualsFrom {
		return out
	}
	drawn, err := spc.Individuals(spc.Data{Values: values, Resolution: floatOf(resolution), Widen: true})
	if err != nil || len(drawn.Panels[0].Low) == 0 || len(drawn.Panels[0].High) == 0 {
		return out
	}
	p := drawn.Panels[0]
	out.own, out.Low, out.Centre, out.High = true, p.Low[0], p.Centre[0], p.High[0]
	out.low, out.centre, out.high = significant(out.Low, 3), significant(out.Centre, 3), significant(out.High, 3)
	return out
}

// words say where the limits lie and what they come from.
func (l checkLimits) words(unit string) string {
	at := "Limits of its chart: " + words.Number(l.low) + " to " + words.Quantity(l.high, unit) + " about " + words.Quantity(l.centre, unit)
	if l.own {
		return at + ", from how far each of " + plural(l.n, "reading", "readings") + " lies" + " from the one before (individuals and moving ranges)."
	}
	return at + ", those of the check: from " + strconv.Itoa(individualsFrom) + " readings on they follow from how the readings scatter."
}

// draw puts the limits into the panel, and what lies outside them.
func (l checkLimits) draw(panel *chartPanel, unit string) (sub, why string) {
	panel.Centre, panel.Low, panel.High = l.Centre, &l.Low, &l.High
	sub = words.Quantity(l.x.Reference, unit) + " is there; it may read " + words.Number(l.x.Low) + " to " + words.Quantity(l.x.High, unit) + "."
	why = l.words(unit)
	if !l.own {
		return sub, why
	}
	for n, v := range panel.Values {
		if _, said := panel.Signals[n]; !said && (v < l.Low || v > l.High) {
			panel.Signals[n] = "Further off than these readings scatter by themselves: the gauge, the piece or the way of checking has changed."
		}
	}
	return sub, why + " They are the check’s own: a gauge that moves shows before it fails."
}

func floatOf(text string) float64 {
	d, err := measure.Parse(text)
	if err != nil {
		return 0
	}
	return d.Float()
}

// chartData is what the module of a check's chart draws; it lies in a data-
// attribute. The points themselves, their moments and words, it reads from the
// table, so that nothing is sent twice.
type chartData struct {
	Unit     string       `json:"unit"`
	Behind   string       `json:"behind"` // the unit as it stands behind a value
	Decimals int          `json:"decimals"`
	Panels   []chartPanel `json:"panels"`
}

type chartPanel struct {
	Name    string         `json:"name"`
	Title   string         `json:"title"`
	Unit    string         `json:"unit"`
	First   int            `json:"first"`
	Values  []float64      `json:"values"`
	Centre  float64        `json:"centre"`
	Low     *float64       `json:"low,omitempty"`
	High    *float64       `json:"high,omitempty"`
	Signals map[int]string `json:"signals"` // words by index of the point
}
