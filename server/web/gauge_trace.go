package web

import (
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/gauges"
	"tracewright/server/httpx"
)

// GaugeTracePage is what a gauge that was found out of tolerance had measured,
// and what follows for each item.
type GaugeTracePage struct {
	Frame
	Code, Back, Path, Answer string
	Made                     string
	Newer                    string // page of a newer answer
	Windows                  []string
	Errors                   []LotFact
	Assumed                  string
	Shares                   []TraceShare
	Rows                     []TraceRow
	Rest                     string
	Hold                     string // page that puts what is here on hold, for who may
	ToHold, ToRecall         int
	Recall                   string // page that calls back what is shipped
	Recalled                 []Span
	Unjudged                 *UnjudgedOut
	Cause, CauseID           string
	Again                    bool
}

// TraceShare is how many items came to the same: a link to them alone.
type TraceShare struct {
	Label, Path string
	N           int
	Here        bool // it is what is shown
	Mark        Mark
}

// TraceRow is one item of the trace.
type TraceRow struct {
	Serial, Path string
	Effect       Mark
	Says         []string
	Where        Mark
	Went         []Span
	Held         string
	Recall       string // page that calls back this one alone: it is shipped, and nobody can judge it
}

// UnjudgedOut is what went out and nobody can judge: whether it is called back is for
// a person to decide.
type UnjudgedOut struct {
	N       int
	Path    string // of their list
	Recalls []Act  // pages that call back all that was measured in a window
}

// traceSum counts items by what the failure means for them.
type traceSum struct{ lost, lostShipped, unknown, unknownShipped, toHold int }

func sumOf(v gauges.TraceView) traceSum {
	var n traceSum
	for _, i := range v.Items {
		switch i.Effect {
		case models.SetNoLonger:
			n.lost++
			if i.Where == models.RecallShipped {
				n.lostShipped++
			}
		case models.SetNotKnown:
			n.unknown++
			if i.Where == models.RecallShipped {
				n.unknownShipped++
			}
		}
		if i.ToHold() && !i.Held {
			n.toHold++
		}
	}
	return n
}

// words says it in half a sentence.
func (n traceSum) words() string {
	var parts []string
	if n.lost > 0 {
		parts = append(parts, plural(n.lost, "item no longer passes", "items no longer pass")+ofThemShipped(n.lostShipped, n.lost))
	}
	if n.unknown > 0 {
		parts = append(parts, plural(n.unknown, "item", "items")+" nobody can tell of"+ofThemShipped(n.unknownShipped, n.unknown))
	}
	if len(parts) == 0 {
		return "everything still passes"
	}
	return strings.Join(parts, "; ")
}

func ofThemShipped(shipped, all int) string {
	switch {
	case shipped == 0:
		return ""
	case shipped == all && all > 1:
		return ", all of them shipped"
	}
	return ", " + english.Of(shipped, all) + " shipped"
}

// traceViews are what the page may show: the word of its address, and the items
// that belong to it.
var traceViews = []struct {
	word, label string
	mark        Mark
	holds       func(gauges.TracedItem) bool
}{
	{"shipped", "No longer pass, shipped", Mark{"triangle", "Shipped", "care"}, func(i gauges.TracedItem) bool {
		return i.Effect == models.SetNoLonger && i.Where == models.RecallShipped
	}},
	{"here", "No longer pass, here", Mark{"bars", "Here", "hold"}, func(i gauges.TracedItem) bool {
		return i.Effect == models.SetNoLonger && i.Where == models.RecallHere
	}},
	{"scrapped", "No longer pass, scrapped", Mark{"ring", "Scrapped", "none"}, func(i gauges.TracedItem) bool {
		return i.Effect == models.SetNoLonger && i.Where == models.RecallScrapped
	}},
	{unjudgedView, "Cannot be judged, shipped", Mark{"triangle", "Not known", "care"}, unjudgedOut},
	{"not-known", "Cannot be judged, not shipped", Mark{"triangle", "Not known", "care"}, func(i gauges.TracedItem) bool {
		return i.Effect == models.SetNotKnown && i.Where != models.RecallShipped
	}},
	{"good", "Still pass", Mark{"tick", "Pass", "pass"}, func(i gauges.TracedItem) bool { return i.Effect == models.SetStaysGood }},
	{"rest", "Decided elsewhere", Mark{"ring", "Elsewhere", "none"}, func(i gauges.TracedItem) bool {
		return i.Effect != models.SetNoLonger && i.Effect != models.SetNotKnown && i.Effect != models.SetStaysGood
	}},
}

// unjudgedView is the word of the view of what went out and cannot be judged.
const unjudgedView = "not-known-shipped"

func unjudgedOut(i gauges.TracedItem) bool {
	return i.Effect == models.SetNotKnown && i.Where == models.RecallShipped
}

