package web

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/numbers/stats"
	"tracewright/models/words"
	"tracewright/models/work/failures"
)

// weekData is what the chart of weeks draws; its words it reads from the table.
type weekData struct {
	Usual float64     `json:"usual"`
	Weeks []weekPoint `json:"weeks"`
}

type weekPoint struct {
	Day    string   `json:"day"`
	Value  float64  `json:"value"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	Signal bool     `json:"signal,omitempty"`
}

// fillFailures turns the answer into words, bars and tables.
func (s *site) fillFailures(page *FailuresPage, v failures.View, book models.Defects) {
	page.About = fmt.Sprintf("First sets of %s, %s to %s", english.Kinds(v.Kind), english.Date(v.Query.From), english.Date(v.Query.To))
	if v.Kind == "" {
		page.About = ""
		page.Answer = "Nothing has a first set yet"
		return
	}
	if v.Inspected > 0 {
		page.About += fmt.Sprintf(": %s, %d failed at least one check", kindCount(v.Inspected, v.Kind), v.Failed)
	}
	page.Answer = strings.TrimSuffix(say(v.Answer), ".")
	page.Some = v.Inspected > 0
	if !slices.Contains([]string{"cost", "severity"}, page.View) {
		page.View = "count"
	}
	for _, x := range []FailuresView{{Text: "By count", Path: "count"}, {Text: "by cost", Path: "cost"}, {Text: "by severity", Path: "severity"}} {
		page.Views = append(page.Views, FailuresView{x.Text, failuresLink(failuresPath, v, "by", x.Path), x.Path == page.View})
	}
	page.WeeksTable, page.GroupsTable = failuresTableLink(v, tableWeeks), failuresTableLink(v, tableGroups)
	page.MonthsTable, page.LaterTable = failuresTableLink(v, tableMonths), failuresTableLink(v, tableLater)
	page.fillBars(v, book)
	page.fillYield(v)
	page.fillCuts(v)
	for _, l := range v.Later {
		row := LaterRow{Code: l.Code, Name: words.Sentence(faultName(book, l.Code)), Nonconformities: strconv.Itoa(l.Nonconformities), Claims: strconv.Itoa(l.Claims)}
		if l.Severity != "" {
			row.Severity = severityMark(l.Severity)
		}
		page.Later = append(page.Later, row)
	}
	for _, x := range v.Says {
		if slices.Contains([]string{"failures_undecided", "failures_waiting", "failures_of_one_none"}, x.Code) {
			page.Notes = append(page.Notes, say(x.Remark))
		}
	}
}

func kindCount(n int, kind string) string { return plural(n, english.Kind(kind), english.Kinds(kind)) }

// hundredth is a place along a picture, in parts of a hundred.
func hundredth(x, most float64) string {
	if most <= 0 {
		return "0"
	}
	return strconv.FormatFloat(100*x/most, 'f', 2, 64)
}

func (page *FailuresPage) fillBars(v failures.View, book models.Defects) {
	settled := "No two bars overlap in their intervals: the order is settled."
	if page.View == "cost" {
		page.BarsTitle = "What it costs"
		for _, c := range v.Costs {
			page.Bars = append(page.Bars, costBars(v, c, book))
		}
		for _, x := range v.Says {
			if strings.HasPrefix(x.Code, "failures_cost") || x.Code == "failures_no_rate" {
				page.BarsSay = append(page.BarsSay, say(x.Remark))
			}
		}
		if slices.ContainsFunc(v.Costs, func(c failures.Cost) bool { return len(c.Joined) > 0 }) {
			page.BarsSay = append(page.BarsSay, fmt.Sprintf("Causes joined by a line at the right cannot be put in order yet: their intervals overlap, or there are fewer than %d amounts, which have none.", stats.FewestForSum))
		}
		if len(v.Costs) == 0 {
			page.BarsSay = append(page.BarsSay, "No claim of these days has a cost.")
		}
		if v.Rate != nil {
			page.BarsSay = append(page.BarsSay, fmt.Sprintf("Minutes at the stand after the first set are priced at %s %s an hour.", words.Number(v.Rate.Text), v.Rate.Currency))
		}
		return
	}
	page.BarsTitle = "What fails: the order is settled"
	causes, spans := v.Causes, v.Joined
	if page.View == "severity" {
		causes = slices.Clone(causes)
		slices.SortStableFunc(causes, func(a, b failures.Cause) int {
			return cmp.Compare(slices.Index(models.Severities, a.Severity), slices.Index(models.Severities, b.Severity))
		})
		page.BarsTitle, spans = "What fails, the gravest first", nil
	} else if len(causes) == 0 {
		page.BarsTitle = "Nothing fails"
		return
	} else if len(spans) > 0 && spans[0].From == 0 {
		page.BarsTitle = "What fails: which is first is not settled"
	} else if len(spans) > 0 {
		page.BarsTitle = "What fails: " + map[bool]string{true: "one clear first, then a group", false: "the first are clear, then a group"}[spans[0].From == 1]
	}
	if len(spans) > 0 {
		page.BarsSay = append(page.BarsSay, "Causes joined by a line at the right cannot be put in order yet: the intervals of their counts overlap.")
	} else if page.View == "count" && len(causes) > 1 {
		page.BarsSay = append(page.BarsSay, settled)
	}
	total := 0
	widest := 0.
	for _, c := range causes {
		total += c.Share.K
		widest = max(widest, c.Share.High)
	}
	if total > v.Failed {
		page.BarsSay = append(page.BarsSay, fmt.Sprintf("Bar: share of the first sets; line: its 95 %% interval. One may fail several checks: %d defects on %s.", total, kindCount(v.Failed, v.Kind)))
	} else {
		page.BarsSay = append(page.BarsSay, "Bar: share of the first sets; line: its 95 % interval.")
	}
	table := BarTable{Unit: "%", Interval: "95 %", Tracks: len(spans), Table: failuresTableLink(v, tableCauses)}
	for i, c := range causes {
		row := BarRow{Code: c.Code, Path: failuresLink(failuresPath+"/items", v, "code", c.Code), Name: faultName(book, c.Code), First: i == 0, Severity: severityMark(c.Severity),
			Width: hundredth(c.Share.Value, widest), Low: hundredth(c.Share.Low, widest), High: hundredth(c.Share.High, widest), Whisker: true,
			Figure: failures.Percent(c.Share.Value), Interval: failures.Percent(c.Share.Low) + " to " + failures.Percent(c.Share.High), Count: fmt.Sprintf("%d of %d", c.Share.K, c.Share.N)}
		row.join(spans, i)
		if page.View == "severity" && (i == 0 || causes[i-1].Severity != c.Severity) {
			row.Heading = &row.Severity
		}
		if !models.IsDefectCode(row.Code) {
			row.Code = ""
		}
		table.Rows = append(table.Rows, row)
	}
	page.Bars = []BarTable{table}
}

// join draws the lines that a row has a part in.
func (row *BarRow) join(spans []failures.Span, i int) {
	reach := i
	for _, span := range spans {
		part := ""
		switch {
		case i == span.From:
			part = "start"
		case i == span.To:
			part = "end"
		case i > span.From && i < span.To:
			part = "middle"
		}
		if part == "start" || part == "middle" {
			reach = max(reach, span.To)
		}
		row.Tracks = append(row.Tracks, part)
	}
	if reach > i {
		row.Joins = fmt.Sprintf("Not settled against the next %d.", reach-i)
		if reach == i+1 {
			row.Joins = "Not settled against the next."
		}
	}
}

func costBars(v failures.View, c failures.Cost, book models.Defects) BarTable {
	table := BarTable{Unit: c.Currency, Interval: "95 %", Tracks: len(c.Joined), Table: failuresTableLink(v, tableCosts, "currency", c.Currency)}
	widest := 0.
	for _, r := range c.Rows {
		widest = max(widest, r.Total, r.High)
	}
	for i, r := range c.Rows {
		row := BarRow{Code: r.Code, Path: failuresLink(failuresPath+"/items", v, "code", r.Code), Name: faultName(book, r.Code), First: i == 0, Severity: severityMark(r.Severity),
			Width: hundredth(r.Total, widest), Whisker: r.Interval, Low: hundredth(r.Low, widest), High: hundredth(r.High, widest), Figure: failures.Money(r.Total), Interval: "too few"}
		if r.Interval {
			row.Interval = failures.Money(r.Low) + " to " + failures.Money(r.High)
		}
		var parts []string
		if r.Claims > 0 {
			parts = append(parts, plural(r.Claims, "claim", "claims")+" "+words.Number(r.Amount))
		}
		if r.Minutes > 0 {
			parts = append(parts, strconv.FormatFloat(r.Minutes, 'f', 0, 64)+" min")
		}
		row.Count = strings.Join(parts, ", ")
		row.join(c.Joined, i)
		if !models.IsDefectCode(row.Code) {
			row.Code = ""
		}
		table.Rows = append(table.Rows, row)
	}
	return table
}

func (page *FailuresPage) fillYield(v failures.View) {
	if v.Yield.N == 0 {
		return
	}
	page.YieldTitle = fmt.Sprintf("First-pass yield %s %% (%s to %s)", failures.Percent(v.Yield.Value), failures.Percent(v.Yield.Low), failures.Percent(v.Yield.High))
	page.YieldSays = append(page.YieldSays, fmt.Sprintf("%d of %s passed at the first set.", v.Yield.K, kindCount(v.Yield.N, v.Kind)))
	if v.Rolled != nil && len(v.Causes) > 1 {
		page.YieldSays = append(page.YieldSays, fmt.Sprintf("Rolled over the checks it is %s %% (%s to %s): so many would pass every check if failures never came together.", failures.Percent(v.Rolled.Value), failures.Percent(v.Rolled.Low), failures.Percent(v.Rolled.High)))
	}
	data := weekData{Usual: 100 * v.Usual}
	limited := false
	for _, w := range v.Weeks {
		last := sunday(w.Monday, v.Query.To)
		row := WeekRow{Week: english.Date(w.Monday), Share: failures.Percent(w.Share.Value), Interval: failures.Percent(w.Share.Low) + " to " + failures.Percent(w.Share.High), Count: fmt.Sprintf("%d of %d", w.Share.K, w.Share.N),
			Path: failuresLink(failuresPath+"/items", v, "from", max(w.Monday, v.Query.From), "to", last, "failed", "yes", "code", "")}
		point := weekPoint{Day: shortDay(w.Monday), Value: 100 * w.Share.Value, Signal: w.Signal != ""}
		if w.Limited {
			limited = true
			n := float64(w.Share.N)
			low, high := 100*float64(w.Low)/n, 100*float64(w.High)/n
			point.Low, point.High = &low, &high
			row.Limits = fmt.Sprintf("%d to %d", w.Low, w.High)
		}
		switch w.Signal {
		case "low":
			row.Signal = "Below its limits"
		case "high":
			row.Signal = "Above its limits"
		}
		page.Weeks = append(page.Weeks, row)
		data.Weeks = append(data.Weeks, point)
	}
	if limited {
		page.YieldSays = append(page.YieldSays, "If nothing changes, a week lies outside its limits about once in a hundred. They are exact, for the number of its first sets.")
	}
	for _, x := range v.Says {
		if strings.HasPrefix(x.Code, "failures_week_") {
			page.YieldSignals = append(page.YieldSignals, say(x.Remark))
		}
		if x.Code == "failures_rounds" || strings.HasPrefix(x.Code, "failures_again_") {
			page.TookSays = append(page.TookSays, say(x.Remark))
		}
	}
	raw, _ := json.Marshal(data) // Figures and text cannot fail to encode.
	page.WeeksData = string(raw)
	page.Describe = fmt.Sprintf("First-pass yield of %s by week, %s to %s per cent, usual %s.", english.Kinds(v.Kind), lowestOf(v.Weeks), highestOf(v.Weeks), failures.Percent(v.Usual))
	for _, m := range v.Months {
		rounds, minutes := tookEach(m.Took)
		page.Months = append(page.Months, MonthRow{Month: english.Month(v.Part(m.Month)), Items: strconv.Itoa(m.Finished), Rounds: rounds, Minutes: minutes,
			Again: fmt.Sprintf("%d of %d, %s %%", m.Again.K, m.Again.N, failures.Percent(m.Again.Value)), Interval: failures.Percent(m.Again.Low) + " to " + failures.Percent(m.Again.High)})
	}
}

// tookEach is what those that have passed took on average; while none has, it is empty.
func tookEach(t failures.Took) (rounds, minutes string) {
	n := float64(t.Finished)
	if n == 0 {
		return "", ""
	}
	return strconv.FormatFloat(float64(t.Rounds)/n, 'f', 2, 64), strconv.FormatFloat(float64(t.Minutes)/n, 'f', 1, 64)
}

func lowestOf(weeks []failures.Week) string {
	return failures.Percent(slices.MinFunc(weeks, byShare).Share.Value)
}

func highestOf(weeks []failures.Week) string {
	return failures.Percent(slices.MaxFunc(weeks, byShare).Share.Value)
}

func byShare(a, b failures.Week) int { return cmp.Compare(a.Share.Value, b.Share.Value) }

// shortDay is a day without its year.
func shortDay(day string) string {
	t, err := time.Parse(time.DateOnly, day)
	if err != nil {
		return day
	}
	return t.Format("2 Jan")
}

// cutTitles head the groups of each cut.
var cutTitles = map[string]struct{ title, head string }{
	failures.ByPlace: {"Stands and benches", "Place"}, failures.ByPerson: {"Builders", "Builder"}, failures.ByProduct: {"Products", "Product"}, failures.ByLot: {"Lots that were built in", "Lot"}, failures.ByMonth: {"Months", "Month"},
}

func (page *FailuresPage) fillCuts(v failures.View) {
	outside := 0
	for _, x := range v.Says {
		switch {
		case strings.HasPrefix(x.Code, "failures_of_one_"), strings.HasPrefix(x.Code, "failures_place_"), strings.HasPrefix(x.Code, "failures_person_"), strings.HasPrefix(x.Code, "failures_product_"), strings.HasPrefix(x.Code, "failures_lot_"), strings.HasPrefix(x.Code, "failures_month_"):
			outside++
			page.CutsSay = append(page.CutsSay, say(x.Remark))
		}
	}
	switch {
	case v.Compared == 0 && v.Hidden():
		page.CutsTitle = "Builders alone are compared"
	case v.Compared == 0:
		page.CutsTitle = "Too few first sets to compare groups"
	case outside == 0 && v.Hidden():
		page.CutsTitle = "No group shown here differs from what its mix gives"
	case outside == 0:
		page.CutsTitle = "No group differs from what its mix gives"
	default:
		page.CutsTitle = counted(outside, "group differs", "groups differ") + " from what the mix gives"
	}
	if v.Compared > 0 {
		page.CutsSay = append(page.CutsSay, "Failures at the first set against as many as the same products failed in the same months. Dark: where 95 % of groups like it lie; light: allows for how many a list compares. No order is meant: names stand by their alphabet.")
	}
	for _, c := range v.Cuts {
		table := CutTable{Title: cutTitles[c.By].title, Head: cutTitles[c.By].head, Hidden: c.Hidden}
		widest := 0.
		for _, g := range c.Groups {
			widest = max(widest, float64(g.Most)/float64(g.N), float64(g.K)/float64(g.N))
		}
		for _, g := range c.Groups {
			table.Rows = append(table.Rows, groupRow(v, c.By, g, widest))
		}
		for _, g := range c.Few {
			table.Few = append(table.Few, groupRow(v, c.By, g, 0))
		}
		table.Alone = len(c.Groups) == 0 && len(c.Few) == 1
		page.Cuts = append(page.Cuts, table)
	}
}

func groupRow(v failures.View, by string, g failures.Group, widest float64) GroupRow {
	n := float64(g.N)
	row := GroupRow{Name: g.Name, Mono: by == failures.ByLot, Count: fmt.Sprintf("%d of %d", g.K, g.N), Expected: strconv.FormatFloat(g.Expected, 'f', 1, 64), Within: fmt.Sprintf("%d to %d", g.Low, g.High)}
	more := map[string][]string{failures.ByPlace: {"place", g.ID}, failures.ByPerson: {"person", g.ID}, failures.ByProduct: {"product", g.ID}, failures.ByLot: {"lot", g.ID}}[by]
	if by == failures.ByMonth {
		row.Name = english.Month(v.Part(g.ID))
		first, last := monthDays(g.ID)
		more = []string{"from", max(first, v.Query.From), "to", min(last, v.Query.To)}
	}
	row.Path = failuresLink(failuresPath+"/items", v, append(more, "failed", "yes")...)
	part := func(k float64) string { return hundredth(k/n, widest) }
	row.At, row.Middle = part(float64(g.K)), part(g.Expected)
	row.OuterX, row.OuterWidth = part(float64(g.Least)), part(float64(g.Most-g.Least))
	row.InnerX, row.InnerWidth = part(float64(g.Low)), part(float64(g.High-g.Low))
	switch g.Signal {
	case "high":
		row.Signal = Mark{"square", "More than its mix gives", "fail"}
	case "low":
		row.Signal = Mark{"square", "Fewer than its mix gives", "note"}
	}
	return row
}

// monthDays are the first and the last day of a month.
func monthDays(month string) (first, last string) {
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return month, month
	}
	return t.Format(time.DateOnly), t.AddDate(0, 1, -1).Format(time.DateOnly)
}
