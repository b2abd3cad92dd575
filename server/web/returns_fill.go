package web

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"tracewright/models/numbers/life"
	"tracewright/models/words"
	"tracewright/models/work/returns"
)

// agesShown is how many ages the triangle has columns for; what came back later stands
// in one more.
const agesShown = 12

// returnsData is what the page's module draws: shares that came back, in per cent, by
// months in service.
type returnsData struct {
	Until float64      `json:"until"`
	Lines []returnLine `json:"lines"`
	Law   []lawPoint   `json:"law,omitempty"`
}

type returnLine struct {
	Name   string        `json:"name"`
	Points []returnPoint `json:"points"`
}

type returnPoint struct {
	Age    float64  `json:"age"`
	Share  float64  `json:"share"`
	Low    *float64 `json:"low,omitempty"`
	High   *float64 `json:"high,omitempty"`
	AtRisk int      `json:"at_risk"`
}

type lawPoint struct {
	Age   float64 `json:"age"`
	Share float64 `json:"share"`
}

func (s *site) fillReturns(page *ReturnsPage, v returns.View, materials map[string]string) {
	page.About = v.Family.Name
	if v.Lot != nil {
		page.About += ", lot " + v.Lot.Code
	}
	warned := map[string]bool{}
	for _, said := range v.Warnings() {
		text := english.Remark(said.Remark)
		warned[text] = true
		link := SaidLink{Words: text}
		if v.Lot == nil {
			link.Path = questionPath(said)
		}
		page.Warnings = append(page.Warnings, link)
	}
	for i, said := range v.Says() {
		text := english.Remark(said.Remark)
		switch {
		case i == 0:
			page.Answer = titled(text)
		case !warned[text]:
			page.Says = append(page.Says, text)
		}
	}
	lot := ""
	if v.Lot != nil {
		lot = v.Lot.Code
	}
	page.Items = returnsPath(v.Query, "/returns/items", v.Family.ID, lot)
	if v.Share.N == 0 {
		return
	}
	s.drawReturns(page, v)
	for _, a := range v.Ahead {
		page.Ahead = append(page.Ahead, aheadRow(a))
		page.Costs = page.Costs || len(a.Costs) > 0
	}
	page.Law = lawFacts(v)
	page.Triangle = triangleTable(v, lot)
	if v.Lot == nil {
		s.fillLots(page, v, materials)
	}
}

// drawReturns draws the curves as far as enough units stand behind them.
func (s *site) drawReturns(page *ReturnsPage, v returns.View) {
	data := returnsData{Until: v.Until}
	name := v.Family.Name
	if v.Lot != nil {
		name = "lot " + v.Lot.Code
	}
	add := func(name string, curve *life.Curve) {
		data.Lines = append(data.Lines, returnLine{Name: name, Points: pointsOf(curve, v.Until)})
	}
	add(name, v.Curve)
	if v.Rest != nil {
		add("all others", v.Rest)
		page.Rest = true
	}
	if v.Law != nil && v.Law.Fit != nil && v.Until > 0 {
		for i := range 61 {
			t := v.Until * float64(i) / 60
			data.Law = append(data.Law, lawPoint{t, 100 * (1 - v.Law.Fit.Survival(t))})
		}
	}
	for _, p := range data.Lines[0].Points {
		row := CurveRow{Age: words.Number(fmt.Sprintf("%.1f", p.Age)), Share: words.Number(fmt.Sprintf("%.2f", p.Share)), AtRisk: strconv.Itoa(p.AtRisk)}
		if p.Low != nil {
			row.Interval = words.Number(fmt.Sprintf("%.2f", *p.Low)) + " to " + words.Number(fmt.Sprintf("%.2f", *p.High))
		}
		if page.Rest {
			row.Rest = words.Number(fmt.Sprintf("%.2f", shareAt(data.Lines[1].Points, p.Age)))
		}
		page.Curve = append(page.Curve, row)
	}
	page.Drawn, page.Data = v.Until > 0, jsonOf(data)
	page.Describe = fmt.Sprintf("Share of %s that came back by months in service, to %s months. %s", name, words.Number(fmt.Sprintf("%.1f", v.Until)), page.Answer)
}

