package web

import (
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
	"tracewright/server/httpx"
)

// The forms of a chart, as they are named when one of them comes back.
const (
	formCause    = "cause"
	formBaseline = "baseline"
	formHappened = "happening"
)

// chartForms puts the forms on the page: the one that came back refused with what
// was typed.
func (s *site) chartForms(page *ChartPage, v monitor.ChartView, look charting, c *gin.Context, problem error, came string) {
	q := v.Query
	hidden := [][2]string{{"family", q.FamilyID}, {"product", q.ProductID}, {"place", q.Place}, {"result", q.Result}, {"period", look.period}, {"from", look.from}, {"to", look.to}, {"rules", strings.Join(q.Rules, ",")}}
	answers := func(name string) *form {
		if name == came && problem != nil {
			return posted(c, problem)
		}
		return filled(nil)
	}
	if page.Actor.May(models.ActRecord) {
		s.causeForm(page, v, hidden, answers(formCause), c, came)
		f := answers(formHappened)
		happened := ChartForm{Path: "/charts/happenings", Open: came == formHappened, Hidden: hidden}
		day := f.field(Field{Name: "day", Label: "Day", Kind: "date", Width: "w3"})
		at := f.field(Field{Name: "at", Label: "Time", Kind: "time", Width: "w3"})
		if day.Value == "" {
			day.Value, at.Value = s.now().Format(time.DateOnly), s.now().Format("15:04")
		}
		happened.Fields = []Field{day, at,
			f.field(Field{Name: "words", Label: "What happened, in a few words", Width: "w6"}),
			f.field(Field{Name: "where", Label: "Where it counts", Kind: "select", Width: "w6", Choices: eventScopes(v)})}
		happened.Problems = f.summary()
		page.Happened = &happened
	}
	if page.Actor.May(models.ActSpecify) && len(v.Points) > 0 {
		f := answers(formBaseline)
		names := pointsNamed[v.Grouped]
		chosen := ChartForm{Path: "/charts/baselines", Open: came == formBaseline, Hidden: hidden}
		chosen.Fields = []Field{
			f.field(Field{Name: "first", ID: "baseline-first", Label: names.first, Mono: true, Width: "w4"}),
			f.field(Field{Name: "last", ID: "baseline-last", Label: names.last, Mono: true, Width: "w4"}),
			f.field(Field{Name: "note", Label: "What began with it", Width: "w4", Optional: true}),
			f.field(Field{Name: "excluded", Label: names.excluded, Kind: "text area", Optional: true,
				Hint: "Only what has a known cause. It stays on the chart."})}
		chosen.Problems, chosen.About = f.summary(), names.about
		page.Baseline = &chosen
	}
}

// pointsNamed says how a form names the points of a chart: of items, of weeks, of lots.
var pointsNamed = map[string]struct{ first, last, excluded, about string }{
	"": {"First point, by its serial", "Last point, by its serial", "Points without a part in it: one a line, serial and then the reason",
		"Draw the mouse across the stretch in the picture, or go along it with the arrow keys and press B at its begin and E at its end, or type the serials. At least 20 points from a time when nothing was wrong."},
	monitor.ByWeek: {"First week, by its Monday", "Last week, by its Monday", "Weeks without a part in it: one a line, the Monday and then the reason",
		"Draw the mouse across the stretch in the picture, or go along it with the arrow keys and press B at its begin and E at its end, or type Mondays as 2027-05-03. At least 20 weeks in which nothing was wrong, and a “no” in one of them: where there is none, nothing tells how many to expect."},
	monitor.ByLot: {"First lot, by its code", "Last lot, by its code", "Lots without a part in it: one a line, the code and then the reason",
		"Draw the mouse across the stretch in the picture, or go along it with the arrow keys and press B at its begin and E at its end, or type the codes. At least 20 lots in which nothing was wrong, each of two blocks or more."},
}

