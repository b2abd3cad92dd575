package web

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// itemAnswer is the sentence over everything: what a clerk with the item in
// one hand needs to know. refusals are what the gate has against it.
func (s *site) itemAnswer(v trace.ItemView, refusals []models.Remark) string {
	if open := v.OpenHolds(); len(open) > 0 {
		return "On hold: " + s.fault(open[0].Code, open[0].RaisedAt)
	}
	latest := v.Latest()
	certificate := v.Certificate()
	switch {
	case v.Item.State == models.StateScrapped, v.Item.State == models.StateReturned:
		return words.Sentence(english.State(v.Item.State))
	case v.Item.Kind == models.KindKit && v.Item.State == models.StateShipped:
		return "A kit that was shipped"
	case v.Item.Kind == models.KindKit:
		return "A kit that is being packed"
	case latest == nil && v.Item.Kind != models.KindWheel && v.Item.Kind != models.KindPack:
		if into := v.Holder(); into != nil {
			return "Built into " + words.Serial(into.Item.Name())
		}
		return "In stock, not built in"
	case latest != nil && rebuilt(v, latest.Inspection.MeasuredAt):
		return "Parts were taken out since it was measured: measure it again"
	case latest == nil:
		return "Not inspected yet"
	case refused(refusals, models.OnCharge):
		return "On a charger: let it rest and measure it again"
	case refused(refusals, models.ChargedSince):
		return "Charged since it was measured: let it rest and measure it again"
	case refused(refusals, models.EmptiedSince):
		return "Discharged since it was last charged and measured: charge it, let it rest and measure it again"
	case refused(refusals, "not_read_since"):
		return "Passed every limit before it was in process again: measure it once more"
	case v.Item.Kind == models.KindBlock && latest.Inspection.Verdict == models.VerdictPass:
		return "Within every limit when it was last read"
	}
	switch latest.Inspection.Verdict {
	case models.VerdictFail:
		return failuresIn(*latest)
	case models.VerdictIncomplete:
		if missing := missing(*latest); missing != "" {
			return "Not complete: " + missing
		}
		if close := undecided(*latest); close != "" {
			return "Not decided: " + close
		}
		return "The last inspection is not complete"
	case models.VerdictProvisional:
		return "Passed provisionally: the rest before the reading was short"
	}
	every, left := everyLimit(*latest)
	switch {
	case certificate != nil && certificate.Certificate.InspectionID == latest.Inspection.ID:
		return "Passed " + every + ", and certified" + left
	case certificate != nil:
		return "Certified, and passed " + every + " again since" + left
	case lastVoid(v) != nil:
		return "Passed " + every + "; its certificate was voided" + left
	case !judged(latest.Inspection.Stage):
		return "Within " + every + " " + english.Stage(latest.Inspection.Stage) + "; the inspection that counts comes after"
	}
	return "Passed " + every + "; not certified yet" + left
}

// everyLimit says of what passed which limits these were, and names those that were
// not measured, as the certificate does.
func everyLimit(v models.InspectionView) (every, left string) {
	var names []string
	for _, r := range notMeasured(v) {
		names = append(names, lowered(english.Result(r.Code)))
	}
	if len(names) == 0 {
		return "every limit", ""
	}
	return "every limit that was measured", ". Not measured: " + strings.Join(names, "; ")
}

func refused(refusals []models.Remark, code string) bool {
	return slices.ContainsFunc(refusals, func(r models.Remark) bool { return r.Code == code })
}

// rebuilt says whether something was really taken out since a moment.
func rebuilt(v trace.ItemView, since time.Time) bool {
	return slices.ContainsFunc(v.Parts, func(p trace.PartView) bool {
		return slices.ContainsFunc(p.Out, func(r models.PartRemoval) bool { return r.Physical() && !r.RemovedAt.Before(since) })
	})
}

// judged says whether a pass at this stage is one that a certificate rests on.
func judged(stage string) bool { return stage != models.BeforeRelief }

func lastVoid(v trace.ItemView) *trace.CertificateView {
	for i := range v.Certificates {
		if v.Certificates[i].State == models.Void {
			return &v.Certificates[i]
		}
	}
	return nil
}

