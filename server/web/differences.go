package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/finder"
	"tracewright/server/httpx"
)

// differenceRoutes are the pages of what differs and of what a change did.
func (s *site) differenceRoutes() []httpx.Route {
	return []httpx.Route{
		{Method: http.MethodGet, Path: "/differences", Act: models.ActLook, Handler: s.differences},
		{Method: http.MethodGet, Path: "/effect", Act: models.ActLook, Handler: s.effectPage},
	}
}

// DifferencesPage lists what differs by more than chance, or shows one of it.
type DifferencesPage struct {
	Frame
	About     string
	Answer    string
	Sub       string
	Searching bool
	First     bool // and nothing was found before
	Gone      bool // the one asked for is found no longer
	Matters   []MatterRow
	Facts     []ChartFact
	Plot      *LevelPlot
	Same      []string
	Acts      []Act
	Back      string
	Table     string // address of the list for spreadsheets
}

// MatterRow is one part of the work with what it does.
type MatterRow struct {
	Says, Path string
	Evidence   string
	Also       []Span
	Same       string
	More       []string // further ones it may be the same thing as
	Acts       []Act
}

// sameShown is how many names a finding is said to go by at once.
const sameShown = 3

func differencePath(id string) string { return "/differences?finding=" + url.QueryEscape(id) }

func (s *site) differences(c *gin.Context) error {
	answer, searching, err := s.services.Finder.Look(c.Request.Context())
	if err == nil && answer == nil && httpx.AsTable(c) { // A file cannot say that it is too early.
		answer, err = s.services.Finder.Find(c.Request.Context())
	}
	if err != nil {
		return err
	}
	page := s.differencesPage(s.frame(c, "What differs?", "/differences"), answer.For(httpx.Actor(c)), searching, c.Query("finding"))
	if httpx.AsTable(c) {
		if page.Plot != nil {
			return httpx.SendTable(c, page.Plot.table("difference"))
		}
		return httpx.SendTable(c, s.differencesTable(answer.For(httpx.Actor(c))))
	}
	if page.Plot != nil {
		page.Plot.Table = "/differences" + httpx.TableQuery(c)
	} else if len(page.Matters) > 0 {
		page.Table = "/differences?as=csv"
	}
	return show(c, "differences", page)
}

func (s *site) differencesPage(frame Frame, a *finder.Answer, searching bool, chosen string) DifferencesPage {
	page := DifferencesPage{Frame: frame, About: "Who, what and when differs, and is that real?", Searching: searching}
	if a == nil {
		page.Answer, page.Sub = "Nothing was searched yet", "Whoever opens this page has it searched."
		if searching {
			page.Answer, page.Sub = "Being searched now", "All of the last year is gone through."
			page.First = true
		}
		return page
	}
	if chosen != "" {
		if f, ok := a.Named(chosen); ok {
			s.fillDifference(&page, f)
			return page
		}
		page.Gone = true
	}
	matters := a.Matters()
	switch len(matters) {
	case 0:
		page.Answer = "Nothing differs by more than chance"
	case 1:
		page.Answer = "One part of the work differs by more than chance"
	default:
		page.Answer = words.Sentence(spelled(len(matters))) + " parts of the work differ by more than chance"
	}
	page.Sub = fmt.Sprintf("%s cuts were compared in %s questions, all of them counted; of what is listed 1 in 20 may be false. Measured since %s, searched on %s.",
		words.Thousands(a.Cuts), words.Thousands(a.Questions), s.day(a.From), s.minute(a.At))
	if a.Questions == 0 {
		page.Answer, page.Sub = "Too little is measured yet to compare", fmt.Sprintf("A part of the work needs 20 values on 5 days, and so do all others. Searched on %s.", s.minute(a.At))
	}
	for _, m := range matters {
		row := MatterRow{Says: say(m.Sentence().Remark), Path: differencePath(m.ID), Evidence: s.evidence(m.Finding), Acts: s.differenceActs(m.Finding)}
		for _, f := range m.Also {
			row.Also = append(row.Also, Span{Text: say(f.Sentence().Remark), Path: differencePath(f.ID)})
		}
		same := sameOf(m.Same)
		row.Same = english.Join(same[:min(sameShown, len(same))])
		row.More = same[min(sameShown, len(same)):]
		page.Matters = append(page.Matters, row)
	}
	if a.Hidden > 0 {
		page.Facts = append(page.Facts, ChartFact{"Not shown", plural(a.Hidden, "difference", "differences") + " of other builders", "They are shown to who decides about the work."})
	}
	if a.Small > 0 {
		page.Facts = append(page.Facts, ChartFact{"Not compared", words.Thousands(a.Small) + " cuts", "Fewer than 20 values, or 8 of what is lost later, or on fewer than 5 days: too few to tell."})
	}
	page.Facts = append(page.Facts, ChartFact{"How", "whole days shuffled", "The wheels of a day resemble each other and count as one witness. Products are taken from their own mean; stands, builders, gauges and weekdays are compared within months."},
		ChartFact{"What it is not", "a ranking", "It says what differs, not why, and of a person only what the work shows. An effect that was picked because it is large is likely a little smaller in truth."})
	return page
}

