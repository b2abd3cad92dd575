package web

import (
	"fmt"
	"math"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

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
	Plot         *Plot
}

// CapacityRow is one block.
type CapacityRow struct {
	Place, Hours, Measured, Corrected, Percent string
	First                                      bool // the first at its cut-off
}

// Plot is a drawing of lines over time: the blocks, and the cut-off.
type Plot struct {
	Width, Height     int
	Lines             []PlotLine
	CutY, CutText     string
	XTicks, YTicks    []PlotTick
	Left, Bottom, Top string
}

// PlotLine is one block's voltage.
type PlotLine struct{ Points, Dash, Name, LabelX, LabelY string }

// PlotTick is a mark on an axis.
type PlotTick struct{ At, Text string }

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
		Fields: []Field{f.field(Field{Name: "day", Label: "Day", Kind: "date", Width: "w4"}),
			f.field(Field{Name: "temperature_c", Label: "Temperature at the start", Unit: "°C", Width: "w4", Mode: "decimal"}),
			f.field(Field{Name: "reference_c", Label: "Rated at", Unit: "°C", Width: "w4", Mode: "decimal", Optional: true, Hint: "As on the label; 25 when left empty."}),
			f.field(Field{Name: "log", Label: "Log", Kind: "text area", Hint: "A row a moment: time, current of the whole pack, voltage of each block from minus to plus; by comma, semicolon or tab. Hours, amperes and volts, or the units of the head line."})}}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) addCapacityTest(c *gin.Context) error {
	log, err := build.ParseLog(c.PostForm("log"))
	var tested build.Tested
	if err == nil {
		started, _ := time.ParseInLocation(time.DateOnly, c.PostForm("day"), s.zone()) // Zero is refused.
		tested, err = s.services.Build.AddCapacityTest(c.Request.Context(), httpx.Actor(c), c.Param("serial"), build.NewTest{Started: started, TemperatureC: c.PostForm("temperature_c"), ReferenceC: c.PostForm("reference_c"), Log: log})
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
	page := CapacityPage{Frame: frame, Serial: serial, Path: path, Plot: plotOf(t), Mark: Mark{"cross", "Below " + fixed(t.AcceptPct, 0) + "\u00a0%", "fail"}}
	least := math.Inf(1)
	for _, b := range t.Blocks {
		row := CapacityRow{Place: strconv.Itoa(b.Place), Hours: fixed(b.Hours, 2), Measured: fixed(b.MeasuredAh, 2), Corrected: fixed(b.CorrectedAh, 2), Percent: fixed(b.PctOfRated, 1), First: b.Place == t.Weakest}
		if !b.Reached {
			row.Hours = "over " + row.Hours
		}
		page.Rows = append(page.Rows, row)
		least = math.Min(least, b.PctOfRated)
	}
	page.Answer = "The weakest block gave " + fixed(least, 1) + "\u00a0% of its rated capacity"
	if t.Weakest == 0 {
		page.Answer = "No block came to its cut-off: each gave at least " + fixed(least, 1) + "\u00a0%"
	}
	if t.Accepted {
		page.Mark = Mark{"tick", "At least " + fixed(t.AcceptPct, 0) + "\u00a0%", "pass"}
	}
	page.Facts = fmt.Sprintf("%s, %s A, from %s °C, corrected to %s °C with %s per K; rated %s Ah, cut-off %s V a block.", s.day(t.StartedAt), fixed(t.CurrentA, 3), t.TemperatureC, t.ReferenceC, t.CoefPerK, t.RatedAh, t.CutOffV)
	if share := t.Blocks[0].MeasuredAh / t.Blocks[0].Hours; share > 0 && t.CurrentA/share > 1.5 {
		page.Facts += " The strings are taken to share the current evenly, " + fixed(share, 3) + " A each."
	}
	if !t.InRange {
		page.Caution = "The correction is good from 15 to 35 °C; it started outside."
	}
	return page
}

// plotOf draws the voltage of each block over time.
func plotOf(t build.Tested) *Plot {
	const width, height, left, bottom, top, right = 880.0, 320.0, 56.0, 34.0, 12.0, 40.0
	cut, _ := strconv.ParseFloat(t.CutOffV, 64)
	hours, low, high := numbersOf(t.Content.Hours), cut, cut
	columns := make([][]float64, len(t.Content.Volts))
	for i, column := range t.Content.Volts {
		columns[i] = numbersOf(column)
		for _, v := range columns[i] {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	if len(hours) < 2 || high <= low {
		return nil
	}
	pad := (high - low) * 0.05
	low, high = low-pad, high+pad
	begin, span := hours[0], hours[len(hours)-1]-hours[0]
	x := func(h float64) float64 { return left + (h-begin)/span*(width-left-right) }
	y := func(v float64) float64 { return top + (high-v)/(high-low)*(height-top-bottom) }
	at := func(f float64) string { return strconv.FormatFloat(f, 'f', 1, 64) }
	p := &Plot{Width: width, Height: height, CutY: at(y(cut)), CutText: "cut-off " + t.CutOffV + "\u00a0V", Left: at(left), Bottom: at(height - bottom), Top: at(top)}
	dashes := []string{"", "8 4", "2 4", "10 4 2 4"}
	for i, column := range columns {
		var points strings.Builder
		every := max(1, len(column)/400) // No screen shows more.
		for k, v := range column {
			if k%every == 0 || k == len(column)-1 {
				fmt.Fprintf(&points, "%s,%s ", at(x(hours[k])), at(y(v)))
			}
		}
		end := len(column) - 1
		p.Lines = append(p.Lines, PlotLine{Points: points.String(), Dash: dashes[i%len(dashes)], Name: strconv.Itoa(i + 1), LabelX: at(x(hours[end]) + 6 + 9*float64(i%3)), LabelY: at(y(column[end]) + 4)})
	}
	for i := range 6 {
		h := begin + span*float64(i)/5
		p.XTicks = append(p.XTicks, PlotTick{at(x(h)), strconv.FormatFloat(h, 'f', 1, 64)})
		v := low + (high-low)*float64(i)/5
		p.YTicks = append(p.YTicks, PlotTick{at(y(v)), strconv.FormatFloat(v, 'f', 2, 64)})
	}
	return p
}

func numbersOf(list []string) []float64 {
	out := make([]float64, 0, len(list))
	for _, text := range list {
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return nil
		}
		out = append(out, x)
	}
	return out
}
