package web

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tracewright/models"
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

// pointName is what a point is called: its item, or its week or lot with how many
// items it stands for.
func (w chartWords) pointName(p monitor.Point) string {
	switch w.v.Grouped {
	case monitor.ByWeek:
		return "Week of " + words.Date(p.Group) + ", " + english.Of(p.Count, p.Size)
	case monitor.ByLot:
		return p.Group + ", " + plural(p.Size, "block", "blocks")
	}
	return words.Serial(p.Serial)
}

// number shows a height of a phase's picture.
func (w chartWords) number(x float64, ph monitor.Phase) string {
	if !ph.Scaled() {
		return words.Number(fmt.Sprintf("%.2f", x))
	}
	return words.Number(fmt.Sprintf("%.*f", w.v.Decimals, x))
}

// quantity shows it with what it is counted in.
func (w chartWords) quantity(x float64, ph monitor.Phase) string {
	switch ph.Values.Name {
	case spc.PanelRatios:
		return w.number(x, ph) + " times"
	case spc.PanelStandardised, spc.PanelDeviations:
		return w.number(x, ph) + " standard deviations"
	}
	return words.Quantity(fmt.Sprintf("%.*f", w.v.Decimals, x), w.v.Unit)
}

// shownAs is what the picture counts in where that is not the unit of the result.
func (w chartWords) shownAs() string {
	counted := w.v.Present().Counted()
	if counted == "" {
		return ""
	}
	return words.Unit(counted)
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
	if w.v.Grouped == monitor.ByWeek {
		text += ", share of “no” by week"
	}
	return text
}

// answer is the title and the line under it.
func (w chartWords) answer() (title, sub string) {
	f, ph := w.v.Finding, w.v.Present()
	title = words.Sentence(english.Remark(f.Title))
	n := len(w.v.Points)
	switch facts := ph.Limits.Facts; {
	case n == 0:
		return title, fmt.Sprintf("Limits need %s.", w.items(w.v.Needed))
	case facts.NoLimitsReason == spc.NoLimitsFewPoints:
		return title, "Until then the points stand alone: nothing can be called unusual."
	case facts.NoLimitsReason == spc.NoLimitsResolution:
		return title, fmt.Sprintf("It reads in steps of %s, more than the %ss differ among themselves. Points only, no limits.", words.Quantity(trimmed(facts.Resolution), w.v.Unit), w.kind)
	case facts.NoLimits:
		return title, fmt.Sprintf("%s, and not one differs from the next: there is no spread to find limits from.", words.Sentence(w.items(facts.N)))
	}
	if f.Change != nil {
		return title, w.change(*f.Change)
	}
	if ph.Values.Low == nil || ph.Values.High == nil {
		return title, fmt.Sprintf("%s since %s; centre %s.", words.Sentence(w.items(ph.To-ph.From)), w.day(w.v.Points[ph.From].MeasuredAt), w.quantity(ph.Values.Centre[0], ph))
	}
	return title, fmt.Sprintf("%s since %s; centre %s, limits of one %s %s to %s.", words.Sentence(w.items(ph.To-ph.From)), w.day(w.v.Points[ph.From].MeasuredAt),
		w.quantity(ph.Values.Centre[0], ph), w.kind, w.number(ph.Values.Low[ph.To-ph.From-1], ph), w.quantity(ph.Values.High[ph.To-ph.From-1], ph))
}

// change says how far the level moved, with its interval.
func (w chartWords) change(c monitor.Change) string {
	t := c.Texts()
	said := func(text string) string { return words.Quantity(text, c.Unit) }
	since := "Since"
	if !c.Until.IsZero() {
		since = "From " + w.day(c.Since) + " to " + w.day(c.Until)
	}
	before := w.items(c.NBefore)
	if c.NBefore == 0 { // It began before the points that are shown.
		before = "the middle of the limits"
	}
	text := fmt.Sprintf("Before: %s (%s). %s: %s (%s). Change %s", said(t["before"]), before, since, said(t["after"]), w.items(c.N), signedQuantity(t["by"], c.Unit))
	if c.HasInterval {
		text += fmt.Sprintf(", 95 %% interval %s to %s", words.Number(t["low"]), words.Number(t["high"]))
	}
	return text + "; likely a little high, because it was picked for standing out."
}

func signedQuantity(text, unit string) string {
	if strings.HasPrefix(text, "-") || strings.Trim(text, "0.") == "" {
		return words.Quantity(text, unit)
	}
	return "+" + words.Quantity(text, unit)
}

// bands are what has to be known before anything is read off the picture.
func (w chartWords) bands() []string {
	var out []string
	if ph := w.v.Present(); ph.Changed {
		out = append(out, fmt.Sprintf("The limits belong to specification %d; judge against %d after a new baseline.", ph.Revision, ph.RevisionNow))
	}
	for _, name := range sortedNames(w.v.Waiting) {
		of := name
		if of == "" {
			of = w.kind + "s without a product"
		}
		out = append(out, fmt.Sprintf("%s: %s left out, until the product has enough for a middle of its own.", of, w.items(w.v.Waiting[name])))
	}
	return out
}

