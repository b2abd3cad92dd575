package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// InstrumentPage is one gauge: how it stands, its short checks, its calibrations
// and what followed from them, and its entry.
type InstrumentPage struct {
	Frame
	Code, Title, Path string
	Standing          Mark
	Facts             []LotFact
	Change            bool // the entry may be changed by this person
	Found             []FoundOut
	Checks            []CheckRow
	Calibrations      []CalibrationRow
	PaperProblem      string
	From              string // what the entry was when its form was opened
	Fields            []Field
	Problems          Problems
	Tables            *GaugeTables // of a tension gauge
	NewCheck          *CheckForm
	Out               *OutForm // of one that is out of use
}

// FoundOut is a failure of the gauge and what it had measured.
type FoundOut struct {
	What, Path string
	Says       []Span
	// Cause stands where what was measured has not been traced.
	Cause string
}

// CalibrationRow is one calibration of the list.
type CalibrationRow struct {
	Path, Day, Due, Number, Entered, By string
	Standard                            []Span
	Found, Left                         Mark
	Papers                              []PaperRow
	Points                              []CalibrationPointRow
	Unit, Note                          string
	Adjusted                            bool
	Keep                                string // where a paper is added
}

// CalibrationPointRow is one point of a calibration.
type CalibrationPointRow struct {
	Reference, Found, Error, Left, Tolerance, U string
	Good                                        bool
}

// OutForm lets the owner have readings of a gauge that is out judged.
type OutForm struct {
	Path, Note string
	From       string // digest of the instrument that is shown
	Back       bool   // it came back into use while the form lay open
	May        bool
	Field      Field
	Secret     *Field // nil where none is asked for
	Problems   Problems
}

func (s *site) instrument(c *gin.Context) error { return s.showInstrument(c, http.StatusOK, nil) }

func (s *site) showInstrument(c *gin.Context, status int, problem error) error {
	page, err := s.instrumentPage(c, problem)
	if err != nil {
		return err
	}
	return send(c, status, "instrument", page)
}

func instrumentPath(code string) string { return "/instruments/" + code }

// instrumentPage is the gauge that the address names.
func (s *site) instrumentPage(c *gin.Context, problem error) (InstrumentPage, error) {
	ctx := c.Request.Context()
	v, err := s.services.Gauges.Instrument(ctx, c.Param("code"))
	if err != nil {
		return InstrumentPage{}, err
	}
	i := v.Instrument
	f := filled(map[string]string{"name": i.Name, "place": i.Place, "unit": i.Unit, "range_low": i.RangeLow, "range_high": i.RangeHigh, "resolution": i.Resolution, "uncertainty": i.Uncertainty,
		"calibrated_on": i.CalibratedOn, "due_on": i.DueOn, "certificate_number": i.CertificateNumber, "state": i.State})
	stands, err := models.Digest(i)
	if err != nil {
		return InstrumentPage{}, err
	}
	from := stands
	if problem != nil {
		f, from = posted(c, problem), c.PostForm("from")
	}
	page := InstrumentPage{From: from, Frame: s.frame(c, i.Code, "/instruments"), Code: i.Code, Title: words.Sentence(english.Instrument(i.Kind)) + " " + i.Code, Path: instrumentPath(i.Code), Standing: standingMark(v.Standing), Fields: instrumentFields(f, false), Facts: instrumentFacts(i)}
	page.Change = page.Actor.May(models.ActCalibrate)
	page.Problems = f.summary()
	if i.State == models.InstrumentOut {
		page.Out = s.outForm(c, page, stands, filled(map[string]string{"out_note": i.OutNote}))
		page.Out.Note = i.OutNote
	}
	if err := s.instrumentHistory(c, i, &page); err != nil {
		return page, err
	}
	if i.Kind == gauges.TensionGauge {
		page.Tables, err = s.gaugeTables(c, i.Code, nil)
	}
	return page, err
}