// eventScopes are where an event may count.
func eventScopes(v monitor.ChartView) []Choice {
	var list []Choice
	if v.Query.Place != "" {
		list = append(list, Choice{"here", fmt.Sprintf("%s, every family", v.Query.Place)}, Choice{"both", fmt.Sprintf("%s, %s alone", v.Query.Place, v.Family.Name)})
	}
	return append(list, Choice{"family", v.Family.Name + ", everywhere"}, Choice{"all", "everywhere"})
}

// causeForm asks for the cause of the signal that was asked for, of the one the
// title speaks of, or of the newest one without.
func (s *site) causeForm(page *ChartPage, v monitor.ChartView, hidden [][2]string, f *form, c *gin.Context, came string) {
	asked := firstOf(c.Query("signal"), c.PostForm("signal"))
	at := signalNamed(v, asked)
	if asked == "" {
		for i, g := range v.Signals {
			if g.Phase == len(v.Phases)-1 && !g.Covered && !g.Settled() {
				at = i
			}
		}
	}
	if asked == "" && v.Finding.Signal >= 0 && !v.Signals[v.Finding.Signal].Settled() {
		at = v.Finding.Signal
	}
	if at < 0 {
		return
	}
	g := v.Signals[at]
	p := g.Raised
	ask := &CauseForm{ChartForm: ChartForm{Path: "/charts/causes", Open: came == formCause,
		Hidden: append(hidden[:len(hidden):len(hidden)], [2]string{"signal", signalName(g)}, [2]string{"rule", g.Reason.Code}, [2]string{"side", string(g.Side)}, [2]string{"inspection", p.InspectionID})}}
	days := int(s.services.Now().Sub(p.MeasuredAt).Hours() / 24)
	switch {
	case g.Settled():
		ask.Title = "Another cause than the one given"
	case days < 1:
		ask.Title = "Why? No cause given yet"
	default:
		ask.Title = "Why? No cause given for " + plural(days, "day", "days")
	}
	ask.Note = fmt.Sprintf("%s, %s: %s", chartWords{v: v}.pointName(p), s.day(p.MeasuredAt), english.Remark(v.Said(g)))
	list := []Choice{{"", "Choose what was behind it"}}
	for _, code := range models.SignalCauseCodes {
		list = append(list, Choice{code, words.Sentence(english.Cause(code))})
	}
	ask.Fields = []Field{
		f.field(Field{Name: "code", Label: "Cause", Kind: "select", Choices: list}),
		f.field(Field{Name: "note", ID: "cause-note", Label: "In words", Optional: true}),
		f.field(Field{Name: "action", Label: "What was done", Optional: true})}
	ask.Problems = f.summary()
	page.Cause = ask
}

// signalName tells the signals of a chart apart.
func signalName(g monitor.Signal) string {
	return models.SignalName(g.Reason.Code, string(g.Side), g.Raised.InspectionID)
}

// signalNamed is the index of a signal of the present phase, -1 where there is none of
// that name. A drift is also found by another of its points.
func signalNamed(v monitor.ChartView, name string) int {
	parts := strings.SplitN(name, ".", 3)
	if len(parts) < 3 {
		return -1
	}
	return slices.IndexFunc(v.Signals, func(g monitor.Signal) bool {
		return g.Phase == len(v.Phases)-1 && !g.Covered && v.IsOf(models.SignalCause{Rule: parts[0], Side: parts[1], InspectionID: parts[2]}, g)
	})
}

// signalPath is where the cause of a signal is asked for: the address leads to the field
// itself, which takes the focus.
func signalPath(key models.ChartKey, signal string, kept ...string) string {
	return chartPath(key, append(slices.Clone(kept), "signal", signal)...) + "#code"
}

func chartKeyOf(c *gin.Context) models.ChartKey {
	return models.ChartKey{FamilyID: c.PostForm("family"), ProductID: c.PostForm("product"), Place: c.PostForm("place"), Result: c.PostForm("result")}
}

// backToChart leads to the chart that a form stood on.
func backToChart(c *gin.Context, done string) error {
	c.Redirect(http.StatusSeeOther, chartPath(chartKeyOf(c), "period", c.PostForm("period"), "from", c.PostForm("from"), "to", c.PostForm("to"), "rules", c.PostForm("rules"), "done", done))
	return nil
}

