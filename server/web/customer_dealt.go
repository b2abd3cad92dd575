package web

import (
	"fmt"
	"slices"

	"tracewright/models/trade/ident"
	"tracewright/models/words"
	"tracewright/models/work/privacy"
)

// dealtGroups lists what was ordered by, sent to and claimed by one customer, the
// last first: from a voice on the telephone the desk comes to the wheel.
func (s *site) dealtGroups(d privacy.Data) []DealtGroup {
	orders, shipments, claimed := DealtGroup{Name: "Orders"}, DealtGroup{Name: "Shipments"}, DealtGroup{Name: "Claims"}
	item := func(name string) Span {
		span := Span{Text: words.Serial(name)}
		if ident.KindOf(name) != 0 {
			span.Mono, span.Path = true, itemPath(name, "")
		}
		return span
	}
	for _, o := range d.Orders {
		var lines []string
		for _, l := range o.Lines {
			lines = append(lines, fmt.Sprintf("%d %s", l.Quantity, l.Product))
		}
		orders.Rows = append(orders.Rows, []Span{{Text: o.Ref, Mono: true, Path: "/find?q=" + urlQuery(o.Ref)}, {Text: ", " + s.day(o.EnteredAt) + ": " + english.Join(lines)}})
	}
	for _, sh := range d.Shipments {
		row := []Span{{Text: sh.Number, Mono: true, Path: "/shipments/" + sh.Number}, {Text: ", " + s.day(sh.ShippedAt)}}
		if sh.Void {
			row = append(row, Span{Text: ", void"})
		}
		for i, name := range sh.Items {
			between := ", "
			if i == 0 {
				between = ": "
			}
			row = append(row, Span{Text: between}, item(name))
		}
		shipments.Rows = append(shipments.Rows, row)
	}
	for _, v := range d.Claims {
		row := []Span{{Text: v.Number, Mono: true, Path: claimPath(v.Number)}, {Text: ", " + s.day(v.OpenedAt) + ", " + english.ClaimState(v.State)}}
		if v.Item != "" {
			row = append(row, Span{Text: ": "}, item(v.Item))
		}
		claimed.Rows = append(claimed.Rows, row)
	}
	var groups []DealtGroup
	for _, g := range []DealtGroup{orders, shipments, claimed} {
		if slices.Reverse(g.Rows); len(g.Rows) > 0 {
			groups = append(groups, g)
		}
	}
	return groups
}
