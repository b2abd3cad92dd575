package web

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"tracewright/models/numbers/spc"
	"tracewright/models/words"
	"tracewright/models/work/monitor"
)

// chartWords puts a chart into words: what it finds, what it rests on, and
// what weakens it.
type chartWords struct {
	v    monitor.ChartView
	kind string // the word for one item: wheel, pack
	day  func(time.Time) string
}

func (w chartWords) items(n int) string { return plural(n, w.kind, w.kind+"s") }

func (w chartWords) number(x float64) string {
	return words.Number(fmt.Sprintf("%.*f", w.v.Decimals, x))
}

func (w chartWords) quantity(x float64) string {
	return words.Quantity(fmt.Sprintf("%.*f", w.v.Decimals, x), w.v.Unit)
}

func (w chartWords) about() string {
	text := english.Result(w.v.Query.Result) + ", " + w.v.Family.Name
	if w.v.Product != nil {
		text = english.Result(w.v.Query.Result) + ", " + w.v.Product.Name
	}
	if w.v.Query.Place != "" {
		text += ", " + w.v.Query.Place
	}
	if w.v.FirstSets {
		text += ", first reading after stress relief"
	}
	return text
}

// values is the strip of the values; false while there are fewer than two.
func (w chartWords) values() (spc.Panel, bool) {
	for _, p := range w.v.Panels {
		if p.Name == spc.PanelValues {
			return p, true
		}
	}
	return spc.Panel{}, false
}

func (w chartWords) answer() (title, sub string) {
	n := w.v.Facts.N
	switch {
	case n == 0:
		title = "No " + w.kind + " to chart in this time yet"
		return title, fmt.Sprintf("Limits need %s; there is none.", w.items(w.v.Needed))
	case w.v.Facts.NoLimits && w.v.Facts.NoLimitsReason == spc.NoLimitsFewPoints:
		return fmt.Sprintf("Needs %s for limits, has %d", w.items(w.v.Needed), n), "Until then the points stand alone: nothing can be called unusual."
	case w.v.Facts.NoLimits && w.v.Facts.NoLimitsReason == spc.NoLimitsResolution:
		return "The gauge is too coarse for limits here",
			fmt.Sprintf("It reads in steps of %s, more than the %s differ among themselves. Points only, no limits.", words.Quantity(trimmed(w.v.Facts.Resolution), w.v.Unit), w.kind+"s")
	case w.v.Facts.NoLimits:
		return "All values are the same", fmt.Sprintf("%s, and not one differs from the next: there is no spread to find limits from.", words.Sentence(w.items(n)))
	}
	panel, ok := w.values()
	if !ok || len(panel.Centre) == 0 {
		return w.items(n) + " charted", ""
	}
	outside, recent := map[int]bool{}, 0
	for _, s := range w.v.Signals {
		if s.Panel == spc.PanelValues && !outside[s.Point] {
			outside[s.Point] = true
			if s.Point >= n-20 {
				recent++
			}
		}
	}
	sub = "Centre " + w.quantity(panel.Centre[0])
	switch {
	case panel.Low != nil && panel.High != nil:
		sub += fmt.Sprintf(", limits of one %s %s to %s", w.kind, w.number(panel.Low[0]), w.quantity(panel.High[0]))
	case panel.High != nil:
		sub += fmt.Sprintf(", limit of one %s %s", w.kind, w.quantity(panel.High[0]))
	}
	sub += fmt.Sprintf(", from %s.", w.items(n))
	last := w.v.Points[n-1]
	sub += " The last one was measured on " + w.day(last.MeasuredAt) + "."
	switch {
	case len(outside) == 0 && len(w.v.Signals) == 0:
		return fmt.Sprintf("Steady: none of %s lies outside its limits", w.items(n)), sub
	case len(outside) == 0:
		return "Each value lies inside its limits, but " + plural(len(w.v.Signals), "step between neighbours is", "steps between neighbours are") + " large", sub
	case recent > 0:
		lie := "lie"
		if recent == 1 {
			lie = "lies"
		}
		return fmt.Sprintf("%s of the last 20 %s outside the limits", words.Sentence(spelled(recent)), lie), sub + fmt.Sprintf(" In all, %s.", english.Of(len(outside), n))
	}
	return fmt.Sprintf("%s lay outside the limits, none of the last 20", words.Sentence(english.Of(len(outside), n))), sub
}

// signal is a signal's reason, as it stands beside its point.
func (w chartWords) signal(s monitor.Signal) string {
	value, limit := s.Reason.Values["value"], s.Reason.Values["limit"]
	point := w.v.Points[s.Point]
	switch {
	case s.Reason.Code != spc.BeyondLimit:
		return english.Say(s.Reason.Code, english.Readable(s.Reason.Values))
	case s.Panel == spc.PanelMovingRange:
		value, limit = apart(value, limit, w.v.Decimals)
		return fmt.Sprintf("%s differs from the one before by %s, more than the %s that neighbours differ by themselves.", words.Serial(point.Serial), words.Quantity(value, w.v.Unit), words.Quantity(limit, w.v.Unit))
	case s.Panel == spc.PanelMovingRatio:
		value, limit = apart(value, limit, 2)
		return fmt.Sprintf("%s and the one before are %s times apart, more than the %s times that neighbours are by themselves.", words.Serial(point.Serial), value, limit)
	}
	value, limit = apart(value, limit, w.v.Decimals)
	if s.Side == spc.SideLow {
		return fmt.Sprintf("%s is below the lower limit of %s.", words.Quantity(value, w.v.Unit), words.Quantity(limit, w.v.Unit))
	}
	return fmt.Sprintf("%s is above the upper limit of %s.", words.Quantity(value, w.v.Unit), words.Quantity(limit, w.v.Unit))
}