func (s *site) gaugeTrace(c *gin.Context) error {
	v, err := s.services.Gauges.Traced(c.Request.Context(), c.Param("code"), c.Param("id"))
	if err != nil {
		return err
	}
	page := s.gaugeTracePage(s.frame(c, "What "+v.Content.Instrument+" had measured", "/instruments"), v, c.Query("show"))
	people, err := s.people(c.Request.Context())
	if err != nil {
		return err
	}
	page.Made = "Judged again " + s.minute(v.Trace.MadeAt) + " by " + name(people, v.Trace.MadeBy) + ", by the rule, limits and uncertainty of the time."
	recalls, err := s.services.Recall.Recalls(c.Request.Context())
	if err != nil {
		return err
	}
	for _, r := range recalls {
		if r.Scope.Trace == v.Trace.ID {
			page.Recalled = append(page.Recalled, Span{Text: r.Number, Mono: true, Path: recallPath(r.Number)})
			page.ToRecall = 0
		}
	}
	return show(c, "gauge_trace", page)
}

func (s *site) gaugeTracePage(frame Frame, v gauges.TraceView, view string) GaugeTracePage {
	code := v.Content.Instrument
	sum := sumOf(v)
	page := GaugeTracePage{Frame: frame, Code: code, Back: instrumentPath(code), Path: instrumentPath(code) + "/traces/" + v.Trace.ID, Answer: words.Sentence(sum.words()), Cause: v.Trace.Cause, CauseID: v.Trace.CauseID, Again: frame.Actor.May(models.ActCalibrate)}
	if len(v.Items) == 0 {
		page.Answer = "It had measured nothing in the window"
	}
	if v.Newest != v.Trace.ID {
		page.Newer = instrumentPath(code) + "/traces/" + v.Newest
	}
	for _, w := range v.Content.Windows {
		page.Windows = append(page.Windows, s.windowWords(w))
	}
	unit := v.Content.Unit
	for _, e := range v.Content.Errors {
		page.Errors = append(page.Errors, LotFact{Label: "At " + words.Quantity(e.Reading, unit), Value: strings.Replace(words.Quantity(e.Error, unit), words.Number(e.Error), withSign(e.Error), 1)})
	}
	page.Assumed = "Between these points the error is taken in a straight line, beyond them it is not known."
	if len(page.Errors) == 1 {
		page.Assumed = "One point is known: the error is taken to be the same at every value."
	}
	if frame.Actor.May(models.ActRaiseHold) && sum.toHold > 0 {
		page.Hold, page.ToHold = page.Path+"/hold", sum.toHold
	}
	if frame.Actor.May(models.ActRecall) && sum.lostShipped > 0 {
		page.Recall, page.ToRecall = "/recalls/new?trace="+url.QueryEscape(v.Trace.ID), sum.lostShipped
	}
	if sum.unknownShipped > 0 {
		page.Unjudged = &UnjudgedOut{N: sum.unknownShipped, Path: page.Path + "?show=" + unjudgedView}
		if frame.Actor.May(models.ActRecall) {
			page.Unjudged.Recalls = s.windowRecalls(v.Content)
		}
	}
	s.traceRows(&page, v, view)
	return page
}

// windowRecalls are the pages that show, before anything is called back, all that
// each gauge whose readings cannot be judged measured on the days of its window.
func (s *site) windowRecalls(content models.TraceContent) []Act {
	unjudged := map[string]bool{}
	for _, set := range content.Sets {
		unjudged[set.Instrument] = unjudged[set.Instrument] || set.Effect == models.SetNotKnown
	}
	var acts []Act
	for _, w := range content.Windows {
		if !unjudged[w.Instrument] {
			continue
		}
		days := url.Values{"instrument": {w.Instrument}, "to": {s.now().Format(time.DateOnly)}}
		if w.From != nil {
			days.Set("from", w.From.In(s.zone()).Format(time.DateOnly))
		}
		if w.Until != nil {
			days.Set("to", w.Until.In(s.zone()).Format(time.DateOnly))
		}
		acts = append(acts, Act{Text: "See all that " + w.Instrument + " measured, to call it back", Path: "/recalls/new?" + days.Encode()})
	}
	return acts
}

// windowWords says a window in a sentence.
func (s *site) windowWords(w models.TraceWindow) string {
	text := w.Instrument + ": "
	switch {
	case w.From == nil:
		text += "from the beginning, since no good calibration before is known"
	case w.PassedOn:
		text += "after " + s.minute(*w.From) + ", when it was held against what failed"
	default:
		text += "after " + s.minute(*w.From) + ", when it was last good"
	}
	if w.Until == nil {
		return text + ", until it is held against something sound."
	}
	return text + ", up to " + s.minute(*w.Until) + "."
}

// traceRows lists the items of one view: of the first that has any, where the
// address names none.
func (s *site) traceRows(page *GaugeTracePage, v gauges.TraceView, view string) {
	for _, x := range traceViews {
		n := 0
		for _, i := range v.Items {
			if x.holds(i) {
				n++
			}
		}
		if n > 0 {
			page.Shares = append(page.Shares, TraceShare{Label: x.label, Path: page.Path + "?show=" + x.word, N: n, Mark: x.mark, Here: view == x.word})
		}
	}
	total := 0
	for _, i := range v.Items {
		if !shownBy(view, i) {
			continue
		}
		if total++; total <= mostRecallRows {
			page.Rows = append(page.Rows, s.traceRow(page.Frame, i))
		}
	}
	page.Rest = restOf(total)
}