// answered leads back, or shows the form with what is wrong.
func (s *site) answered(c *gin.Context, err error, form, done string) error {
	if answerable(err) {
		return s.showChart(c, http.StatusUnprocessableEntity, c.PostForm, err, form)
	}
	if err != nil {
		return err
	}
	return backToChart(c, done)
}

func (s *site) explainSignal(c *gin.Context) error {
	_, err := s.services.Monitor.AddCause(c.Request.Context(), httpx.Actor(c), monitor.NewCause{ChartKey: chartKeyOf(c), Rule: c.PostForm("rule"), Side: c.PostForm("side"), InspectionID: c.PostForm("inspection"),
		Code: c.PostForm("code"), Note: c.PostForm("note"), Action: c.PostForm("action")})
	return s.answered(c, err, formCause, "cause")
}

func (s *site) addHappening(c *gin.Context) error {
	in := monitor.NewEvent{Words: c.PostForm("words")}
	switch c.PostForm("where") {
	case "here":
		in.Place = c.PostForm("place")
	case "both":
		in.Place, in.FamilyID = c.PostForm("place"), c.PostForm("family")
	case "family":
		in.FamilyID = c.PostForm("family")
	}
	at, err := time.ParseInLocation("2006-01-02 15:04", c.PostForm("day")+" "+firstOf(c.PostForm("at"), "12:00"), s.zone())
	if err != nil {
		return s.answered(c, models.Invalid("day", "bad_date", "typed", models.Shortened(c.PostForm("day")+" "+c.PostForm("at"))), formHappened, "")
	}
	in.At = at
	_, err = s.services.Monitor.AddEvent(c.Request.Context(), httpx.Actor(c), in)
	return s.answered(c, err, formHappened, "happening")
}

// chooseBaseline takes points by their serials, as the form and the chart name
// them.
func (s *site) chooseBaseline(c *gin.Context) error {
	look, err := s.charting(c, c.PostForm)
	if err != nil {
		return err
	}
	look.query.Points = 2000
	view, err := s.services.Monitor.Chart(c.Request.Context(), look.query)
	if err != nil {
		return s.answered(c, err, formBaseline, "")
	}
	ids := map[string]string{}
	for _, p := range view.Points {
		ids[plainSerial(firstOf(p.Group, p.Serial))] = p.InspectionID
	}
	point := func(serial string) string {
		if strings.TrimSpace(serial) == "" {
			return ""
		}
		return firstOf(ids[plainSerial(serial)], "unknown")
	}
	in := monitor.NewBaseline{ChartKey: chartKeyOf(c), First: point(c.PostForm("first")), Last: point(c.PostForm("last")), Note: c.PostForm("note")}
	for line := range strings.Lines(c.PostForm("excluded")) {
		if line = strings.TrimSpace(line); line != "" {
			name, reason := namedFirst(line, ids)
			in.Excluded = append(in.Excluded, models.ChartExclusion{InspectionID: point(name), Reason: reason})
		}
	}
	_, err = s.services.Monitor.AddBaseline(c.Request.Context(), httpx.Actor(c), in)
	return s.answered(c, err, formBaseline, "baseline")
}

// namedFirst parts a line into the point that it begins with and what is said of it. The
// code of a lot may have spaces in it: the longest name that is known counts.
func namedFirst(line string, ids map[string]string) (name, rest string) {
	fields := strings.Fields(line)
	for n := len(fields); n > 1; n-- {
		if name := strings.Join(fields[:n], " "); ids[plainSerial(name)] != "" {
			return name, strings.Join(fields[n:], " ")
		}
	}
	return fields[0], strings.Join(fields[1:], " ")
}

// plainSerial is a serial without the hyphens that people read.
func plainSerial(text string) string {
	return strings.ToUpper(strings.NewReplacer("-", "", " ", "").Replace(strings.TrimSpace(text)))
}
