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

// builtIn says what went into the item, and what it went into.
func (s *site) builtIn(v trace.ItemView) (built, into []BuiltLine) {
	for _, p := range v.Parts {
		if p.InNow() {
			built = withLine(built, BuiltLine{Label: partLabel(p.Part), Spans: partSpans(p, p.Part.Left())}, p.Item != nil)
		}
	}
	for _, f := range v.FittedInto {
		label := s.day(f.Part.FittedAt)
		if f.Part.OutAt != nil {
			label += " to " + s.day(*f.Part.OutAt)
		}
		into = append(into, BuiltLine{Label: label, Spans: []Span{{Text: english.Kind(f.Item.Kind) + " "}, {Text: words.Serial(f.Item.Name()), Mono: true, Path: itemPath(pointed(f.Item.Serial), f.Item.ID)}}})
	}
	return built, into
}

// withLine adds what is built in at one place to the line that the place has
// already: a motor's number, then the lot it came with.
func withLine(lines []BuiltLine, l BuiltLine, numbered bool) []BuiltLine {
	i := slices.IndexFunc(lines, func(x BuiltLine) bool { return x.Label == l.Label })
	if i < 0 {
		return append(lines, l)
	}
	first, then := lines[i].Spans, l.Spans
	if numbered {
		first, then = then, first
	}
	// A lot of motors is described as the motor is; that is said once.
	then = slices.DeleteFunc(slices.Clone(then), func(x Span) bool {
		return slices.ContainsFunc(first, func(y Span) bool { return strings.TrimSpace(x.Text) == strings.TrimSpace(y.Text) })
	})
	lines[i].Spans = slices.Concat(first, []Span{{Text: ", "}}, then)
	return lines
}

func (s *site) holdLines(frame Frame, v trace.ItemView) []HoldLine {
	var lines []HoldLine
	for _, h := range v.Holds {
		l := HoldLine{Mark: Mark{"bars", "Open", "hold"}, Code: words.Sentence(s.fault(h.Hold.Code, h.Hold.RaisedAt)), Reason: words.Sentence(english.HoldReason(h.Hold.Code, h.Hold.Reason)),
			Raised: s.minute(h.Hold.RaisedAt) + ", " + name(v.People, h.Hold.RaisedBy)}
		if h.Lot != "" {
			l.Code += " (lot " + h.Lot + ")"
		}
		if h.Lift != nil {
			l.Mark = Mark{"ring", "Lifted", "none"}
			l.Lifted = s.minute(h.Lift.LiftedAt) + ", " + name(v.People, h.Lift.LiftedBy) + ": " + english.HoldLift(h.Lift.Code) + ". " + stopped(h.Lift.Reason)
		} else if frame.Actor.May(models.ActLiftHold) {
			l.Act = &Act{Text: "Lift", Path: "/holds/" + h.Hold.ID + "/lift"}
		}
		lines = append(lines, l)
	}
	return lines
}

func certificatePath(c models.Certificate) string {
	return fmt.Sprintf("/certificates/%s/%d", c.Number, c.Revision)
}

func (s *site) paperLines(frame Frame, v trace.ItemView) []PaperLine {
	var lines []PaperLine
	for _, c := range v.Certificates {
		l := PaperLine{Number: c.Certificate.Number, Revision: c.Certificate.Revision, Path: certificatePath(c.Certificate), State: certificateMark(c.State),
			Issued: s.day(c.Certificate.IssuedAt) + ", " + name(v.People, c.Certificate.IssuedBy)}
		if c.Certificate.Reason != "" {
			l.Note = c.Certificate.Reason
		}
		if c.Change != nil {
			l.Note = s.day(c.Change.ChangedAt) + ", " + name(v.People, c.Change.ChangedBy)
			if c.Change.Reason != "" {
				l.Note += ": " + c.Change.Reason
			}
		}
		if c.State != models.Issued {
			l.Original = l.Path + "/original"
		}
		l.Printed = timesPrinted(v.Prints, c.Certificate.ID)
		if c.State == models.Issued {
			l.Print = &Act{Text: printText(l.Printed), Path: l.Path + "/print", Prints: true}
		}
		if c.State == models.Issued && frame.Actor.May(models.ActVoid) {
			l.Act = &Act{Text: "Void", Path: l.Path + "/void"}
		}
		lines = append(lines, l)
	}
	return lines
}

// madeAt is when an item came to be: one of a printed roll with its first scan,
// which may reach the office after it was measured.
func madeAt(v trace.ItemView) time.Time {
	at := v.Item.CreatedAt
	if v.Item.Origin != "roll" {
		return at
	}
	for _, in := range v.Inspections {
		if in.Inspection.MeasuredAt.Before(at) {
			at = in.Inspection.MeasuredAt
		}
	}
	return at
}

