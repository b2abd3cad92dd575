package web

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/models/work/trace"
)

// kitOnItem puts what lies in a kit, or went in it, where the parts of other items
// stand, and leads to the page that packs it.
func (s *site) kitOnItem(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	if v.Item.Kind != models.KindKit {
		return nil
	}
	k, err := s.services.Shipping.Kit(ctx, v.Item.ID)
	if err != nil {
		return err
	}
	page.Kit, page.Parts = true, ""
	act := Act{Text: "Pack it", Path: kitPath(k.Item), First: len(v.OpenHolds()) == 0}
	if k.Shipment != nil {
		act.Text = "What went in it"
	}
	page.Acts = slices.Insert(page.Acts, 0, act)
	put := func(label string, items []models.Item, otherwise string) {
		line := BuiltLine{Label: label}
		for i, x := range items {
			if i > 0 {
				line.Spans = append(line.Spans, Span{Text: ", "})
			}
			line.Spans = append(line.Spans, Span{Text: words.Serial(x.Name()), Mono: true, Path: itemPath(pointed(x.Serial), x.ID)})
			page.Sources = page.Path + "/sources"
		}
		if len(items) == 0 {
			line.Spans = []Span{{Text: otherwise}}
		}
		page.Built = append(page.Built, line)
	}
	for _, l := range k.Lines {
		put(l.Name, l.In, english.Of(l.Done, l.Quantity))
	}
	if len(k.Extra) > 0 {
		put("Not on the list", k.Extra, "")
	}
	return nil
}