// failuresIn names the first failed result with its value and limit, and counts
// the others.
func failuresIn(v models.InspectionView) string {
	lines := resultLines(v)
	var first string
	more := 0
	for _, l := range lines {
		if !models.Failed(l.Verdict) {
			continue
		}
		if first != "" {
			more++
			continue
		}
		first = l.Name
		if l.Tick {
			first += ": checked and not found right"
		} else {
			first += ": " + words.Quantity(l.Value, l.UnitCode) + ", and must be " + l.Limit
		}
	}
	if first == "" {
		return "The last inspection did not pass"
	}
	if more > 0 {
		first += ", and " + plural(more, "result more fails", "results more fail")
	}
	return first
}

// undecided names the results that lie in the guard band of a rule which says
// neither yes nor no there.
func undecided(v models.InspectionView) string {
	var names []string
	for _, l := range resultLines(v) {
		if models.Undecided(l.Verdict) {
			names = append(names, fmt.Sprintf("%s, %s, lies too close to its limit", lowered(l.Name), words.Quantity(l.Value, l.UnitCode)))
		}
	}
	return english.Join(names)
}

// missing names what the specification asks for and was not measured.
func missing(v models.InspectionView) string {
	var names []string
	for _, r := range v.Inspection.Remarks {
		switch r.Code {
		case "not_measured":
			names = append(names, english.Characteristic(r.Values["characteristic"]))
		case "result_missing":
			names = append(names, lowered(english.Result(r.Values["result"])))
		}
	}
	if len(names) == 0 {
		return ""
	}
	if len(names) > 3 {
		names = append(names[:2], fmt.Sprintf("%d more", len(names)-2))
	}
	are := "is"
	if len(names) > 1 {
		are = "are"
	}
	return english.Join(names) + " " + are + " not there yet"
}

// lowered puts a name into the middle of a sentence.
func lowered(text string) string {
	if len(text) > 1 && text[1] >= 'a' && text[1] <= 'z' {
		return strings.ToLower(text[:1]) + text[1:]
	}
	return text
}

// itemFacts are the five facts in their fixed order.
func (s *site) itemFacts(v trace.ItemView) []Fact {
	if v.Item.Kind == models.KindKit { // What is in it is measured and certified, it is not.
		return []Fact{s.stateFact(v), s.holdFact(v)}
	}
	return []Fact{s.stateFact(v), s.certificateFact(v), s.inspectionFact(v), s.verdictFact(v), s.holdFact(v)}
}

func (s *site) stateFact(v trace.ItemView) Fact {
	f := Fact{Label: "State", Mark: itemMark(v.Item.State)}
	if into := v.Holder(); into != nil {
		f.Lines = []Span{{Text: "built into "}, {Text: words.Serial(into.Item.Name()), Mono: true, Path: itemPath(pointed(into.Item.Serial), into.Item.ID)}}
	} else {
		f.Lines = []Span{{Text: s.made(v.Item)}}
	}
	return f
}

func (s *site) certificateFact(v trace.ItemView) Fact {
	f := Fact{Label: "Certificate"}
	if c := v.Certificate(); c != nil {
		f.Mark = certificateMark(models.Issued)
		if v.Item.State == models.StateHeld {
			f.Mark = Mark{"bars", "Valid, but on hold", "hold"}
		}
		f.Lines = []Span{{Text: c.Certificate.Number, Mono: true}, {Text: fmt.Sprintf(" revision %d, %s", c.Certificate.Revision, s.day(c.Certificate.IssuedAt))}}
		return f
	}
	if c := lastVoid(v); c != nil {
		f.Mark = certificateMark(models.Void)
		f.Lines = []Span{{Text: c.Certificate.Number, Mono: true}, {Text: ", " + s.day(c.Change.ChangedAt) + ": " + c.Change.Reason}}
		return f
	}
	if v.Item.Kind == models.KindBlock {
		f.None = "that of its pack"
		return f
	}
	f.None = "none yet"
	return f
}

