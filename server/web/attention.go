package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/attention"
	"tracewright/server/httpx"
)

// attentionRoutes is the page of what needs somebody.
func (s *site) attentionRoutes() []httpx.Route {
	return []httpx.Route{{Method: http.MethodGet, Path: "/attention", Act: models.ActLook, Handler: s.attention}}
}

// AttentionPage is one list of what needs this person, the worst first.
type AttentionPage struct {
	Frame
	Moment string
	Answer string
	Rows   []TodayRow
	Calm   string
	Others string // what waits for those who may do more
	Notes  []string
	Table  string // query of the table for spreadsheets; empty where there is none
}

func (s *site) attention(c *gin.Context) error {
	list, err := s.services.Attention.List(c.Request.Context(), httpx.Actor(c))
	if err != nil {
		return err
	}
	if httpx.AsTable(c) {
		return httpx.SendTable(c, s.attentionTable(list))
	}
	page := s.attentionPage(s.frame(c, "Needs attention", "/attention"), list)
	if len(page.Rows) > 0 {
		page.Table = httpx.TableQuery(c)
	}
	return show(c, "attention", page)
}

func (s *site) attentionPage(frame Frame, l attention.List) AttentionPage {
	page := AttentionPage{Frame: frame, Moment: l.At.In(s.zone()).Format("Monday 2 January 2006, 15:04"), Answer: say(l.Title)}
	for i, r := range l.Rows {
		row := s.attentionRow(r)
		row.Larger, row.Act.First = i < 3, i == 0
		page.Rows = append(page.Rows, row)
	}
	var fine []string
	for _, f := range l.Fine {
		fine = append(fine, say(f))
	}
	if len(fine) > 0 {
		page.Calm = words.Sentence(english.Join(fine)) + "."
		if len(l.Rows) > 0 {
			page.Calm = "Nothing else: " + english.Join(fine) + "."
		}
	}
	if l.Others > 0 {
		page.Others = counted(l.Others, "more thing waits for somebody who may do it", "more things wait for somebody who may do them") + "."
	}
	for _, n := range l.Notes {
		page.Notes = append(page.Notes, say(n))
	}
	return page
}

func (s *site) attentionRow(r attention.Row) TodayRow {
	return TodayRow{Mark: attentionMark(r), Title: spansOf(r.Says), Evidence: evidence(r.Lines), Since: s.since(r), Act: Act{Text: english.Deed(r.Do.Code), Path: deedPath(r.Do)}}
}

// since says how long a row has waited, or by when it is due.
func (s *site) since(r attention.Row) string {
	switch {
	case r.By != "":
		return "by " + words.Date(r.By)
	case r.Since.IsZero():
		return ""
	}
	return "since " + s.day(r.Since)
}

// attentionShapes are the shape and tone of each kind of row that is late; what is
// merely due has a clock.
var attentionShapes = map[string][2]string{
	attention.Recall: {"cross", "fail"}, attention.Recheck: {"cross", "fail"}, attention.Held: {"bars", "hold"}, attention.Lot: {"bars", "hold"}, attention.Signal: {"square", "care"},
	attention.Certificate: {"clock", "none"},
}

func attentionMark(r attention.Row) Mark {
	word := english.Attention(r.Kind)
	if r.Level == attention.Due {
		return Mark{"clock", word, "none"}
	}
	if r.Level == attention.Safety {
		return Mark{"cross", word, "fail"}
	}
	if shape, own := attentionShapes[r.Kind]; own && r.Do.At != "lot_inspect" { // Nothing stops such a lot.
		return Mark{shape[0], word, shape[1]}
	}
	return Mark{"triangle", word, "care"}
}

// evidence joins a row's evidence into one line, its serials, lots and numbers set
// apart.
func evidence(lines []models.Remark) []Span {
	var out []Span
	for _, l := range lines {
		text := strings.TrimRight(strings.TrimSpace(say(l)), ".")
		switch {
		case text == "":
			continue
		case len(out) == 0:
			text = words.Sentence(text)
		default:
			out = append(out, Span{Text: " · "})
		}
		out = append(out, spansIn(text, l)...)
	}
	if n := len(out); n > 0 && !strings.ContainsAny(out[n-1].Text[len(out[n-1].Text)-1:], "!?") {
		out = append(out, Span{Text: "."})
	}
	return out
}