// history tells what happened, oldest first, from the records themselves.
func (s *site) history(v trace.ItemView) []HistoryLine {
	type line struct {
		at time.Time
		HistoryLine
	}
	var lines []line
	add := func(at time.Time, what, verdict, who string, text ...Span) {
		lines = append(lines, line{at, HistoryLine{Day: s.day(at), What: what, Verdict: verdict, Text: text, Who: who}})
	}
	made := "Made"
	text := "Entered by hand."
	switch v.Item.Origin {
	case "roll":
		text = "First scan of a serial from a printed roll."
	case "received":
		made, text = "Received", "From "+v.Item.Supplier+"."
	case "demo":
		text = "Part of the invented shop."
	}
	if v.Item.OlderThanLog() {
		if v.Item.BuiltOn != "" {
			add(v.Item.MadeAt(), "Built", "", "", Span{Text: "Before this log: how it was made and measured then is not known here."})
		}
		made, text = "Entered", "It is older than this log."
		if v.Item.MakerNumber != nil {
			text += " The number on it was " + *v.Item.MakerNumber + "."
		}
	}
	add(madeAt(v), made, "", name(v.People, v.Item.CreatedBy), Span{Text: text})
	for _, in := range v.Inspections {
		i := in.Inspection
		what := "Inspected"
		if i.Supersedes != nil {
			what = "Corrected"
		}
		sentence := " " + english.Stage(i.Stage)
		if counts := shareWords(in); counts != "" {
			sentence = " " + counts + ", " + english.Stage(i.Stage)
		}
		if i.Place != "" {
			sentence += ", " + i.Place
		}
		sentence += "."
		if i.Supersedes != nil && i.Reason != "" {
			sentence += " Reason: " + stopped(i.Reason)
		}
		if i.SupersededBy != nil {
			sentence += " Replaced by a correction."
		}
		add(i.MeasuredAt, what, i.Verdict, in.Person, Span{Text: sentence})
	}
	for _, h := range v.Holds {
		add(h.Hold.RaisedAt, "Held", "", name(v.People, h.Hold.RaisedBy), Span{Text: words.Sentence(s.fault(h.Hold.Code, h.Hold.RaisedAt)) + ". " + words.Sentence(stopped(english.HoldReason(h.Hold.Code, h.Hold.Reason)))})
		if h.Lift != nil {
			add(h.Lift.LiftedAt, "Hold lifted", "", name(v.People, h.Lift.LiftedBy), Span{Text: words.Sentence(english.HoldLift(h.Lift.Code)) + ". " + stopped(h.Lift.Reason)})
		}
	}
	for _, n := range v.Nonconformities {
		number := Span{Text: n.Number, Mono: true, Path: nonconformityPath(n.Number)}
		add(n.OpenedAt, "Nonconforming", "", name(v.People, n.OpenedBy), number, Span{Text: " opened: " + s.fault(n.Code, n.OpenedAt) + ". " + stopped(words.Sentence(n.Note))})
		for _, step := range n.Steps {
			l := s.nonconformityLine(step, v.People)
			add(step.MadeAt, "Nonconforming", "", l.Who, number, Span{Text: " " + stopped(lowered(l.What)) + " " + l.Why})
		}
	}
	for _, c := range v.Certificates {
		number := Span{Text: c.Certificate.Number, Mono: true, Path: certificatePath(c.Certificate)}
		issued := fmt.Sprintf(" revision %d issued.", c.Certificate.Revision)
		if c.Certificate.Reason != "" {
			issued += " " + stopped(c.Certificate.Reason)
		}
		add(c.Certificate.IssuedAt, "Certificate", "", name(v.People, c.Certificate.IssuedBy), number, Span{Text: issued})
		if c.Change != nil {
			add(c.Change.ChangedAt, words.Sentence(english.State(c.State)), "", name(v.People, c.Change.ChangedBy), number, Span{Text: fmt.Sprintf(" revision %d. %s", c.Certificate.Revision, c.Change.Reason)})
		}
	}
	for _, p := range v.Prints {
		switch i := slices.IndexFunc(v.Certificates, func(c trace.CertificateView) bool { return c.Certificate.ID == p.SubjectID }); {
		case i >= 0:
			c := v.Certificates[i].Certificate
			add(p.PrintedAt, "Printed", "", name(v.People, p.PrintedBy), Span{Text: "Certificate "}, Span{Text: c.Number, Mono: true, Path: certificatePath(c)}, Span{Text: fmt.Sprintf(" revision %d.", c.Revision)})
		default:
			add(p.PrintedAt, "Printed", "", name(v.People, p.PrintedBy), Span{Text: words.Sentence(printSays(p)) + "."})
		}
	}
	for _, f := range v.FittedInto {
		add(f.Part.FittedAt, "Built in", "", name(v.People, f.Part.FittedBy), Span{Text: "Into " + english.Kind(f.Item.Kind) + " "}, Span{Text: words.Serial(f.Item.Name()), Mono: true, Path: itemPath(pointed(f.Item.Serial), f.Item.ID)})
	}
	for _, p := range v.Parts {
		for _, r := range p.Out {
			add(r.RemovedAt, "Taken out", "", name(v.People, r.RemovedBy), append([]Span{{Text: partLabel(p.Part) + ", "}}, append(partSpans(p, r.Quantity), Span{Text: ": " + english.Removal(r.Code) + "; " + english.Fate(r.Fate) + "."})...)...)
		}
	}
	for _, f := range v.FittedInto {
		if f.Part.OutAt != nil {
			add(*f.Part.OutAt, "Taken out", "", "", Span{Text: "Of " + english.Kind(f.Item.Kind) + " "}, Span{Text: words.Serial(f.Item.Name()), Mono: true, Path: itemPath(pointed(f.Item.Serial), f.Item.ID)}, Span{Text: "."})
		}
	}
	slices.SortStableFunc(lines, func(a, b line) int { return a.at.Compare(b.at) })
	out := make([]HistoryLine, len(lines))
	for i, l := range lines {
		out[i] = l.HistoryLine
	}
	return out
}
