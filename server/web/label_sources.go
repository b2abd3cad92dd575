package web

import (
	"context"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/labels"
)

// itemLabel finds the item whose label is wanted.
func (s *site) itemLabel(c *gin.Context) (labelSource, error) {
	v, err := s.services.Trace.Glance(c.Request.Context(), c.Param("serial"), "")
	if err != nil {
		return labelSource{}, err
	}
	path := itemPath(pointed(v.Item.Serial), v.Item.ID)
	page := LabelPage{Frame: s.frame(c, "Label", ""), About: words.Serial(v.Item.Name()), Mono: true, Title: "Print its label", Path: path + "/label", Look: path + "/label.pdf", Back: path,
		Says: "The same number every time. Each print is a line of the item’s history; looking is none.", Printed: s.printedLines(labelsAmong(v.Prints), v.People)}
	return labelSource{page: page, file: "label-" + pointed(v.Item.Serial) + ".pdf", hub: v.Item.Kind == models.KindWheel, copies: "How many", batch: func(ctx context.Context, _ func(string) string, ask labels.Ask) (labels.Batch, error) {
		return s.services.Labels.Items(ctx, []string{v.Item.ID}, ask)
	}}, nil
}

// labelsAmong leaves prints of certificates out.
func labelsAmong(prints []models.LabelPrint) []models.LabelPrint {
	return slices.DeleteFunc(slices.Clone(prints), func(p models.LabelPrint) bool { return p.What == models.PrintCertificate })
}

// lotLabel finds the lot whose label is wanted.
func (s *site) lotLabel(c *gin.Context) (labelSource, error) {
	ctx := c.Request.Context()
	uses, err := s.services.Trace.UsesOfLot(ctx, c.Param("code"))
	if err != nil {
		return labelSource{}, err
	}
	prints, err := s.services.Labels.PrintsOf(ctx, uses.Lot.ID)
	if err != nil {
		return labelSource{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return labelSource{}, err
	}
	path := lotPath(uses.Lot.Code)
	page := LabelPage{Frame: s.frame(c, "Label", "/lots"), About: uses.Lot.Code, Mono: true, Title: "Print the lot’s label", Path: path + "/label", Look: path + "/label.pdf", Back: path,
		Says: "For the bin or shelf. Where a spoke’s or a block’s lot is asked for, its code is scanned.", Printed: s.printedLines(prints, people)}
	return labelSource{page: page, file: "label-of-lot.pdf", copies: "How many", batch: func(ctx context.Context, _ func(string) string, ask labels.Ask) (labels.Batch, error) {
		return s.services.Labels.Lot(ctx, uses.Lot.Code, ask)
	}}, nil
}

// rollLabels finds the roll printed ahead, and where its printing goes on.
func (s *site) rollLabels(c *gin.Context) (labelSource, error) {
	ctx := c.Request.Context()
	id := c.Param("id")
	state, err := s.services.Labels.RollState(ctx, id)
	if err != nil {
		return labelSource{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return labelSource{}, err
	}
	first, last := words.Serial(state.Serials[0]), words.Serial(state.Serials[len(state.Serials)-1])
	path := "/rolls/" + id + "/labels"
	page := LabelPage{Frame: s.frame(c, "Labels of a roll", "/rolls"), About: first + " to " + last, Mono: true, Title: "Print the labels of this roll", Path: path, Look: path + ".pdf", Back: "/rolls",
		Says: counted(len(state.Serials), "serial", "serials") + ". The first scan of each at a stand or bench makes its item.", Printed: s.printedLines(state.Prints, people)}
	next := slices.Index(state.Serials, state.Next())
	end := min(next+labels.MostAtOnce, len(state.Serials)) - 1
	return labelSource{page: page, file: "labels-of-roll.pdf", asks: []string{"first", "last"}, filled: map[string]string{"first": words.Serial(state.Serials[next]), "last": words.Serial(state.Serials[end])},
		fields: func(f *form) []Field {
			return []Field{
				f.field(Field{Name: "first", Label: "From", Mono: true, Width: "w6", Optional: true, Hint: "The first serial that was not printed yet."}),
				f.field(Field{Name: "last", Label: "To", Mono: true, Width: "w6", Optional: true, Hint: "At most " + words.Number("1000") + " in one go."}),
			}
		},
		batch: func(ctx context.Context, value func(string) string, ask labels.Ask) (labels.Batch, error) {
			return s.services.Labels.Roll(ctx, id, value("first"), value("last"), ask)
		}}, nil
}

// boxLabels prints a label for each box of a shipment.
func (s *site) boxLabels(c *gin.Context) (labelSource, error) {
	ctx := c.Request.Context()
	sh, err := s.services.Shipping.Shipment(ctx, c.Param("number"))
	if err != nil {
		return labelSource{}, err
	}
	prints, err := s.services.Labels.PrintsOf(ctx, sh.ID)
	if err != nil {
		return labelSource{}, err
	}
	people, err := s.people(ctx)
	if err != nil {
		return labelSource{}, err
	}
	path := "/shipments/" + sh.Number
	page := LabelPage{Frame: s.frame(c, "Box labels", "/shipments"), About: sh.Number, Mono: true, Title: "Print the labels of its boxes", Path: path + "/labels", Look: path + "/labels.pdf", Back: path,
		Says: "Number, order and which box of how many. Whom it goes to stands on the carrier’s label and on the packing list inside.", Printed: s.printedLines(prints, people)}
	return labelSource{page: page, file: "boxes-" + sh.Number + ".pdf", copies: "Boxes", usual: "one for each kit, one for what goes by itself", batch: func(ctx context.Context, _ func(string) string, ask labels.Ask) (labels.Batch, error) {
		return s.services.Labels.Boxes(ctx, sh.Number, ask)
	}}, nil
}

// manyLabels prints labels of several items, those that were made today unless
// others are named.
func (s *site) manyLabels(c *gin.Context) (labelSource, error) {
	items, err := s.services.Labels.Made(c.Request.Context())
	if err != nil {
		return labelSource{}, err
	}
	serials := make([]string, len(items))
	for i, item := range items {
		serials[i] = words.Serial(pointed(item.Serial))
	}
	page := LabelPage{Frame: s.frame(c, "Labels", "/labels"), About: "Labels", Title: "Print labels of several items", Path: "/labels", Look: "/labels.pdf", Back: "/",
		Says: "Nothing was made today: scan or type the serials, one a line."}
	if n := len(items); n > 0 {
		page.Says = counted(n, "item was made today and stands below", "items were made today and stand below") + ". Take out what has its label, or scan others, one a line."
	}
	return labelSource{page: page, file: "labels.pdf", hub: true, copies: "How many of each", asks: []string{"serials"}, filled: map[string]string{"serials": strings.Join(serials, "\n")},
		fields: func(f *form) []Field {
			return []Field{f.field(Field{Name: "serials", Label: "Serials", Kind: "text area", Mono: true})}
		},
		batch: func(ctx context.Context, value func(string) string, ask labels.Ask) (labels.Batch, error) {
			return s.services.Labels.Items(ctx, serialsIn(value("serials")), ask)
		}}, nil
}

// serialsIn takes a list apart, one serial a line or with commas between.
func serialsIn(text string) []string {
	var out []string
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return strings.ContainsRune("\r\n,;", r) }) {
		if part = strings.TrimSpace(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}
