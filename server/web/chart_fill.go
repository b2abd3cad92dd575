package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/goodness"
	"tracewright/models/work/monitor"
)

// fillChart turns the view into words, data and a table.
func (s *site) fillChart(page *ChartPage, v monitor.ChartView, people map[string]string, look charting) {
	w := chartWords{v: v, kind: firstOf(v.Grouped, english.Kind(v.Family.Kind)), day: s.day}
	page.Key = chartName(v.Query.Key())
	page.About = w.about()
	page.Tab = "In control? " + page.About
	page.Answer, page.Sub = w.answer()
	page.Bands = w.bands()
	page.Describe = w.describe()
	page.Facts, page.Why, page.Wolf = w.facts(), w.why(), w.wolf()
	if v.Truncated {
		page.Older = "There are older points than are shown; a period shows them."
	}
	page.Phases = w.phases()
	for _, h := range slices.Backward(v.Events) {
		page.Events = append(page.Events, ChartEventLine{s.minute(h.At), w.happening(h, people)})
	}
	key := v.Query.Key()
	page.Ways = []Link{{"#table", "Table"}, {chartPath(key, look.kept("as", "csv")...), "For a spreadsheet"}, {howGoodPath(goodness.Query{ChartKey: key}, key.Result, "365"), "How good against the limit"}}
	if page.Actor.May(models.ActSpecify) {
		page.Ways = append(page.Ways, Link{"#baseline", "Baseline"})
	}
	if v.Query.ProductID != "" && v.Grouped != monitor.ByLot { // Lots are those of one model.
		page.Others = append(page.Others, Link{chartPath(models.ChartKey{FamilyID: key.FamilyID, Place: key.Place, Result: key.Result}), "The same over all products"})
	}
	if v.Query.Place != "" {
		page.Others = append(page.Others, Link{chartPath(models.ChartKey{FamilyID: key.FamilyID, ProductID: key.ProductID, Result: key.Result}), "The same over all places"})
	}
	page.Together, page.Products = w.products()

	data := w.data()
	page.Heads = ChartHeads{Value: data.Title, Shown: w.shownAs()}
	if v.Unit != "" {
		page.Heads.Value = english.Result(v.Query.Result) + ", " + words.Unit(v.Unit)
	}
	if data.Within != nil {
		page.Heads.Within = data.Within.Title + ", " + data.Within.Unit
	}
	signals := map[int]string{}
	for i, g := range v.Signals {
		text := english.Remark(v.Said(g))
		data.Signals[i].Words = text
		line := SignalLine{Words: text, Settled: g.Settled()}
		p := g.Raised
		line.Serial, line.Path, line.When = w.pointName(p), itemPath(p.Serial, p.ItemID), s.day(p.MeasuredAt)
		if g.Panel == spc.PanelSmoothed {
			line.Words += " " + w.span(g)
		}
		for _, c := range slices.Backward(g.Causes) {
			line.Causes = append(line.Causes, w.cause(c, people, s.day(c.MadeAt)))
		}
		if page.Actor.May(models.ActRecord) && g.Phase == len(v.Phases)-1 && !g.Covered {
			line.Ask = signalPath(key, signalName(g), look.kept()...)
		}
		if !g.Covered {
			page.Signals = append(page.Signals, line)
		}
		if len(g.Causes) > 0 {
			text += " Cause: " + english.Cause(g.Causes[len(g.Causes)-1].Code) + "."
		}
		signals[g.Point] = joinedText(signals[g.Point], text)
	}
	slices.Reverse(page.Signals) // The newest first: it can still be looked into.
	for i := len(v.Points) - 1; i >= 0; i-- {
		p := v.Points[i]
		row := ChartRow{Serial: w.pointName(p), Path: itemPath(p.Serial, p.ItemID), When: s.minute(p.MeasuredAt), Place: p.Place,
			Value: words.Number(conformity.ShownText(p.Value, v.Decimals, "", "")), Signal: signals[i]}
		ph := w.phaseOf(i)
		if page.Heads.Shown != "" && i-ph.From < len(ph.Values.Points) {
			row.Shown = fmt.Sprintf("%.2f", ph.Values.Points[i-ph.From])
		}
		if i-ph.From < len(ph.Smoothed.Points) {
			page.Heads.Smoothed = "Smoothed mean"
			row.Smoothed = w.number(ph.Smoothed.Points[i-ph.From], ph)
		}
		if i-ph.From < len(ph.Within.Points) {
			row.Within = words.Number(fmt.Sprintf("%.*f", v.Decimals+1, ph.Within.Points[i-ph.From]))
		}
		if p.Group != "" {
			row.Name = p.Group
		}
		page.Table = append(page.Table, row)
	}
	page.Drawn = len(v.Points) > 0
	// A chart of numbers and text cannot fail to encode.
	raw, _ := json.Marshal(data)
	page.Data = string(raw)
}

func joinedText(a, b string) string {
	if a == "" {
		return b
	}
	return a + " " + b
}

