package web

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/build"
	"tracewright/server/httpx"
)

// CapacityPage is one discharge: what each block gave, and how its voltage fell.
type CapacityPage struct {
	Frame
	Serial, Path string
	Answer       string
	Mark         Mark
	Facts        string
	Caution      string
	Rows         []CapacityRow
	Data         string // the figure, with its words, that the page's module draws
	Describe     string // the picture in words
}

// CapacityRow is one block.
type CapacityRow struct {
	Place, Hours, Measured, Corrected, Percent string
	First                                      bool // the first at its cut-off
}

// figureData is a figure with its words, as it lies in a data- attribute.
type figureData struct {
	models.Figure
	Words map[string]string `json:"words"` // by code
	Units map[string]string `json:"units"` // as they stand behind a value
	Line  string            `json:"line"`  // what a line is: "Block"
}

func (s *site) newCapacityTest(c *gin.Context) error {
	return s.showNewCapacityTest(c, http.StatusOK, nil)
}

func (s *site) showNewCapacityTest(c *gin.Context, status int, problem error) error {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return err
	}
	f := posted(c, problem)
	path := itemPath(v.Item.Name(), v.Item.ID)
	page := ConfirmPage{Frame: s.frame(c, "A discharge", ""), About: words.Serial(v.Item.Name()), Mono: true, Title: "Add a discharge at constant current", Button: "Keep", Path: path + "/capacity/new", Back: path,
		Says: []string{"From full, after 1 to 24 h of rest, down to the cut-off of the first block. Never leave it alone while it runs, and charge it at once afterwards.", english.Say("caution.makers_data_first", nil)},
		Fields: []Field{f.field(Field{Name: "started_at", Label: "Began", Kind: "datetime-local", Width: "w6"}),
			f.field(Field{Name: "temperature_c", Label: "Temperature at the start", Unit: "°C", Width: "w4", Mode: "decimal"}),
			f.field(Field{Name: "reference_c", Label: "Rated at", Unit: "°C", Width: "w4", Mode: "decimal", Optional: true, Hint: "As on the label; 25 when left empty."}),
			f.field(Field{Name: "cut_off_v", Label: "Cut-off of one block", Unit: "V", Width: "w4", Mode: "decimal", Optional: true, Hint: "That of the usual slow rate when left empty; lower for a fast one, by the maker’s sheet."}),
			f.field(Field{Name: "coef_per_k", Label: "Correction per kelvin", Width: "w4", Mode: "decimal", Optional: true, Hint: "Lead-acid 0.006 from 3 h on and 0.01 below when left empty."}),
			f.field(Field{Name: "log", Label: "Log", Kind: "text area", Hint: "A row a moment: time, current of the whole pack, voltage of each block from minus to plus; by comma, semicolon or tab. Hours, amperes and volts, or the units of the head line."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) addCapacityTest(c *gin.Context) error {
	log, err := build.ParseLog(c.PostForm("log"))
	var tested build.Tested
	if err == nil {
		started, _ := time.ParseInLocation("2006-01-02T15:04", c.PostForm("started_at"), s.zone()) // Zero is refused.
		tested, err = s.services.Build.AddCapacityTest(c.Request.Context(), httpx.Actor(c), c.Param("serial"), build.NewTest{Started: started, TemperatureC: c.PostForm("temperature_c"), ReferenceC: c.PostForm("reference_c"),
			CutOffV: c.PostForm("cut_off_v"), CoefPerK: c.PostForm("coef_per_k"), Log: log})
	}
	if answerable(err) {
		return s.showNewCapacityTest(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/items/"+c.Param("serial")+"/capacity/"+tested.ID, "capacity")
}

func (s *site) capacityTest(c *gin.Context) error {
	ctx := c.Request.Context()
	v, err := s.services.Trace.Glance(ctx, c.Param("serial"), "")
	if err != nil {
		return err
	}
	t, err := s.services.Build.CapacityTest(ctx, v.Item.ID, c.Param("id"))
	if err != nil {
		return err
	}
	return show(c, "capacity", s.capacityPage(s.frame(c, "Capacity", ""), words.Serial(v.Item.Name()), itemPath(v.Item.Name(), v.Item.ID), t))
}

func (s *site) capacityPage(frame Frame, serial, path string, t build.Tested) CapacityPage {
	fixed := func(x float64, n int) string { return strconv.FormatFloat(x, 'f', n, 64) }
	page := CapacityPage{Frame: frame, Serial: serial, Path: path, Data: drawnFigure(t.Figure(), "Block"), Mark: Mark{"cross", "Below " + fixed(t.AcceptPct, 0) + "\u00a0%", "fail"}}
	least := math.Inf(1)
	for _, b := range t.Blocks {
		row := CapacityRow{Place: b.Name, Hours: fixed(b.Hours, 2), Measured: fixed(b.MeasuredAh, 2), Corrected: fixed(b.CorrectedAh, 2), Percent: fixed(b.PctOfRated, 1), First: b.Place == t.Weakest}
		if !b.Reached {
			row.Hours, row.Percent = "over "+row.Hours, "over "+row.Percent
		}
		page.Rows = append(page.Rows, row)
		least = math.Min(least, b.PctOfRated)
	}
	page.Answer = "The weakest block gave " + fixed(least, 1) + "\u00a0% of its rated capacity"
	if t.Weakest == 0 {
		page.Answer = "No block came to its cut-off: each gave at least " + fixed(least, 1) + "\u00a0%"
	}
	switch {
	case t.StoppedEarly:
		page.Mark = Mark{"triangle", "Stopped too early to say", "care"}
	case !t.InRange:
		page.Mark = Mark{"triangle", "Started too cold or too warm to say", "care"}
	case t.Accepted:
		page.Mark = Mark{"tick", "At least " + fixed(t.AcceptPct, 0) + "\u00a0%", "pass"}
	}
	page.Describe = fmt.Sprintf("Voltage of %s over %s h, falling from the start to the cut-off at %s V. The table below says what each gave.", plural(len(t.Blocks), "block", "blocks"), fixed(lastOf(t.Figure().At), 1), t.CutOffV)
	corrected := "corrected to " + t.ReferenceC + " °C with " + t.CoefPerK + " per K"
	if t.CoefPerK == "0" {
		corrected = "not corrected"
	}
	page.Facts = fmt.Sprintf("%s, %s A, from %s °C, %s; rated %s Ah, cut-off %s V a block.", s.day(t.StartedAt), fixed(t.CurrentA, 3), t.TemperatureC, corrected, t.RatedAh, t.CutOffV)
	if t.Strings > 1 {
		page.Facts += " The strings are taken to share the current evenly, " + fixed(t.CurrentA/float64(t.Strings), 3) + " A each."
	}
	switch {
	case t.InRange:
	case t.CoefPerK == "0":
		page.Caution = "It started more than 3 °C from " + t.ReferenceC + " °C, and there is no correction for that."
	default:
		page.Caution = "The correction is good from 15 to 35 °C; it started outside."
	}
	return page
}

// drawnFigure writes a figure with its words for the page's module.
func drawnFigure(f models.Figure, line string) string {
	data := figureData{Figure: f, Words: map[string]string{}, Units: map[string]string{}, Line: line}
	for _, axis := range []models.FigureAxis{f.Along, f.Up} {
		data.Words[axis.Code] = english.Say("figure."+axis.Code, nil)
		data.Units[axis.Code] = words.Unit(axis.Unit)
	}
	for _, level := range f.Levels {
		data.Words[level.Code] = english.Say("figure."+level.Code, nil)
	}
	// A figure of finite numbers and text cannot fail to encode.
	raw, _ := json.Marshal(data)
	return string(raw)
}

func lastOf(list []float64) float64 {
	if len(list) == 0 {
		return 0
	}
	return list[len(list)-1]
}