// pointsOf are the steps of a curve up to an age, from nothing on.
func pointsOf(curve *life.Curve, until float64) []returnPoint {
	points := []returnPoint{{Share: 0, AtRisk: curve.Units}}
	for _, p := range curve.Firm() {
		if p.Time > until {
			break
		}
		at := returnPoint{Age: p.Time, Share: 100 * (1 - p.Survival), AtRisk: p.AtRisk}
		if p.Bounded {
			low, high := 100*(1-p.LogLog.High), 100*(1-p.LogLog.Low)
			at.Low, at.High = &low, &high
		}
		points = append(points, at)
	}
	return points
}

func shareAt(points []returnPoint, age float64) float64 {
	share := 0.0
	for _, p := range points {
		if p.Age <= age {
			share = p.Share
		}
	}
	return share
}

func aheadRow(a returns.Ahead) AheadRow {
	row := AheadRow{Months: strconv.Itoa(a.Months) + " months", Counted: fmt.Sprintf("%d to %d", a.Low, a.High)}
	if !a.Known {
		row.Expected = "not known"
		return row
	}
	row.Expected = words.Number(fmt.Sprintf("%.1f", a.Expected))
	row.Mean = words.Number(fmt.Sprintf("%.1f", a.Mean.Low)) + " to " + words.Number(fmt.Sprintf("%.1f", a.Mean.High))
	for _, c := range a.Costs {
		currency := firstOf(c.Currency, "no currency named")
		text := fmt.Sprintf("%s %s", words.Number(fmt.Sprintf("%.0f", c.Expected)), currency)
		if c.Bounded {
			text += fmt.Sprintf(" (%s to %s)", words.Number(fmt.Sprintf("%.0f", c.Low)), words.Number(fmt.Sprintf("%.0f", c.High)))
		} else {
			text += ", from " + plural(c.Claims, "claim", "claims") + " alone: too few for an interval"
		}
		row.Costs = append(row.Costs, text)
	}
	return row
}

func lawFacts(v returns.View) []ChartFact {
	if v.Law == nil {
		return nil
	}
	if v.Law.Fit != nil {
		return []ChartFact{{"Weibull shape", words.Number(fmt.Sprintf("%.2f", v.Law.Fit.Shape())), fmt.Sprintf("%s to %s; below 1 early failures, above 1 wear", words.Number(fmt.Sprintf("%.2f", v.Law.Shape.Low)), words.Number(fmt.Sprintf("%.2f", v.Law.Shape.High)))},
			{"Weibull scale", words.Number(fmt.Sprintf("%.1f", v.Law.Fit.Scale())) + " months", "by when 63.2 % would have come back, far beyond what was seen where few did"}}
	}
	var facts []ChartFact
	for _, a := range v.Law.Assumed {
		fact := ChartFact{Label: "Shape " + words.Number(fmt.Sprintf("%g", a.Shape)) + " assumed", Value: fmt.Sprintf("scale from %s months", words.Number(fmt.Sprintf("%.0f", a.Low))), Means: "nothing came back, so there is no upper end"}
		if a.ScaleKnown {
			fact.Value, fact.Means = words.Number(fmt.Sprintf("scale %.0f months", a.Scale)), fmt.Sprintf("%.0f to %.0f", a.Low, a.High)
		}
		facts = append(facts, fact)
	}
	return facts
}

