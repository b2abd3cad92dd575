package web

import (
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
)

// ResultLine is one result as a table shows it.
type ResultLine struct {
	Name     string
	Value    string // rounded for reading, never across a limit
	UnitCode string
	Unit     string
	Limit    string // "at most 0.30 mm"
	Accept   string // under a guarded rule
	U        string
	Verdict  string
	Reason   string
	Tick     bool
	Method   string
	Readings int
	Missed   bool // it failed: the row is marked
	Unread   bool // it was not measured, and has no verdict
}

// resultLines are the results of the whole item, in the order of the
// specification, with those limited ones that its readings do not give. Results of
// single blocks stand in the drawing of the pack.
func resultLines(v models.InspectionView) []ResultLine {
	order := map[string]int{}
	for _, c := range v.Specification.Characteristics {
		for _, l := range c.Results {
			order[l.Result] = len(order)
		}
	}
	results := slices.Concat(v.Results, notMeasured(v))
	rank := func(code string) int {
		if n, ok := order[code]; ok {
			return n
		}
		return len(order)
	}
	slices.SortStableFunc(results, func(a, b models.Result) int { return rank(a.Code) - rank(b.Code) })
	var lines []ResultLine
	for _, r := range results {
		if r.Position != "" {
			continue
		}
		limit, c, _ := v.Specification.Limit(r.Code)
		lines = append(lines, resultLine(r, c.Printed(limit)))
	}
	return lines
}

// notMeasured are the limited results that an inspection does not have, without a
// value: its method does not give them, or they were left out.
func notMeasured(v models.InspectionView) []models.Result {
	var missing []models.Result
	for _, c := range v.Specification.Characteristics {
		for _, l := range c.Results {
			if !l.HasLimit() || slices.ContainsFunc(v.Results, func(r models.Result) bool { return r.Code == l.Result }) {
				continue
			}
			reason := "missing"
			if slices.ContainsFunc(v.Sets, func(s models.ReadingSet) bool { return s.Code == c.Code && !slices.Contains(l.Required, s.Method) }) {
				reason = "not_measured"
			}
			missing = append(missing, models.Result{Code: l.Result, Unit: l.Unit, Low: l.Low, High: l.High, Verdict: models.VerdictNone, Reason: reason})
		}
	}
	return missing
}

func resultLine(r models.Result, decimals int) ResultLine {
	l := ResultLine{Name: english.Result(r.Code), UnitCode: r.Unit, Unit: words.Unit(r.Unit), Verdict: r.Verdict, Method: english.Method(r.Method), Readings: r.Readings,
		Missed: models.Failed(r.Verdict)}
	if r.Value == "" {
		l.Unread = true
		l.Value, l.Unit, l.Limit, l.Reason = "not measured", "", between(r.Low, r.High, r.Unit), english.Reason(r.Reason, nil)
		return l
	}
	if r.ValueF == nil {
		l.Tick, l.Unit = true, ""
		l.Value = english.Choice(r.Value)
		l.Reason = english.Reason(r.Reason, nil)
		return l
	}
	l.Value = conformity.ShownText(r.Value, decimals, r.Low, r.High)
	l.Limit = between(r.Low, r.High, r.Unit)
	l.Accept = between(r.AcceptLow, r.AcceptHigh, r.Unit)
	if r.U != "" {
		l.U = words.Quantity(r.U, r.Unit)
	}
	if r.Verdict != models.VerdictNone {
		l.Reason = english.Because(words.Judged{Reason: r.Reason, Value: l.Value, Unit: r.Unit, Low: r.Low, High: r.High, AcceptLow: r.AcceptLow, AcceptHigh: r.AcceptHigh})
	}
	return l
}

// between says a limit in words: "at most 0.30 mm", "800 to 1300 N".
func between(low, high, unit string) string {
	switch {
	case low != "" && high != "":
		return words.Number(low) + " to " + words.Quantity(high, unit)
	case high != "":
		return "at most " + words.Quantity(high, unit)
	case low != "":
		return "at least " + words.Quantity(low, unit)
	}
	return ""
}

// tickWords joins the ticked points into a sentence; those not found right
// stand in the table instead.
func tickWords(lines []ResultLine) string {
	var right, without []string
	for _, l := range lines {
		switch {
		case !l.Tick:
		case l.Value == english.Choice("na"):
			without = append(without, lowered(l.Name))
		case l.Verdict == models.VerdictPass:
			right = append(right, lowered(l.Name))
		}
	}
	var sentences []string
	if len(right) > 0 {
		sentences = append(sentences, "Checked and found right: "+english.Join(right)+".")
	}
	if len(without) > 0 {
		sentences = append(sentences, "Does not apply: "+english.Join(without)+".")
	}
	return strings.Join(sentences, " ")
}
