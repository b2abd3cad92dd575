package web

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/goodness"
)

// fillHowGood turns the answer for one result into words, histograms and tables.
func (s *site) fillHowGood(page *HowGoodPage, v goodness.View) {
	page.About = english.Result(v.Query.Result) + ", " + aboutOf(v.Family, v.Product, v.Query.Place)
	page.Says = nil
	for i, said := range v.Says() {
		if i == 0 {
			page.Answer = titled(english.Remark(said.Remark))
			continue
		}
		page.Says = append(page.Says, english.Remark(said.Remark))
	}
	page.Unit = words.Unit(v.Unit)
	if page.Ticked = v.Ticked; !v.Ticked {
		page.Chart = chartPath(v.Query.ChartKey)
	}
	open := !v.Ticked && v.Charted.Control != spc.InControl
	if (v.Limited || v.Ticked) && !v.Share.Few && v.Share.N > 0 {
		page.Bar = intervalBar(v.Share.K, v.Share.N, v.Share.Interval.Low, v.Share.Interval.High, mostOf(v.Share.Interval.High), open)
	}
	if v.Share.N > 0 && !v.Ticked {
		s.drawHowGood(page, v)
	}
	page.Facts = howGoodFacts(v)
	for _, p := range v.Beyond {
		row := BeyondRow{Serial: words.Serial(p.Serial), Path: itemPath(p.Serial, p.ItemID), When: s.minute(p.MeasuredAt)}
		if !v.Ticked {
			row.Value, row.Limit = words.Quantity(conformity.ShownText(p.Value, v.Decimals, "", ""), v.Unit), limitText(p.Low, p.High, v.Unit)
		}
		page.Beyond = append(page.Beyond, row)
	}
	page.Hidden = v.Share.K - len(v.Beyond)
	page.Lots = lotTable(v.Lots, "By lot", v.Unit, v.Decimals)
	page.Falls = lotTable(v.Falls, "What blocks fall by between two readings", "", 2)
	if page.Lots != nil {
		page.Lots.Table = "/how-good" + page.Table + "&table=lots"
	}
	if page.Falls != nil {
		page.Falls.Table = "/how-good" + page.Table + "&table=falls"
		page.Falls.Unit = words.Unit("mV") + " a day"
		for i, row := range v.Falls.Rows {
			if row.Side == "low" { // That is how it should be.
				page.Falls.Rows[i].Mark = Mark{}
			}
		}
	}
}

// drawHowGood puts the histograms into one axis, so that first and certified stand
// below each other.
func (s *site) drawHowGood(page *HowGoodPage, v goodness.View) {
	first := v.Histogram
	low, high := first.First, first.First+first.Width*float64(len(first.Counts))
	panels := []goodness.Histogram{first}
	titles := []string{"First readings"}
	if v.Final != nil {
		panels, titles = append(panels, v.Final.Histogram), append(titles, "Certified: corrected until within the limit")
		page.Second = "Certified"
		low = math.Min(low, v.Final.Histogram.First)
		high = math.Max(high, v.Final.Histogram.First+v.Final.Histogram.Width*float64(len(v.Final.Histogram.Counts)))
	}
	count := int(math.Round((high - low) / first.Width))
	digits := v.Decimals
	for digits < 4 && math.Abs(first.Width-math.Round(first.Width*math.Pow10(digits))/math.Pow10(digits)) > 1e-9 {
		digits++
	}
	data := histogramData{Unit: page.Unit, Result: english.Result(v.Query.Result), First: low, Width: first.Width, Digits: digits}
	for i, h := range panels {
		counts := make([]int, count)
		at := int(math.Round((h.First - low) / first.Width))
		copy(counts[at:], h.Counts)
		data.Panels = append(data.Panels, binned{Title: titles[i], Counts: counts})
	}
	var limits []float64
	for _, l := range v.Limits {
		for _, side := range []limitLine{{Name: "lower limit", Text: l.Low}, {Name: "upper limit", Text: l.High}} {
			x, err := strconv.ParseFloat(side.Text, 64)
			if err != nil || slices.Contains(limits, x) {
				continue
			}
			limits = append(limits, x)
			data.Limits = append(data.Limits, limitLine{Name: side.Name, Value: x, Text: words.Number(side.Text)})
		}
	}
	if v.Law != nil {
		data.Law = english.Say("law."+string(v.Law.Fitted.Shape()), nil)
		for i := range count {
			_, above, err := v.Law.Fitted.Tails(low + float64(i)*first.Width)
			_, beyond, err2 := v.Law.Fitted.Tails(low + float64(i+1)*first.Width)
			if err != nil || err2 != nil {
				data.Density, data.Law = nil, ""
				break
			}
			data.Density = append(data.Density, float64(v.Share.N)*(above-beyond))
		}
	}
	for i := range count {
		from, to := low+float64(i)*first.Width, low+float64(i+1)*first.Width
		row := BinRow{From: words.Number(fmt.Sprintf("%.*f", digits, from)), To: words.Number(fmt.Sprintf("%.*f", digits, to)), First: data.Panels[0].Counts[i]}
		row.Range = row.From + " to " + row.To
		if len(data.Panels) > 1 {
			row.Last = data.Panels[1].Counts[i]
		}
		if len(v.Limits) == 1 {
			l, errLow := strconv.ParseFloat(v.Limits[0].Low, 64)
			h, errHigh := strconv.ParseFloat(v.Limits[0].High, 64)
			row.Beyond = errLow == nil && to <= l+first.Width*1e-6 || errHigh == nil && from >= h-first.Width*1e-6
		}
		if row.First+row.Last > 0 { // A value far away leaves many bins empty.
			page.Bins = append(page.Bins, row)
		}
	}
	page.Drawn, page.Data = true, jsonOf(data)
	page.Describe = fmt.Sprintf("Histogram of %s of %d first readings. %s", english.Inside(data.Result), v.Share.N, page.Answer)
}