// apart rounds a value and the limit that it crossed, with up to three digits
// more where they would look the same: no value lies below itself.
func apart(value, limit string, decimals int) (string, string) {
	v, l := rounded(value, decimals), rounded(limit, decimals)
	for more := 1; v == l && more <= 3; more++ {
		v, l = rounded(value, decimals+more), rounded(limit, decimals+more)
	}
	return v, l
}

func (w chartWords) describe() string {
	n := len(w.v.Points)
	if n == 0 {
		return ""
	}
	text := fmt.Sprintf("%s in the order in which they were measured", words.Sentence(w.items(n)))
	if panel, ok := w.values(); ok && len(panel.Points) > 0 {
		low, high := math.Inf(1), math.Inf(-1)
		for _, x := range panel.Points {
			low, high = math.Min(low, x), math.Max(high, x)
		}
		text += fmt.Sprintf(", from %s to %s", w.number(low), w.quantity(high))
	}
	return text + ". " + plural(len(w.v.Signals), "signal", "signals") + ". Left and right arrow keys go from point to point, Enter opens the item; the table below holds the same."
}

func (w chartWords) facts() []ChartFact {
	f := w.v.Facts
	if f.N == 0 {
		return nil
	}
	facts := []ChartFact{{"Count", w.items(f.N), ""}}
	switch {
	case f.NoLimits && f.NoLimitsReason == spc.NoLimitsFewPoints:
		facts[0].Means = fmt.Sprintf("Limits need %d.", w.v.Needed)
	case f.Provisional:
		facts[0].Means = fmt.Sprintf("Fewer than %d: the limits are provisional and will still move.", spc.FewestForFirmLimits)
	}
	distinct := ChartFact{"Different values", fmt.Sprint(f.Distinct), ""}
	if f.Resolution > 0 {
		distinct.Means = "The gauge reads in steps of " + words.Quantity(trimmed(f.Resolution), w.v.Unit) + "."
		if f.ResolutionCoarse {
			distinct.Means += " That is coarser than the spread: few steps make the limits too narrow or too wide."
		}
	}
	facts = append(facts, distinct)
	if f.Lag1Known {
		lag := ChartFact{"Neighbours alike", words.Number(fmt.Sprintf("%.2f", f.Lag1)), fmt.Sprintf("Correlation of each with the one before; by chance within ±%.2f.", f.Lag1Limit)}
		if f.Correlated {
			lag.Means += " Here it is more: neighbours resemble each other, so the limits claim more than they can hold."
		}
		facts = append(facts, lag)
	}
	return facts
}

func (w chartWords) why() string {
	text := fmt.Sprintf("One %s at a time is made, so each is a point, and the limits come from how much neighbours differ (mean moving range over 1.128).", w.kind)
	switch w.v.ScaleReason {
	case spc.ScalePositiveSkewed:
		text += " The value cannot go below zero and has a long upper tail, so limits are found on its logarithm: they are not the same distance up and down, and the lower strip shows the ratio of neighbours."
	case spc.ScaleNotPositive:
		text += " A value is not above zero, so limits are found on the values themselves and not on their logarithms."
	}
	if w.v.FirstSets {
		text += " Only the first reading after stress relief of each wheel counts: later ones show where truing stopped, not what the process gives."
	}
	return text + " Three sigma limits cry wolf about once in 370 points where nothing changed. They say what to expect, not what to accept: limits of the specification do not run through this chart."
}

func (w chartWords) panelTitle(name string) string {
	switch name {
	case spc.PanelMovingRange:
		return "Difference to the one before"
	case spc.PanelMovingRatio:
		return "Times apart from the one before"
	}
	return english.Result(w.v.Query.Result)
}

// panel is one strip as the module draws it. The limits of these charts are
// the same for every point.
func (w chartWords) panel(p spc.Panel) chartPanel {
	out := chartPanel{Name: p.Name, Title: w.panelTitle(p.Name), Unit: words.Unit(w.v.Unit), First: p.First, Values: drawn(p.Points), Signals: map[int]string{}}
	if p.Name == spc.PanelMovingRatio {
		out.Unit = ""
	}
	if len(p.Centre) > 0 {
		out.Centre = p.Centre[0]
	}
	if len(p.Low) > 0 {
		out.Low = &p.Low[0]
	}
	if len(p.High) > 0 {
		out.High = &p.High[0]
	}
	for _, s := range w.v.Signals {
		if s.Panel == p.Name {
			out.Signals[s.Point] = w.signal(s)
		}
	}
	return out
}

// drawn are values to six digits, which is finer than any screen: the exact
// ones stand in the table.
func drawn(values []float64) []float64 {
	out := make([]float64, len(values))
	for i, x := range values {
		out[i], _ = strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	}
	return out
}

// rounded shows decimal text with so many decimals.
func rounded(text string, decimals int) string {
	return words.Number(shown(text, decimals, "", ""))
}

// trimmed is a step of a gauge without trailing zeros.
func trimmed(x float64) string { return fmt.Sprintf("%g", x) }