// data is what the module draws.
func (w chartWords) data() controlData {
	v := w.v
	present := v.Present()
	d := controlData{Title: english.Result(v.Query.Result), Decimals: v.Decimals, Unit: words.Unit(v.Unit), Behind: unitBehind(v.Unit), One: w.kind,
		Phases: []controlPhase{}, Signals: make([]controlSignal, len(v.Signals)), Events: []controlEvent{}, Accepted: []controlAccept{}}
	if shown := w.shownAs(); shown != "" {
		d.Unit, d.Decimals = shown, 2
	}
	index := func(inspection string) int {
		return slices.IndexFunc(v.Points, func(p monitor.Point) bool { return p.Has(inspection) })
	}
	for _, ph := range v.Phases {
		d.Values = append(d.Values, drawn(ph.Values.Points)...)
		out := controlPhase{From: ph.From, To: ph.To, Words: w.phaseShort(ph)}
		if b := ph.Baseline; b != nil {
			first, last := index(b.FirstInspection), index(b.LastInspection)
			if first >= 0 && last >= 0 {
				out.Base = []int{first, last}
			}
		}
		if !ph.Limits.Facts.NoLimits {
			out.Centre, out.Low, out.High = line(ph.Values.Centre), line(ph.Values.Low), line(ph.Values.High)
			out.Smoothed, out.SlowLow, out.SlowHigh = drawn(ph.Smoothed.Points), line(ph.Smoothed.Low), line(ph.Smoothed.High)
		}
		d.Phases = append(d.Phases, out)
	}
	for i, g := range v.Signals {
		d.Signals[i] = controlSignal{Point: g.Point, First: g.First, Last: g.Last, Smoothed: g.Panel == spc.PanelSmoothed, Within: g.Panel == spc.PanelWithinItems, Settled: g.Settled(), Open: g.Open, Covered: g.Covered, Short: w.short(g)}
	}
	for _, h := range v.Events {
		before := 0
		for before < len(v.Points) && v.Points[before].MeasuredAt.Before(h.At) {
			before++
		}
		d.Events = append(d.Events, controlEvent{before, w.happenedShort(h)})
	}
	d.Within = w.within()
	if present.Scaled() {
		for _, x := range []struct{ value, words string }{{v.Limit.High, "accepted up to"}, {v.Limit.Low, "accepted from"}} {
			if at, err := strconv.ParseFloat(x.value, 64); err == nil && x.value != "" {
				d.Accepted = append(d.Accepted, controlAccept{at, x.words})
			}
		}
	}
	return d
}

// within is the strip of the spread within lots, nil where there is none to draw.
func (w chartWords) within() *controlWithin {
	v := w.v
	strip := &controlWithin{Title: "Spread within a lot", Unit: words.Unit(v.Unit), Decimals: v.Decimals + 1, Values: make([]float64, len(v.Points))}
	for _, ph := range v.Phases {
		if len(ph.Within.Points) == 0 {
			continue
		}
		copy(strip.Values[ph.From:], drawn(ph.Within.Points))
		strip.Phases = append(strip.Phases, withinPhase{From: ph.From, To: ph.To, Centre: line(ph.Within.Centre), Low: line(ph.Within.Low), High: line(ph.Within.High)})
	}
	if len(strip.Phases) == 0 {
		return nil
	}
	return strip
}

// line is a line of a phase: one height where it is level.
func line(heights []float64) []float64 {
	out := drawn(heights)
	for _, y := range out {
		if y != out[0] {
			return out
		}
	}
	return out[:min(1, len(out))]
}

// drawn are values to five digits, which is finer than any screen: the exact
// ones stand in the table.
func drawn(values []float64) []float64 {
	out := make([]float64, len(values))
	for i, x := range values {
		out[i], _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 5, 64), 64)
	}
	return out
}

// products says what each product did since the matter began that the title
// speaks of, or lately.
func (w chartWords) products() (heading string, rows []ChartProduct) {
	v, ph := w.v, w.v.Present()
	if ph.Scaled() || len(v.Points) == 0 || ph.Limits.Facts.NoLimits {
		return "", nil
	}
	from, since := max(ph.From, len(v.Points)-60), fmt.Sprintf("The last %d", min(60, ph.To-ph.From))
	if g := v.Finding.Signal; g >= 0 && v.Signals[g].Panel == spc.PanelSmoothed {
		from, since = v.Signals[g].First, "Since "+w.day(v.Signals[g].Began.MeasuredAt)
	}
	sums, counts := map[string]float64{}, map[string]int{}
	for i := from; i < len(v.Points); i++ {
		id := v.Points[i].ProductID
		sums[id] += ph.Values.Points[i-ph.From]
		counts[id]++
	}
	up, down := 0, 0
	for _, id := range slices.SortedFunc(maps.Keys(counts), func(a, b string) int { return compareText(v.Products[a], v.Products[b]) }) {
		row := ChartProduct{Name: v.Products[id], Path: chartPath(models.ChartKey{FamilyID: v.Family.ID, ProductID: id, Place: v.Query.Place, Result: v.Query.Result}), N: w.items(counts[id])}
		if counts[id] >= fewestShown {
			mean := sums[id] / float64(counts[id])
			row.Now = fmt.Sprintf("%.2f times its usual value", mean)
			if ph.Values.Name != spc.PanelRatios {
				row.Now = words.Number(fmt.Sprintf("%.2f", mean)) + " standard deviations from its middle"
			}
			if mean > ph.Values.Centre[0] {
				up++
			} else {
				down++
			}
		} else {
			row.Now = "too few to tell"
		}
		rows = append(rows, row)
	}
	switch all := up + down; {
	case all < 2:
		heading = since + ", product by product"
	case up == all:
		heading = since + ", all " + spelled(all) + " products lie high"
	case down == all:
		heading = since + ", all " + spelled(all) + " products lie low"
	default:
		heading = since + ", " + someHigh(up, all)
	}
	return heading, rows
}

func someHigh(up, all int) string {
	lie := "lie"
	if up == 1 {
		lie = "lies"
	}
	return fmt.Sprintf("%d of %d products %s high", up, all, lie)
}

// fewestShown is how many points a product needs before its mean is shown: of
// fewer, the mean says more of the points than of the product.
const fewestShown = 5

func compareText(a, b string) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}
