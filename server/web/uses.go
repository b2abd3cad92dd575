package web

import (
	"fmt"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// mostUses is how many items a lot's page names; the interface names all.
const mostUses = 300

// UseRow is one item that holds some of it.
type UseRow struct {
	Item, Path, Product string
	Pieces              string
	State               Mark
	Within              []Span
	Fitted, By          string
}

// lotUses makes the rows of a lot, and says how many of the items are released
// and here, and how many are out.
func (s *site) lotUses(p *LotPage, uses trace.Uses) (released, shipped int) {
	for i, u := range uses.Rows {
		switch u.Item.State {
		case models.StateReleased:
			released++
		case models.StateShipped, models.StateRecalled:
			shipped++
		}
		if i == mostUses {
			p.Rest = fmt.Sprintf("The last %d are shown of %d.", mostUses, len(uses.Rows))
		}
		if i >= mostUses {
			continue
		}
		p.Rows, p.Inside = append(p.Rows, s.useRow(u, uses.People)), p.Inside || len(u.Within) > 0
	}
	for _, loop := range uses.Loops {
		p.Loops = append(p.Loops, english.Join(names(loop)))
	}
	return released, shipped
}

func (s *site) useRow(u trace.Use, people map[string]string) UseRow {
	row := UseRow{Item: words.Serial(u.Item.Name()), Path: itemPath(pointed(u.Item.Serial), u.Item.ID), Product: u.Product, State: itemMark(u.Item.State), Fitted: s.day(u.FittedAt), By: people[u.FittedBy]}
	if row.Product == "" {
		row.Product = words.Sentence(english.Kind(u.Item.Kind))
	}
	row.Pieces = "in a part"
	if u.Possibly {
		row.Pieces = "possibly"
	}
	if u.Pieces > 0 {
		row.Pieces = words.Number(fmt.Sprint(u.Pieces))
		switch out := u.Pieces - u.Left; {
		case out == 0:
		case u.Left == 0:
			row.Pieces += ", taken out"
		default:
			row.Pieces += ", " + words.Number(fmt.Sprint(out)) + " taken out"
		}
	}
	for i, in := range u.Within {
		if i > 0 {
			row.Within = append(row.Within, Span{Text: ", "})
		}
		row.Within = append(row.Within, Span{Text: words.Serial(in.Name()), Mono: true, Path: itemPath(pointed(in.Serial), in.ID)})
	}
	return row
}

func names(items []models.Item) []string {
	var out []string
	for _, i := range items {
		out = append(out, words.Serial(i.Name()))
	}
	return out
}

// SourcesPage is everything that went into an item, as a tree.
type SourcesPage struct {
	Frame
	Serial, Path string
	Answer       string
	Tree         []SourceLine
}

// SourceLine is one part with its parts.
type SourceLine struct {
	Label string
	Spans []Span
	Note  string
	Again bool
	Tree  []SourceLine
}

func (s *site) sources(c *gin.Context) error {
	sources, err := s.services.Trace.Sources(c.Request.Context(), c.Param("serial"))
	if err != nil {
		return err
	}
	return show(c, "sources", s.sourcesPage(s.frame(c, "Everything in "+words.Serial(sources.Item.Name()), ""), sources))
}

func (s *site) sourcesPage(frame Frame, sources trace.Sources) SourcesPage {
	p := SourcesPage{Frame: frame, Serial: words.Serial(sources.Item.Name()), Path: itemPath(pointed(sources.Item.Serial), sources.Item.ID), Answer: "Nothing is recorded as built in"}
	if len(sources.Parts) > 0 {
		p.Answer = counted(sources.Items, "numbered part", "numbered parts") + " and " + plural(sources.Lots, "lot", "lots") + " went into it"
	}
	p.Tree = s.sourceLines(sources.Parts, sources.People)
	return p
}

func (s *site) sourceLines(list []trace.Source, people map[string]string) []SourceLine {
	var out []SourceLine
	for _, x := range list {
		f := x.Part
		l := SourceLine{Label: words.Sentence(english.Part(f.Role)), Note: s.day(f.FittedAt), Again: x.Again, Tree: s.sourceLines(x.Parts, people)}
		if f.Place != "" {
			l.Label += " " + f.Place
		}
		if by := people[f.FittedBy]; by != "" {
			l.Note += ", " + by
		}
		if f.Quantity > 1 {
			l.Spans = append(l.Spans, Span{Text: words.Number(fmt.Sprint(f.Quantity)) + " of "})
		}
		if x.Item != nil {
			l.Spans = append(l.Spans, Span{Text: words.Serial(f.Number), Mono: true, Path: itemPath(pointed(x.Item.Serial), x.Item.ID)})
		} else {
			l.Spans = append(l.Spans, Span{Text: "lot "}, Span{Text: f.LotCode, Mono: true, Path: lotPath(f.LotCode)})
		}
		if f.Description != "" {
			l.Spans = append(l.Spans, Span{Text: " " + f.Description})
		}
		if len(x.Possibly) > 0 {
			l.Spans = append(l.Spans, Span{Text: ", a bin: possibly of "})
			l.Spans = append(l.Spans, lotSpans(x.Possibly)...)
		}
		switch {
		case f.OutAt != nil:
			l.Note += "; taken out " + s.day(*f.OutAt)
		case f.TakenOut > 0:
			l.Note += fmt.Sprintf("; %d taken out", f.TakenOut)
		}
		out = append(out, l)
	}
	return out
}

// lotSpans names lots, joined as in a sentence.
func lotSpans(lots []models.Lot) []Span {
	var out []Span
	for i, l := range lots {
		switch {
		case i > 0 && i == len(lots)-1:
			out = append(out, Span{Text: " or "})
		case i > 0:
			out = append(out, Span{Text: ", "})
		}
		out = append(out, Span{Text: l.Code, Mono: true, Path: lotPath(l.Code)})
	}
	return out
}