// howGoodFacts are the figures behind the sentences.
func howGoodFacts(v goodness.View) []ChartFact {
	var facts []ChartFact
	if v.Law != nil {
		var parts []string
		for _, p := range v.Law.Fitted.Parameters() {
			parts = append(parts, strings.ReplaceAll(p.Name, "_", " ")+" "+words.Number(strconv.FormatFloat(p.Value, 'g', 4, 64)))
		}
		facts = append(facts, ChartFact{"Law", words.Sentence(english.Say("law."+string(v.Law.Fitted.Shape()), nil)), strings.Join(parts, ", ") + fmt.Sprintf("; the best by Akaike’s criterion of %d that suit the result", v.Law.Tried)},
			ChartFact{"Distance", words.Number(fmt.Sprintf("%.2f", v.Law.Goodness.Distance)), "by Anderson and Darling; up to " + words.Number(fmt.Sprintf("%.2f", v.Law.Goodness.Limit)) + " is no warning"})
	}
	if v.Truncated {
		facts = append(facts, ChartFact{"Values", strconv.Itoa(v.Share.N), "the newest; there are older ones"})
	}
	if len(v.Limits) > 1 {
		for _, l := range v.Limits {
			facts = append(facts, ChartFact{"Judged by", limitText(l.Low, l.High, v.Unit), counted(l.N, "value", "values")})
		}
	}
	return facts
}

func lotTable(l *goodness.Lots, title, unit string, decimals int) *LotTable {
	if l == nil {
		return nil
	}
	t := &LotTable{Title: title, Unit: words.Unit(unit)}
	var means []string
	for _, row := range l.Rows {
		lot := LotLine{Lot: row.Lot, Path: lotPath(row.Lot), N: strconv.Itoa(row.N), Mean: fmt.Sprintf("%.*f", decimals+1, row.Mean)}
		if row.Apart {
			lot.Mark = Mark{"square", map[string]string{"high": "Above the others", "low": "Below the others"}[row.Side], "care"}
		}
		means = append(means, lot.Mean)
		t.Rows = append(t.Rows, lot)
	}
	t.Class = mostDecimals(means...)
	if l.Known {
		t.Note = fmt.Sprintf("Standard deviation within a lot %s, between lots %s.", deviationText(l.Within, decimals+2, l.Unit), deviationText(l.Between, decimals+2, l.Unit))
	} else {
		t.Note = "Too few lots of five blocks or more to compare."
	}
	return t
}

func deviationText(x float64, decimals int, unit string) string {
	return words.Quantity(fmt.Sprintf("%.*f", decimals, x), unit)
}
