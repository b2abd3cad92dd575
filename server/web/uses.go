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

// LotPage says where a lot went.
type LotPage struct {
	Frame
	Code, What string
	Answer     string
	Facts      []LotFact
	Rows       []UseRow
	Inside     bool   // some of them are built into something in their turn
	Rest       string // what is not shown
	Loops      []string
	HoldPath   string
	LabelPath  string
}

// LotFact is a figure with its name.
type LotFact struct{ Label, Value string }

// UseRow is one item that holds some of it.
type UseRow struct {
	Item, Path, Product string
	Pieces              string
	State               Mark
	Within              []Span
	Fitted, By          string
}

func (s *site) lot(c *gin.Context) error {
	uses, err := s.services.Trace.UsesOfLot(c.Request.Context(), c.Param("code"))
	if err != nil {
		return err
	}
	return show(c, "lot", s.lotPage(s.frame(c, "Lot "+uses.Lot.Code, "/lots"), uses))
}

func (s *site) lotPage(frame Frame, uses trace.Uses) LotPage {
	lot := uses.Lot
	p := LotPage{Frame: frame, Code: lot.Code, What: words.Sentence(english.Material(lot.Material)), HoldPath: lotPath(lot.Code) + "/hold", LabelPath: lotPath(lot.Code) + "/label", Answer: "Nothing of this lot is built in"}
	for _, more := range []string{lot.Description, lot.Supplier} {
		if more != "" {
			p.What += ", " + more
		}
	}
	out := 0
	for _, u := range uses.Rows {
		if u.Item.State == models.StateReleased {
			out++
		}
	}
	if n := len(uses.Rows); n > 0 {
		p.Answer = counted(n, "item holds it", "items hold it") + ", " + words.Number(fmt.Sprint(out)) + " released"
	}
	fact := func(label, value string) {
		if value != "" {
			p.Facts = append(p.Facts, LotFact{label, value})
		}
	}
	fact("Received", s.day(lot.ReceivedAt))
	if lot.Quantity > 0 {
		fact("Pieces", words.Number(fmt.Sprint(lot.Quantity)))
	}
	fact("Built in", words.Number(fmt.Sprint(uses.Pieces)))
	switch left := lot.Quantity - uses.Pieces; {
	case lot.Quantity == 0:
	case left < 0:
		fact("More than received", words.Number(fmt.Sprint(-left)))
	default:
		fact("Not built in", words.Number(fmt.Sprint(left)))
	}
	fact("Supplier’s lot", lot.SupplierCode)
	fact("Date code", lot.DateCode)
	for i, u := range uses.Rows {
		if i == mostUses {
			p.Rest = fmt.Sprintf("The last %d are shown of %d.", mostUses, len(uses.Rows))
			break
		}
		p.Rows, p.Inside = append(p.Rows, s.useRow(u, uses.People)), p.Inside || len(u.Within) > 0
	}
	for _, loop := range uses.Loops {
		p.Loops = append(p.Loops, english.Join(names(loop)))
	}
	return p
}

func (s *site) useRow(u trace.Use, people map[string]string) UseRow {
	row := UseRow{Item: words.Serial(u.Item.Name()), Path: itemPath(pointed(u.Item.Serial), u.Item.ID), Product: u.Product, State: itemMark(u.Item.State), Fitted: s.day(u.FittedAt), By: people[u.FittedBy]}
	if row.Product == "" {
		row.Product = words.Sentence(english.Kind(u.Item.Kind))
	}
	row.Pieces = "in a part"
	if u.Pieces > 0 {
		row.Pieces = words.Number(fmt.Sprint(u.Pieces))
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
		out = append(out, l)
	}
	return out
}