func triangleTable(v returns.View, lot string) TriangleTable {
	t := TriangleTable{Months: strconv.Itoa(v.MonthsCompared), AsOf: english.Month(v.AsOf)}
	asOf := monthIndex(v.AsOf)
	last := 0
	for _, m := range v.Months {
		last = max(last, asOf+1-monthIndex(m.Month))
	}
	for age := range min(last+1, agesShown) {
		t.Ages = append(t.Ages, age)
	}
	t.Later = last+1 > agesShown
	for _, m := range slices.Backward(v.Months) {
		list := func(more ...string) string {
			return returnsPath(v.Query, "/returns/items", v.Family.ID, lot, append([]string{"month", m.Month}, more...)...)
		}
		row := TriangleRow{Month: english.Month(m.Month), Path: list(), Shipped: strconv.Itoa(m.N), Back: strconv.Itoa(m.K)}
		if m.Known {
			row.Expected = words.Number(fmt.Sprintf("%.1f", m.Expected))
			row.Note = "as the others"
			switch {
			case m.More:
				row.Note = ""
				row.Mark = Mark{"square", "More", "fail"}
			case len(m.Because) > 0:
				row.Note = "without " + english.Join(m.Because)
			}
		}
		later := 0
		for age, n := range m.Returns {
			if age >= agesShown {
				later += n
			}
		}
		for _, age := range t.Ages {
			cell := TriangleCell{}
			at := monthIndex(m.Month) + age
			switch n := m.Returns[age]; {
			case n > 0:
				cell.Text, cell.Path, cell.Open = strconv.Itoa(n), list("age", strconv.Itoa(age)), at > asOf
			case at <= asOf:
				cell.Text = "0"
			case at == asOf+1:
				cell.Text, cell.Open = "0", true
			}
			row.Cells = append(row.Cells, cell)
		}
		if later > 0 {
			row.Later = strconv.Itoa(later)
		}
		t.Rows = append(t.Rows, row)
	}
	for _, a := range v.Ages {
		line := AgeLine{Age: strconv.Itoa(a.Age), AtRisk: strconv.Itoa(a.AtRisk), Back: strconv.Itoa(a.Returns), Hazard: fmt.Sprintf("%.2f", 100*a.Hazard),
			Interval: words.Number(fmt.Sprintf("%.2f", 100*a.HazardBounds.Low)) + " to " + words.Number(fmt.Sprintf("%.2f", 100*a.HazardBounds.High)), Cumulative: fmt.Sprintf("%.2f", 100*a.Cumulative)}
		if a.Bounded {
			line.Bounds = words.Number(fmt.Sprintf("%.2f", 100*a.Bounds.Low)) + " to " + words.Number(fmt.Sprintf("%.2f", 100*a.Bounds.High))
		}
		t.ByAge = append(t.ByAge, line)
	}
	return t
}

func monthIndex(month string) int {
	t, _ := time.Parse("2006-01", month)
	return t.Year()*12 + int(t.Month())
}

// lotsShown is how many lots stand open, those that stand out first.
const lotsShown = 12

// fillLots lists the lots that are compared, and those too small by their counts.
func (s *site) fillLots(page *ReturnsPage, v returns.View, materials map[string]string) {
	page.Compared = counted(v.LotsCompared, "lot is compared", "lots are compared")
	for _, l := range v.Lots {
		row := ReturnsRow{Name: []Span{{Text: l.Lot.Code, Mono: true, Path: returnsPath(v.Query, "/returns", v.Family.ID, l.Lot.Code)}}, Kind: words.Sentence(firstOf(materials[l.Lot.Material], l.Lot.Material)),
			Count: english.Of(l.K, l.N), CountPath: returnsPath(v.Query, "/returns/items", v.Family.ID, l.Lot.Code), Share: shareOfReturns(l.Share), Interval: intervalOfReturns(l.Share)}
		if !l.Known {
			page.FewLots = append(page.FewLots, row)
			continue
		}
		row.Expected = words.Number(fmt.Sprintf("%.1f", l.Expected))
		switch {
		case l.More:
			row.Mark = Mark{"square", "More", "fail"}
		case l.Because != "":
			row.Note = "no more than the others without what holds lot " + l.Because + " too"
		default:
			row.Note = "as the others"
		}
		if len(page.Lots) >= lotsShown {
			page.OtherLots = append(page.OtherLots, row)
			continue
		}
		page.Lots = append(page.Lots, row)
	}
}