func (s *site) inspectionFact(v trace.ItemView) Fact {
	f := Fact{Label: "Last inspection"}
	latest := v.Latest()
	if latest == nil {
		f.None = "none yet"
		return f
	}
	f.Value = s.day(latest.Inspection.MeasuredAt)
	f.Lines = []Span{{Text: english.Stage(latest.Inspection.Stage) + ", by " + latest.Person}}
	return f
}

func (s *site) verdictFact(v trace.ItemView) Fact {
	f := Fact{Label: "Verdicts"}
	latest := v.Latest()
	if latest == nil {
		f.None = "none yet"
		return f
	}
	f.Mark = verdictMark(latest.Inspection.Verdict)
	f.Value = shareWords(*latest)
	specification := latest.Specification
	f.Lines = []Span{{Text: fmt.Sprintf("specification %d, %s", specification.Revision, rulesOf(specification)), Path: "/specifications/" + specification.ID}}
	return f
}

// share counts the judged results of an inspection and those that passed.
func share(v models.InspectionView) (passed, all int) {
	for _, r := range v.Results {
		switch r.Verdict {
		case models.VerdictNone, "":
		case models.VerdictPass, models.VerdictConformity:
			passed++
			all++
		default:
			all++
		}
	}
	return passed, all
}

// shareWords says how many results passed, or failed where one did: beside the
// verdict of a failed inspection a bare share reads either way.
func shareWords(v models.InspectionView) string {
	passed, all := share(v)
	failed := 0
	for _, r := range v.Results {
		if models.Failed(r.Verdict) {
			failed++
		}
	}
	switch {
	case all == 0:
		return ""
	case failed > 0:
		return english.Of(failed, all) + " failed"
	case passed < all:
		return english.Of(passed, all) + " passed"
	}
	return english.Of(passed, all)
}

func (s *site) holdFact(v trace.ItemView) Fact {
	f := Fact{Label: "Holds"}
	open := v.OpenHolds()
	switch {
	case len(open) > 0:
		f.Mark = Mark{"bars", plural(len(open), "open hold", "open holds"), "hold"}
		f.Lines = []Span{{Text: "since " + s.day(open[len(open)-1].RaisedAt) + ", by " + name(v.People, open[len(open)-1].RaisedBy)}}
	case len(v.Holds) > 0:
		f.Value = "none open"
		f.Lines = []Span{{Text: plural(len(v.Holds), "was lifted", "were lifted")}}
	default:
		f.None = "none so far"
	}
	return f
}

// itemTook says in one line what the wheel took until it first passed after
// relief: nobody was asked, it follows from when forms were opened and sent.
func itemTook(v trace.ItemView) string {
	for _, x := range v.Inspections {
		if i := x.Inspection; i.PassRounds > 0 && i.SupersededBy == nil {
			return "Passed after relief in " + plural(i.PassRounds, "round", "rounds") + ", " + plural(i.PassMinutes, "minute", "minutes") + " at the stand."
		}
	}
	return ""
}

// itemBand is what must not be missed: an open hold, a failed recheck of a
// certified item.
func (s *site) itemBand(frame Frame, v trace.ItemView) *Band {
	open := v.OpenHolds()
	latest := v.Latest()
	switch {
	case len(open) > 0:
		h := open[0]
		waits := "No certificate can be issued until an inspector decides."
		if v.Item.Kind == models.KindKit {
			waits = "It does not leave until an inspector decides."
		}
		b := &Band{Tone: "hold", Shape: "bars", Title: "On hold since " + s.day(h.RaisedAt) + ": " + s.fault(h.Code, h.RaisedAt),
			Text: "Raised by " + name(v.People, h.RaisedBy) + ": " + stopped(english.HoldReason(h.Code, h.Reason)) + " " + waits}
		if h.LotID != nil {
			b.Title += " (a lot built in)"
		}
		return b
	case latest != nil && latest.Inspection.Recheck && latest.Inspection.Verdict == models.VerdictFail:
		return &Band{Tone: "fail", Shape: "cross", Title: "The recheck did not pass", Text: "The certificate rests on an earlier inspection. Decide whether to void it."}
	case latest != nil && len(latest.Inspection.Remarks) > 0 && latest.Inspection.Verdict != models.VerdictIncomplete:
		return nil
	}
	return nil
}
