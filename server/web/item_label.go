package web

import (
	"context"
	"slices"

	"tracewright/models"
	"tracewright/models/work/trace"
)

// LabelPart is what an item's page says of its label.
type LabelPart struct {
	Answer string
	Print  Act
	More   string // page with the other sizes
	Hub    bool   // that page makes a mark for a hub too
}

// labelOnItem adds the act that prints the usual label in one tap, before the
// hold, and what was printed. On a sheet somebody must say which place is free,
// so there the act leads to the page that asks.
func (s *site) labelOnItem(ctx context.Context, page *ItemPage, v trace.ItemView) error {
	if v.Item.Serial == nil {
		return nil
	}
	settings, err := s.services.Shop.Settings(ctx)
	if err != nil {
		return err
	}
	s.labelled(page, v, settings.LabelSize)
	return nil
}

func (s *site) labelled(page *ItemPage, v trace.ItemView, usual string) {
	more := page.Path + "/label"
	printed := labelsAmong(v.Prints)
	part := &LabelPart{Answer: "None was printed yet.", More: more, Hub: v.Item.Kind == models.KindWheel, Print: Act{Text: printText(len(printed)), Path: more, Prints: true}}
	act := Act{Text: "Label", Path: more, Prints: true}
	if size, ok := models.LabelSizeOf(usual); ok && size.PerSheet() > 0 {
		act.Prints, part.Print.Prints = false, false
	}
	if n := len(printed); n > 0 {
		last := printed[n-1]
		part.Answer = counted(n, "print", "prints") + ", the last on " + s.minute(last.PrintedAt) + " by " + name(v.People, last.PrintedBy) + ": " + printSays(last) + "."
	}
	page.Label = part
	at := len(page.Acts)
	if i := slices.IndexFunc(page.Acts, func(a Act) bool { return a.Bars }); i >= 0 {
		at = i
	}
	page.Acts = slices.Insert(page.Acts, at, act)
}

// timesPrinted counts the prints of one certificate.
func timesPrinted(prints []models.LabelPrint, certificateID string) int {
	n := 0
	for _, p := range prints {
		if p.SubjectID == certificateID {
			n += p.N
		}
	}
	return n
}

// printText is what the button says that prints once more.
func printText(printed int) string {
	if printed > 0 {
		return "Print again"
	}
	return "Print"
}