// shownBy says whether an item belongs to the view that an address names; with
// none, what needs somebody.
func shownBy(view string, i gauges.TracedItem) bool {
	for _, x := range traceViews {
		if x.word == view {
			return x.holds(i)
		}
	}
	return i.Effect == models.SetNoLonger || i.Effect == models.SetNotKnown
}

func (s *site) traceRow(frame Frame, i gauges.TracedItem) TraceRow {
	row := TraceRow{Serial: words.Serial(i.Item.Name()), Path: itemPath(pointed(i.Item.Serial), i.Item.ID), Where: whereMark(i.Where), Effect: effectMark(i.Effect)}
	if i.Held {
		row.Held = "put on hold for it"
	}
	if unjudgedOut(i) && i.Item.Serial != nil && frame.Actor.May(models.ActRecall) {
		row.Recall = "/recalls/new?part=" + url.QueryEscape(*i.Item.Serial)
	}
	if i.Shipment != nil {
		row.Went = []Span{{Text: s.day(i.Shipment.ShippedAt) + " "}, {Text: i.Shipment.Number, Mono: true, Path: "/shipments/" + i.Shipment.Number}}
	}
	for _, set := range i.Sets {
		if set.Effect != i.Effect {
			continue
		}
		said := s.day(set.MeasuredAt) + ", "
		if set.Reason != "" {
			row.Says = append(row.Says, said+english.Characteristic(set.Code)+": "+english.TraceReason(set.Reason))
			continue
		}
		told := false
		for _, r := range set.Results {
			if r.Verdict == r.Then && set.Effect != models.SetStaysGood {
				continue
			}
			told = true
			row.Says = append(row.Says, said+english.Result(r.Code)+": "+words.Quantity(r.Value, r.Unit)+" read, "+orNothing(r)+limitWords(r))
		}
		if !told {
			row.Says = append(row.Says, said+english.Characteristic(set.Code)+": "+english.TraceEffect(set.Effect))
		}
	}
	return row
}

func orNothing(r models.TraceResult) string {
	if r.Now == "" {
		return "nothing without the error"
	}
	return words.Quantity(r.Now, r.Unit) + " without the error"
}

func limitWords(r models.TraceResult) string {
	if limit := between(r.Low, r.High, r.Unit); limit != "" {
		return " (" + limit + ")"
	}
	return ""
}

func effectMark(effect string) Mark {
	word := words.Sentence(english.TraceEffect(effect))
	switch effect {
	case models.SetNoLonger:
		return Mark{"cross", word, "fail"}
	case models.SetNotKnown:
		return Mark{"triangle", word, "care"}
	case models.SetStaysGood, models.SetPassesNow:
		return Mark{"tick", word, "pass"}
	}
	return Mark{"ring", word, "none"}
}

// traceGauge asks again, or for the first time, what a failed gauge had measured.
func (s *site) traceGauge(c *gin.Context) error {
	t, err := s.services.Gauges.Trace(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.PostForm("cause"), c.PostForm("cause_id"))
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(c.Param("code"))+"/traces/"+t.ID, "traced")
}

func (s *site) holdTracedPage(c *gin.Context) error { return s.showHoldTraced(c, http.StatusOK, nil) }

func (s *site) showHoldTraced(c *gin.Context, status int, problem error) error {
	v, err := s.services.Gauges.Traced(c.Request.Context(), c.Param("code"), c.Param("id"))
	if err != nil {
		return err
	}
	n, path := sumOf(v).toHold, instrumentPath(c.Param("code"))+"/traces/"+c.Param("id")
	f := posted(c, problem)
	page := ConfirmPage{Frame: s.frame(c, "Put on hold", "/instruments"), About: v.Content.Instrument, Mono: true, Title: "Put " + plural(n, "item", "items") + " on hold", Button: "Put on hold", Bars: true, Path: path + "/hold", Back: path,
		Says: []string{"Everything that is here and no longer passes, or of which it cannot be told. Each hold is lifted by itself, when somebody has decided about its item."}}
	if n == 0 {
		page.Title, page.Refused = "Nothing to put on hold", []string{english.Say("nothing_to_hold", map[string]string{"instrument": v.Content.Instrument})}
	}
	page.Problems = f.summary()
	return send(c, status, "confirm", page)
}

func (s *site) holdTraced(c *gin.Context) error {
	_, err := s.services.Gauges.HoldTraced(c.Request.Context(), httpx.Actor(c), c.Param("code"), c.Param("id"))
	if answerable(err) {
		return s.showHoldTraced(c, http.StatusUnprocessableEntity, err)
	}
	if err != nil {
		return err
	}
	return redirect(c, instrumentPath(c.Param("code"))+"/traces/"+c.Param("id"), "held_traced")
}