// sameOf names what may be the same thing.
func sameOf(list []finder.Said) []string {
	var out []string
	for _, x := range list {
		text := lowered(say(x.Remark()))
		if x.Factor == finder.ByBuilder || x.Factor == finder.ByProduct || x.Factor == finder.ByMonth || x.Factor == finder.ByWeekday {
			text = say(x.Remark()) // Names keep their capital.
		}
		if !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	return out
}

// evidence is on what a finding rests.
func (s *site) evidence(f finder.Finding) string {
	text := fmt.Sprintf("%s on %s", plural(f.N, "value", "values"), plural(f.Days, "day", "days"))
	if f.Measure == finder.Returns {
		text = fmt.Sprintf("%s shipped on %s", plural(f.N, "item", "items"), plural(f.Days, "day", "days"))
	}
	if f.Shape != finder.Drift {
		text += fmt.Sprintf(" against %s", words.Thousands(f.Others))
		switch f.Shape {
		case finder.Since, finder.Stretch:
			text += " of other days"
		default:
			text += " others"
		}
	}
	return text + "."
}

// differenceActs are where a finding can be looked into further.
func (s *site) differenceActs(f finder.Finding) []Act {
	var acts []Act
	reading := f.Measure != finder.TensionLoss && f.Measure != finder.VoltageFall && f.Measure != finder.Returns
	switch f.Factor {
	case finder.ByLot:
		acts = append(acts, Act{Text: "Open the lot", Path: "/lots/" + url.PathEscape(f.Key)})
	case finder.ByGauge:
		acts = append(acts, Act{Text: "Open the gauge", Path: instrumentPath(f.Key)})
	}
	if !reading {
		return acts
	}
	if len(f.Families) > 0 { // Each family has a chart of its own, and none tells the difference by itself.
		for _, of := range f.Families {
			key := models.ChartKey{FamilyID: of.ID, Result: f.Measure}
			if f.Factor == finder.ByStand {
				key.Place = f.Key
			}
			acts = append(acts, Act{Text: "Control chart of " + of.Name, Path: chartPath(key)})
		}
		return acts
	}
	values := url.Values{"family": {f.Family.ID}, "result": {f.Measure}}
	switch f.Factor {
	case finder.ByStand:
		values.Set("place", f.Key)
	case finder.ByProduct:
		values.Set("product", f.Key)
	}
	acts = append(acts, Act{Text: "Control chart", Path: "/charts?" + values.Encode()})
	if f.Shape == finder.Since || f.Shape == finder.Stretch {
		if f.Factor == finder.ByBuilder {
			values.Set("person", f.Key)
		}
		values.Set("at", f.From.Format(time.DateOnly))
		acts = append(acts, Act{Text: "Before and after", Path: "/effect?" + values.Encode()})
	}
	return acts
}

// fillDifference shows one finding with every value behind it.
func (s *site) fillDifference(page *DifferencesPage, f finder.Finding) {
	part := words.Sentence(say(f.Said.Remark()))
	page.About, page.Answer, page.Back = "What differs", say(f.Sentence().Remark), "/differences"
	page.Sub = s.evidence(f)
	page.Acts = s.differenceActs(f)
	page.Same = sameOf(f.Same)
	rest := "all others"
	if f.Shape == finder.Since || f.Shape == finder.Stretch {
		rest = "other days"
	}
	page.Facts = append(page.Facts, ChartFact{"Chance", words.Thousands(f.Larger) + " of " + words.Thousands(f.Drawn), "Arrangements of the days with a difference as large as this anywhere in this question."})
	if f.Log {
		page.Facts = append(page.Facts, ChartFact{"Scale", "logarithm", "The value cannot go below zero and has a long upper tail; the effect is said in its own unit."})
	}
	if len(f.Families) > 0 {
		page.Facts = append(page.Facts, ChartFact{"Families together", english.Join(familyNames(f.Families)), "Each value is taken from the mean of its product and divided by the spread of its family; what a family was found to do by itself is taken out before. No family alone has enough to tell."})
	}
	title := english.Result(f.Measure)
	if f.Measure == finder.Returns {
		// One that came back is 1, others are 0: there is no picture in that.
		page.Facts = append(page.Facts, ChartFact{"Came back", fmt.Sprintf("%s, %s %% (%s to %s)", english.Of(f.Back, f.N), fixed(f.Share, 1), fixed(f.ShareLow, 1), fixed(f.ShareHigh, 1)), fmt.Sprintf("To be expected at their ages: %s.", fixed(f.Expected, 1))})
		page.Plot = s.returnsTable(f)
		return
	}
	where := "Of " + rest
	if f.Shape == finder.Drift {
		where = "At the beginning"
	}
	page.Facts = append(page.Facts, ChartFact{"Level", words.Quantity(fixed(f.Level1, f.Decimals), f.Unit), where + ": " + words.Quantity(fixed(f.Level0, f.Decimals), f.Unit) + "."})
	points := make([]levelPoint, len(f.Points))
	var first, last, inFirst, inLast time.Time
	for i, p := range f.Points {
		points[i] = levelPoint{p.At, p.Serial, p.ItemID, p.Value, p.In}
		if first.IsZero() || p.At.Before(first) {
			first = p.At
		}
		if p.At.After(last) {
			last = p.At
		}
		if p.In && (inFirst.IsZero() || p.At.Before(inFirst)) {
			inFirst = p.At
		}
		if p.In && p.At.After(inLast) {
			inLast = p.At
		}
	}
	lines := []levelLine{{first, last, f.Level0, f.Level0, false}, {inFirst, inLast, f.Level1, f.Level1, true}}
	bands := []levelBand{{inFirst, inLast, f.Level0 + f.Low, f.Level0 + f.High}}
	if f.Shape == finder.Drift {
		lines, bands = []levelLine{{first, last, f.Level0, f.Level1, true}}, nil
	}
	page.Plot = s.levelPlot(title, f.Unit, f.Decimals, [2]string{part, rest}, points, lines, bands, time.Time{})
}

func familyNames(families []models.Family) []string {
	names := make([]string, len(families))
	for i, f := range families {
		names[i] = f.Name
	}
	return names
}

// returnsTable lists what came back of a part.
func (s *site) returnsTable(f finder.Finding) *LevelPlot {
	p := &LevelPlot{Value: "Came back", Title: "Came back"}
	for _, x := range slices.Backward(f.Points) {
		if x.In && x.Value > 0 {
			p.Rows = append(p.Rows, LevelRow{When: s.day(x.At), At: x.At.In(s.zone()).Format(time.DateOnly), Serial: words.Serial(firstOf(x.Serial, x.ItemID)), Path: itemPath(x.Serial, x.ItemID), Part: say(f.Said.Remark()), Value: "yes"})
		}
	}
	return p
}

// differencesTable is all that was found as a spreadsheet opens it. Units differ by
// row, and so have a column of their own.
func (s *site) differencesTable(a *finder.Answer) httpx.Table {
	number := func(name string) httpx.TableColumn { return httpx.TableColumn{Name: name, Number: true} }
	t := httpx.Table{Name: "what differs", Columns: []httpx.TableColumn{{Name: "family"}, {Name: "result"}, {Name: "part"}, {Name: "unit of the difference"}, number("difference"), number("95 % from"), number("95 % to"), number("values"), number("days"), number("others"), number("arrangements as large"), number("arrangements drawn"), {Name: "what differs"}}}
	if a == nil {
		return t
	}
	for _, f := range a.Findings {
		figure := func(x float64) string { return fixed(x, f.Decimals) }
		t.Rows = append(t.Rows, []string{firstOf(f.Family.Name, english.Join(familyNames(f.Families))), english.Result(f.Measure), say(f.Said.Remark()), words.Unit(f.Unit), figure(f.Effect), figure(f.Low), figure(f.High), strconv.Itoa(f.N), strconv.Itoa(f.Days), strconv.Itoa(f.Others), strconv.Itoa(f.Larger), strconv.Itoa(f.Drawn), say(f.Sentence().Remark)})
	}
	return t
}

// fixed is a figure with so many decimals.
func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }
