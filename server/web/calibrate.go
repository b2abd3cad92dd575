package web

import (
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/documents"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// CalibratePage enters a calibration: once, and for each point what was there and
// what the gauge read.
type CalibratePage struct {
	Frame
	Code, Path, Back string
	Offer            string
	Fields           []Field
	After            []Field // below the points
	Points           []PointFields
	PointProblem     string
	Unit             string
	Problems         Problems
}

// PointFields are the cells of one point.
type PointFields struct {
	Label   string
	Cells   []Field
	Problem string
}

// pointNames are the cells of a point, and the head of each column.
var pointNames = []struct{ name, label string }{{"reference", "What was there"}, {"as_found", "Read as found"}, {"as_left", "Read as left"}, {"tolerance", "Allowed error, ±"}, {"u", "Uncertainty"}}

// fewestPoints is how many lines a form without an earlier calibration has.
const fewestPoints = 5

// mostPointLines bounds the lines that are read of a form.
const mostPointLines = 60

func (s *site) calibratePage(c *gin.Context) error {
	v, err := s.services.Gauges.Instrument(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	list, err := s.services.Gauges.Calibrations(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	now := s.services.Now().In(s.zone())
	values := map[string]string{"day": now.Format("2006-01-02"), "time": now.Format("15:04"), "by": s.frame(c, "", "").Actor.Name}
	points := fewestPoints
	// The points, their tolerances and the standard are those of the last time.
	for _, x := range list {
		if x.Report == nil {
			continue
		}
		values["standard"], values["by"] = x.Standard, x.Report.MadeBy
		for n, p := range x.Report.Points {
			values[pointField(n, "reference")], values[pointField(n, "tolerance")], values[pointField(n, "u")] = p.Reference, p.Tolerance, p.U
		}
		points = max(len(x.Report.Points), 1)
		break
	}
	return s.showCalibrate(c, http.StatusOK, v.Instrument, filled(values), points)
}

func pointField(n int, name string) string { return "points[" + strconv.Itoa(n) + "]." + name }

func (s *site) showCalibrate(c *gin.Context, status int, i models.Instrument, f *form, points int) error {
	offer, err := s.services.Gauges.Offered(c.Request.Context(), i.Code)
	if err != nil {
		return err
	}
	unit := words.Unit(i.Unit)
	page := CalibratePage{Frame: s.frame(c, "Calibration of "+i.Code, "/instruments"), Code: i.Code, Path: instrumentPath(i.Code) + "/calibrate", Back: instrumentPath(i.Code), Unit: unit}
	page.Offer = "Left empty: " + plural(offer.Good, "month", "months") + " on when it was found in tolerance, " + plural(offer.Bad, "month", "months") + " when it was not; the last interval was " + strconv.Itoa(offer.Last) + "."
	page.Fields = []Field{
		f.field(Field{Name: "day", Label: "Day", Kind: "date", Width: "w4"}),
		f.field(Field{Name: "time", Label: "Time", Kind: "time", Width: "w4", Optional: true, Hint: "What was read before it counts as read with the gauge as found. Left empty, all that was read on that day does where the gauge was found out of tolerance."}),
		f.field(Field{Name: "by", Label: "Who calibrated", Width: "w4"}),
		f.field(Field{Name: "standard", Label: "Held against", Width: "w8", Hint: "The code of one of the register, or its name and number."}),
		f.field(Field{Name: "adjusted", Label: "It was adjusted", Kind: "check", Width: "w4"}),
	}
	for n := range points {
		row := PointFields{Label: strconv.Itoa(n + 1)}
		for _, x := range pointNames {
			cell := f.field(Field{Name: pointField(n, x.name), Label: x.label + ", point " + row.Label, Hint: strings.ToLower(x.label), Mode: "decimal", Optional: true})
			if cell.Problem != "" && row.Problem == "" {
				row.Problem = x.label + ": " + cell.Problem
			}
			row.Cells = append(row.Cells, cell)
		}
		page.Points = append(page.Points, row)
	}
	page.PointProblem = f.field(Field{Name: "points"}).Problem
	page.After = []Field{
		f.field(Field{Name: "certificate_number", Label: "Number of its certificate", Width: "w6", Optional: true, Hint: "The paper itself is added afterwards."}),
		f.field(Field{Name: "due_on", Label: "Next due", Kind: "date", Width: "w6", Optional: true, Hint: page.Offer}),
		f.field(Field{Name: "note", Label: "Note", Optional: true}),
	}
	page.Problems = f.summary()
	return send(c, status, "calibrate", page)
}

// calibrate keeps a calibration; a failed one leads to what it means.
func (s *site) calibrate(c *gin.Context) error {
	ctx, text := c.Request.Context(), func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	v, err := s.services.Gauges.Instrument(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	in := gauges.NewCalibration{Day: text("day"), Time: text("time"), DueOn: text("due_on"), Certificate: text("certificate_number"), By: text("by"), Standard: text("standard"), Adjusted: text("adjusted") == "yes", Note: text("note")}
	rows := 0
	var at []int // line of the form that each point came from
	for n := range mostPointLines {
		cell := func(name string) string { return text(pointField(n, name)) }
		if _, there := c.GetPostForm(pointField(n, "reference")); !there {
			break
		}
		rows++
		if p := (models.CalibrationPoint{Reference: cell("reference"), AsFound: cell("as_found"), AsLeft: cell("as_left"), Tolerance: cell("tolerance"), U: cell("u")}); p.AsFound != "" || p.AsLeft != "" {
			in.Points, at = append(in.Points, p), append(at, n)
		}
	}
	if text("more") != "" {
		return s.showCalibrate(c, http.StatusOK, v.Instrument, newForm(c.PostForm, nil), rows+fewestPoints)
	}
	out, err := s.services.Gauges.Calibrate(ctx, httpx.Actor(c), v.Instrument.Code, in)
	if answerable(err) {
		return s.showCalibrate(c, http.StatusUnprocessableEntity, v.Instrument, posted(c, atLines(err, "points", at)), max(rows, 1))
	}
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(v.Instrument.Code), calibratedAs(out))
}

// calibratedAs is the code of what a page says after a calibration.
func calibratedAs(out gauges.Calibrated) string {
	code := "calibrated"
	switch {
	case out.Trace != nil:
		code = "found_out"
	case out.StaysOut:
		code = "stays_out"
	case !out.Report.AsLeftGood:
		code = "left_out"
	}
	if out.Later {
		code += "_late"
	}
	return code
}

// addCalibrationPaper keeps the certificate that came with a calibration.
func (s *site) addCalibrationPaper(c *gin.Context) error {
	ctx := c.Request.Context()
	list, err := s.services.Gauges.Calibrations(ctx, c.Param("code"))
	if err != nil {
		return err
	}
	for _, x := range list {
		if x.Report == nil || x.Report.ID != c.Param("id") {
			continue
		}
		file, err := httpx.ReadFile(c, documents.MostBytes)
		err = s.keepPaper(c, file, err, models.SubjectCalibration, x.Report.ID)
		if answerable(err) {
			return s.showInstrumentWith(c, err)
		}
		if err != nil {
			return err
		}
		return redirect(c, instrumentPath(c.Param("code")), "paper")
	}
	return models.ErrNotFound
}

// showInstrumentWith shows the gauge with what was wrong with a paper.
func (s *site) showInstrumentWith(c *gin.Context, problem error) error {
	page, err := s.instrumentPage(c, nil)
	if err != nil {
		return err
	}
	f := newForm(func(string) string { return "" }, problem)
	page.PaperProblem = f.field(Field{Name: "file"}).Problem
	return send(c, http.StatusUnprocessableEntity, "instrument", page)
}