// lineOf is that line as text.
func lineOf(lines []models.Remark) string {
	text := ""
	for _, s := range evidence(lines) {
		text += s.Text
	}
	return text
}

// monoValues are the values of a remark that are set in mono: what somebody reads
// off a thing letter by letter.
var monoValues = []string{"serial", "lot", "instrument", "claim", "recall", "nonconformity", "corrective"}

// spansOf is a remark's sentence with its serials, lots and numbers as stretches of
// their own.
func spansOf(r models.Remark) []Span { return spansIn(words.Sentence(say(r)), r) }

// spansIn parts what is said of a remark.
func spansIn(text string, r models.Remark) []Span {
	values := english.Readable(r.Values)
	type place struct{ from, to int }
	var found []place
	for _, name := range monoValues {
		if v := values[name]; v != "" {
			if at := strings.Index(text, v); at >= 0 {
				found = append(found, place{at, at + len(v)})
			}
		}
	}
	slices.SortFunc(found, func(a, b place) int { return a.from - b.from })
	var out []Span
	at := 0
	for _, p := range found {
		if p.from < at { // One value holds the other.
			continue
		}
		if p.from > at {
			out = append(out, Span{Text: text[at:p.from]})
		}
		out = append(out, Span{Text: text[p.from:p.to], Mono: true})
		at = p.to
	}
	if at < len(text) {
		out = append(out, Span{Text: text[at:]})
	}
	return out
}

// deedPath is where a row's act is done.
func deedPath(d attention.Deed) string {
	named := url.PathEscape(d.Named)
	one := func(list, path string) string {
		if d.Named == "" {
			return list
		}
		return path
	}
	switch d.At {
	case "recall":
		return one("/recalls", recallPath(d.Named))
	case "trace":
		return instrumentPath(named) + "/traces/" + d.Under
	case "gauge":
		return one("/instruments", instrumentPath(named))
	case "calibrate":
		return instrumentPath(named) + "/calibrate"
	case "check":
		return instrumentPath(named) + "#checks"
	case "hold":
		return one("/holds", "/holds/"+named+"/lift")
	case "nonconformity":
		return one("/nonconformities", nonconformityPath(d.Named))
	case "corrective_action":
		return one("/corrective-actions", actionPath(d.Named))
	case "claim":
		return one("/claims", claimPath(d.Named))
	case "lot":
		return one("/lots", lotPath(d.Named))
	case "lot_explain":
		return lotPath(d.Named) + "/explain"
	case "lot_inspect":
		return lotPath(d.Named) + "/inspect"
	case "block_lot":
		return "/blocks/lots/" + named
	case "release":
		return "/items/" + named + "/release"
	case "chart":
		if len(d.Query) == 0 {
			return "/charts"
		}
		key := models.ChartKey{FamilyID: d.Query["family"], ProductID: d.Query["product"], Place: d.Query["place"], Result: d.Query["result"]}
		if d.Named == "" {
			return chartPath(key)
		}
		return signalPath(key, d.Named)
	case "shelf", "unplaced":
		return "/" + d.At
	case "in_work":
		return "/in-work"
	case "change":
		return "/changes"
	case "backup":
		return "/backups"
	case "device":
		return "/devices"
	case "retention":
		return retentionPath
	}
	return "/attention"
}

// attentionTable is the list as a spreadsheet opens it.
func (s *site) attentionTable(l attention.List) httpx.Table {
	t := httpx.Table{Name: "needs attention " + l.At.In(s.zone()).Format(time.DateOnly), Columns: []httpx.TableColumn{{Name: "kind"}, {Name: "level"}, {Name: "what"}, {Name: "evidence"}, {Name: "since"}, {Name: "by"}, {Name: "things", Number: true}, {Name: "next"}}}
	for _, r := range l.Rows {
		since := ""
		if !r.Since.IsZero() {
			since = r.Since.In(s.zone()).Format(time.DateOnly)
		}
		t.Rows = append(t.Rows, []string{english.Attention(r.Kind), r.Level.Code(), words.Sentence(say(r.Says)), lineOf(r.Lines), since, r.By, strconv.Itoa(r.Count), english.Deed(r.Do.Code)})
	}
	return t
}