func (s *site) outForm(c *gin.Context, page InstrumentPage, from string, f *form) *OutForm {
	out := &OutForm{Path: page.Path + "/out-note", From: from, May: page.Actor.May(models.ActConcede)}
	out.Field = f.field(Field{Name: "out_note", Label: "Why its readings may be judged all the same", Optional: true, Hint: "Empty: nothing is judged by it."})
	out.Secret = s.secretField(c, f)
	out.Problems = f.summary()
	return out
}

func instrumentFacts(i models.Instrument) []LotFact {
	var facts []LotFact
	for _, x := range []LotFact{{Label: "What it is", Value: i.Name}, {Label: "Place", Value: i.Place}, {Label: "Range", Value: between(i.RangeLow, i.RangeHigh, i.Unit)}, {Label: "Resolution", Value: quantityOrNone(i.Resolution, i.Unit)},
		{Label: "Uncertainty", Value: uncertaintyOf(i)}, {Label: "Calibrated", Value: words.Date(i.CalibratedOn)}, {Label: "Due", Value: words.Date(i.DueOn)}} {
		if x.Value != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

// uncertaintyOf is what the register says of a gauge itself. How far a result may be
// off is in the budget of the result.
func uncertaintyOf(i models.Instrument) string {
	if i.Uncertainty == "" {
		return ""
	}
	return "±" + words.Quantity(i.Uncertainty, i.Unit) + ", about 95 %"
}

// instrumentHistory adds the checks and calibrations, and what failed.
func (s *site) instrumentHistory(c *gin.Context, i models.Instrument, page *InstrumentPage) error {
	ctx := c.Request.Context()
	people, err := s.people(ctx)
	if err != nil {
		return err
	}
	checks, err := s.services.Gauges.Checks(ctx, i.Code)
	if err != nil {
		return err
	}
	for _, x := range checks {
		page.Checks = append(page.Checks, s.checkRow(i, x, people, page.Frame, nil))
	}
	if page.Change {
		page.NewCheck = newCheckForm(i, filled(map[string]string{}))
	}
	list, err := s.services.Gauges.Calibrations(ctx, i.Code)
	if err != nil {
		return err
	}
	ids := []string{}
	for _, x := range list {
		if x.Report != nil {
			ids = append(ids, x.Report.ID)
		}
	}
	papers, err := s.services.Documents.Of(ctx, models.SubjectCalibration, ids...)
	if err != nil {
		return err
	}
	for _, x := range list {
		row := s.calibrationRow(i, x, people)
		if x.Report != nil {
			row.Papers = s.paperRows(papersOf(papers, x.Report.ID), "", people)
			if page.Change {
				row.Keep = page.Path + "/calibrations/" + x.Report.ID + "/papers"
			}
		}
		page.Calibrations = append(page.Calibrations, row)
	}
	return s.foundOut(c, i, list, page)
}

func papersOf(list []models.AttachmentView, id string) []models.AttachmentView {
	var own []models.AttachmentView
	for _, a := range list {
		if a.SubjectID == id {
			own = append(own, a)
		}
	}
	return own
}

func (s *site) calibrationRow(i models.Instrument, x gauges.CalibrationView, people map[string]string) CalibrationRow {
	row := CalibrationRow{Day: words.Date(x.CalibratedOn), Due: words.Date(x.DueOn), Number: x.CertificateNumber, Entered: s.day(x.EnteredAt) + ", " + name(people, x.EnteredBy), Unit: words.Unit(i.Unit), Found: Mark{"", "Only its day was noted", "none"}}
	r := x.Report
	if r == nil {
		return row
	}
	row.Day, row.By, row.Note, row.Adjusted = s.minute(r.MadeAt), r.MadeBy, r.Note, r.Adjusted
	row.Found, row.Left = foundMark(r.AsFoundGood, "Found"), foundMark(r.AsLeftGood, "Left")
	row.Standard = []Span{{Text: x.Standard}}
	if x.Known {
		row.Standard = []Span{{Text: x.Standard, Mono: true, Path: instrumentPath(x.Standard)}}
	}
	for _, p := range r.Points {
		off, good := gauges.ErrorOf(p)
		row.Points = append(row.Points, CalibrationPointRow{Reference: words.Number(p.Reference), Found: words.Number(p.AsFound), Error: withSign(off), Left: words.Number(p.AsLeft), Tolerance: "±" + words.Number(p.Tolerance), U: words.Number(p.U), Good: good})
	}
	return row
}

// withSign writes an error with its sign.
func withSign(off string) string {
	if off == "" || strings.HasPrefix(off, "-") || strings.Trim(off, "0.") == "" {
		return words.Number(off)
	}
	return "+" + words.Number(off)
}

func foundMark(good bool, how string) Mark {
	if good {
		return Mark{"tick", how + " in tolerance", "pass"}
	}
	return Mark{"cross", how + " out of tolerance", "fail"}
}

// mostFound is how many failures the page of a gauge tells of, the newest.
const mostFound = 3

// foundOut tells of each failure that was traced: the newest answer of each.
func (s *site) foundOut(c *gin.Context, i models.Instrument, list []gauges.CalibrationView, page *InstrumentPage) error {
	traces, err := s.services.Gauges.Traces(c.Request.Context(), i.Code)
	if err != nil {
		return err
	}
	seen := map[string]bool{}
	for _, t := range traces {
		if seen[t.CauseID] {
			continue
		}
		seen[t.CauseID] = true
		if len(page.Found) == mostFound {
			continue
		}
		view, err := s.services.Gauges.Traced(c.Request.Context(), i.Code, t.ID)
		if err != nil {
			return err
		}
		path := page.Path + "/traces/" + t.ID
		sum := sumOf(view)
		found := FoundOut{What: "Found out of tolerance on " + s.day(view.Content.At), Path: path}
		if t.Cause == models.CauseCheck {
			found.What = "A check failed on " + s.minute(view.Content.At)
		}
		found.Says = []Span{{Text: plural(len(view.Content.Sets), "reading set of ", "reading sets of ") + plural(len(view.Items), "item", "items"), Path: path}, {Text: " in the window: " + sum.words() + "."}}
		page.Found = append(page.Found, found)
	}
	// A failure whose trace was never kept, since the program stopped in between.
	for _, x := range list {
		if r := x.Report; r != nil && !r.AsFoundGood && !seen[r.ID] {
			page.Found = append(page.Found, FoundOut{What: "Found out of tolerance on " + s.day(r.MadeAt), Path: page.Path + "/traces", Cause: r.ID})
		}
	}
	return nil
}

func (s *site) changeInstrument(c *gin.Context) error {
	code := c.Param("code")
	in := postedInstrument(c)
	in.Code, in.Kind = "", "" // They never change.
	_, err := s.services.Gauges.Update(c.Request.Context(), httpx.Actor(c), code, c.PostForm("from"), in)
	if answerable(err) {
		return s.showInstrument(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(code), "instrument_up")
}

// judgeAnyway keeps what the owner says about a gauge that is out of use.
func (s *site) judgeAnyway(c *gin.Context) error {
	from := c.PostForm("from")
	err := s.confirm(c)
	if err == nil {
		err = s.services.Gauges.JudgeAnyway(c.Request.Context(), httpx.Actor(c), c.Param("code"), &from, c.PostForm("out_note"))
	}
	if answerable(err) {
		page, found := s.instrumentPage(c, nil)
		if found != nil {
			return found
		}
		note, back := "", page.Out == nil
		if !back {
			note = page.Out.Note
		}
		page.Out = s.outForm(c, page, from, posted(c, err))
		page.Out.Note, page.Out.Back = note, back
		return send(c, http.StatusUnprocessableEntity, "instrument", page)
	}
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(c.Param("code")), "instrument_up")
}