func sortedNames(m map[string]int) []string {
	var names []string
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// span says since when, and until when, a smoothed mean was out.
func (w chartWords) span(g monitor.Signal) string {
	text := "Best estimate of the start: " + w.day(g.Began.MeasuredAt) + "."
	if g.Open {
		return text + " It has not come back since."
	}
	return text + " It came back on " + w.day(w.v.Points[g.Last].MeasuredAt) + "."
}

// short is what stands beside a signal in the picture.
func (w chartWords) short(g monitor.Signal) string {
	when := strings.TrimSuffix(w.day(g.Raised.MeasuredAt), fmt.Sprintf(" %d", g.Raised.MeasuredAt.Year()))
	switch {
	case g.Settled():
		return when + ": " + english.Cause(g.Causes[len(g.Causes)-1].Code)
	case g.Panel == spc.PanelSmoothed && g.Side == spc.SideHigh:
		return when + ": the smoothed mean passed its upper limit"
	case g.Panel == spc.PanelSmoothed:
		return when + ": the smoothed mean passed its lower limit"
	case g.Reason.Code == monitor.SpreadWithin:
		return when + ": spread within the lot"
	case g.Reason.Code == spc.BeyondLimit && g.Side == spc.SideHigh:
		return when + ": above the limit"
	case g.Reason.Code == spc.BeyondLimit:
		return when + ": below the limit"
	}
	return when + ": a pattern"
}

func (w chartWords) cause(c models.SignalCause, people map[string]string, day string) string {
	text := words.Sentence(english.Cause(c.Code))
	for _, more := range []string{c.Note, c.Action} {
		if more != "" {
			text += ". " + words.Sentence(more)
		}
	}
	return stopped(text) + " " + name(people, c.MadeBy) + ", " + day + "."
}

// happening says what happened, in a sentence.
func (w chartWords) happening(h models.Happening, people map[string]string) string {
	who := ""
	if h.Person != "" && h.Kind != models.HappenedCalibration {
		who = " (" + name(people, h.Person) + ")"
	}
	return words.Sentence(w.happenedShort(h)) + who
}

// happenedShort is what stands at its mark in the picture.
func (w chartWords) happenedShort(h models.Happening) string {
	switch h.Kind {
	case models.HappenedSpecification:
		text := "specification " + h.Name
		if h.Detail != "" {
			text += " of " + h.Detail
		}
		return text
	case models.HappenedCalibration:
		return "gauge " + h.Name + map[string]string{"good": " calibrated", "found_out": " calibrated, was out", "out": " found out"}[h.Detail]
	case models.HappenedBaseline:
		if h.Detail != "" {
			return h.Detail
		}
		return "new baseline"
	case models.HappenedAction:
		return "corrective action " + h.Name + " done"
	}
	return h.Detail
}

func (w chartWords) phaseOf(i int) monitor.Phase {
	for _, ph := range w.v.Phases {
		if i < ph.To {
			return ph
		}
	}
	return w.v.Present()
}

// phaseShort names the limits of a phase in the picture.
func (w chartWords) phaseShort(ph monitor.Phase) string {
	n := w.items(ph.Limits.Facts.N)
	if ph.Baseline != nil {
		return "baseline, " + n + ", frozen"
	}
	return "limits of the first " + n
}

// phases tells them, the newest first.
func (w chartWords) phases() []ChartPhase {
	var out []ChartPhase
	for i := len(w.v.Phases) - 1; i >= 0; i-- {
		ph := w.v.Phases[i]
		text := "Nobody has chosen a baseline: the limits are those of the first " + w.items(ph.Limits.Facts.N) + "."
		if len(ph.Limits.Groups) > 0 && ph.Baseline == nil {
			text = "Nobody has chosen a baseline: the limits are those of the first 30 of each product, " + w.items(ph.Limits.Facts.N) + " in all."
		}
		if b := ph.Baseline; b != nil {
			text = fmt.Sprintf("Baseline of %s, frozen on %s", w.items(ph.Limits.Facts.N), w.day(b.MadeAt))
			if b.Note != "" {
				text += ": " + b.Note
			}
			text = stopped(text)
			for _, e := range ph.Limits.Excluded {
				text += fmt.Sprintf(" Without %s: %s", words.Serial(e.Name), stopped(e.Reason))
			}
			if ph.Changed {
				text += fmt.Sprintf(" Its limits belong to specification %d, now %d is in force.", ph.Revision, ph.RevisionNow)
			}
		}
		out = append(out, ChartPhase{w.day(w.v.Points[ph.From].MeasuredAt), text})
	}
	return out
}

func (w chartWords) describe() string {
	n := len(w.v.Points)
	if n == 0 {
		return ""
	}
	text := fmt.Sprintf("%s in the order in which they were measured", words.Sentence(w.items(n)))
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range w.v.Points {
		low, high = math.Min(low, p.ValueF), math.Max(high, p.ValueF)
	}
	text += fmt.Sprintf(", from %s to %s", words.Number(fmt.Sprintf("%.*f", w.v.Decimals, low)), words.Quantity(fmt.Sprintf("%.*f", w.v.Decimals, high), w.v.Unit))
	return text + ". " + plural(len(w.v.Signals), "signal", "signals") + ". Left and right arrow keys go from point to point, page keys from signal to signal, Enter opens the item, plus and minus zoom, B and E set begin and end of a baseline; the table below holds the same."
}

// trimmed is a step of a gauge without trailing zeros.
func trimmed(x float64) string { return fmt.Sprintf("%g", x) }
