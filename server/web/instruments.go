package web

import (
	"net/http"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// InstrumentsPage lists the gauges with their standing today.
type InstrumentsPage struct {
	Frame
	Answer string
	Rows   []InstrumentRow
}

// InstrumentRow is one gauge.
type InstrumentRow struct {
	Code, Path, Kind, Name, Place, Range, Resolution, U, Due string
	Standing                                                 Mark
}

// standingMark is how a gauge stands, as shape, word and colour.
func standingMark(s gauges.Standing) Mark {
	switch s {
	case gauges.Overdue:
		return Mark{"triangle", "Overdue", "care"}
	case gauges.DueSoon:
		return Mark{"clock", "Due soon", "note"}
	case gauges.Out:
		return Mark{"cross", "Out of use", "fail"}
	case gauges.Retired:
		return Mark{"", "Retired", "none"}
	case gauges.NoDate:
		return Mark{"ring", "No due day", "none"}
	}
	return Mark{"tick", "In date", "pass"}
}

func (s *site) instruments(c *gin.Context) error {
	list, err := s.services.Gauges.Instruments(c.Request.Context())
	if err != nil {
		return err
	}
	page := InstrumentsPage{Frame: s.frame(c, "Instruments", "/instruments"), Answer: "No instrument yet"}
	late := 0
	for _, v := range list {
		i := v.Instrument
		row := InstrumentRow{Code: i.Code, Path: "/instruments/" + i.Code, Place: i.Place, Due: words.Date(i.DueOn), Standing: standingMark(v.Standing)}
		row.Kind, row.Name = kindAndName(i)
		row.Range = between(i.RangeLow, i.RangeHigh, i.Unit)
		row.Resolution, row.U = quantityOrNone(i.Resolution, i.Unit), quantityOrNone(i.Uncertainty, i.Unit)
		if v.Standing == gauges.Overdue {
			late++
		}
		page.Rows = append(page.Rows, row)
	}
	switch n := len(page.Rows); {
	case n > 0 && late == 0:
		page.Answer = counted(n, "instrument", "instruments") + ", none past its day"
	case n > 0:
		page.Answer = counted(late, "instrument is", "instruments are") + " past the calibration day"
	}
	return show(c, "instruments", page)
}

// kindAndName are what an instrument is and what it is called, without saying
// the kind twice: a name that says it stands alone. "Tension gauge, stand 1"
// says that it is a spoke tension gauge; "Gauge 4" does not.
func kindAndName(i models.Instrument) (kind, name string) {
	kind = english.Instrument(i.Kind)
	said := strings.Fields(kind)
	if len(said) > 2 {
		said = said[len(said)-2:]
	}
	if len(said) > 0 && strings.Contains(strings.ToLower(i.Name), strings.ToLower(strings.Join(said, " "))) {
		return i.Name, ""
	}
	return words.Sentence(kind), i.Name
}

// InstrumentForm adds a gauge.
type InstrumentForm struct {
	Frame
	Title, Path, Back, Button string
	Fields                    []Field
	Problems                  Problems
}

// instrumentFields are the questions about a gauge; code and kind never change
// once given.
func instrumentFields(f *form, fresh bool) []Field {
	var kindChoices []Choice
	for _, kind := range instrumentKinds() {
		kindChoices = append(kindChoices, Choice{kind, words.Sentence(english.Instrument(kind))})
	}
	var out []Field
	add := func(x Field) { out = append(out, f.field(x)) }
	if fresh {
		add(Field{Name: "code", Label: "Code", Width: "w4", Mono: true, Focus: true, Hint: "As it is marked: L-14."})
		add(Field{Name: "kind", Label: "Kind", Kind: "select", Width: "w8", Choices: kindChoices})
	}
	add(Field{Name: "name", Label: "Name", Width: "w8", Hint: "Maker and model."})
	add(Field{Name: "place", Label: "Place", Width: "w4", Optional: true})
	add(Field{Name: "unit", Label: "Unit it reads in", Width: "w3", Hint: "mm, N, kgf, V, mohm, degC"})
	add(Field{Name: "range_low", Label: "Range from", Mode: "decimal", Width: "w3", Optional: true, Hint: "A dial that reads both ways begins below zero: -5 to 5. What lies outside is refused."})
	add(Field{Name: "range_high", Label: "to", Mode: "decimal", Width: "w3", Optional: true})
	add(Field{Name: "resolution", Label: "Resolution", Mode: "decimal", Width: "w3", Optional: true})
	add(Field{Name: "uncertainty", Label: "Uncertainty", Mode: "decimal", Width: "w4", Optional: true, Hint: "Expanded, about 95 %, as its calibration states it. A budget begins with it as k = 2, and may be given another k."})
	add(Field{Name: "calibrated_on", Label: "Calibrated on", Kind: "date", Width: "w4", Optional: true})
	add(Field{Name: "due_on", Label: "Due on", Kind: "date", Width: "w4", Optional: true})
	add(Field{Name: "certificate_number", Label: "Number of its calibration certificate", Width: "w8", Optional: true})
	add(Field{Name: "state", Label: "State", Kind: "select", Width: "w4", Choices: choices([]string{models.InstrumentInUse, models.InstrumentOut, models.InstrumentRetired}, func(c string) string { return words.Sentence(english.State(c)) })})
	return out
}

// instrumentKinds are those that some characteristic takes, in the order of
// the catalogue of kinds.
func instrumentKinds() []string {
	var out []string
	seen := map[string]bool{"": true}
	for _, k := range kinds.Catalogue() {
		list, err := k.DefaultSpecification(k.Grades[0], models.ProductForm{})
		if err != nil {
			continue
		}
		for _, c := range list {
			if !seen[c.Instrument] {
				seen[c.Instrument] = true
				out = append(out, c.Instrument)
			}
		}
	}
	return append(out, models.InstrumentReference)
}

func postedInstrument(c *gin.Context) models.Instrument {
	text := func(name string) string { return strings.TrimSpace(c.PostForm(name)) }
	return models.Instrument{Code: text("code"), Kind: text("kind"), Name: text("name"), Place: text("place"), Unit: text("unit"), RangeLow: text("range_low"), RangeHigh: text("range_high"), Resolution: text("resolution"),
		Uncertainty: text("uncertainty"), CalibratedOn: text("calibrated_on"), DueOn: text("due_on"), CertificateNumber: text("certificate_number"), State: text("state")}
}

func (s *site) newInstrument(c *gin.Context) error { return s.showNewInstrument(c, http.StatusOK, nil) }

func (s *site) showNewInstrument(c *gin.Context, status int, problem error) error {
	f := posted(c, problem)
	page := InstrumentForm{Frame: s.frame(c, "Add an instrument", "/instruments"), Title: "Add an instrument", Path: "/instruments/new", Back: "/instruments", Button: "Save", Fields: instrumentFields(f, true)}
	page.Problems = f.summary()
	return send(c, status, "instrument_new", page)
}

func (s *site) addInstrument(c *gin.Context) error {
	_, err := s.services.Gauges.Add(c.Request.Context(), httpx.Actor(c), postedInstrument(c))
	if answerable(err) {
		return s.showNewInstrument(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, "/instruments", "instrument")
}
