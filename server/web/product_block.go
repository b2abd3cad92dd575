package web

import (
	"cmp"
	"context"
	"strconv"
	"strings"

	"tracewright/models"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
	"tracewright/models/words"
)

// blockChemistries are the choices of what a block is made of.
func blockChemistries() []Choice {
	var codes []string
	for _, c := range pack.Chemistries() {
		codes = append(codes, string(c))
	}
	return choices(codes, func(c string) string { return words.Sentence(english.Chemistry(c)) })
}

// blockPrefix begins the names of a block model's answers.
const blockPrefix = "form.block."

// noLimit is typed for a limit that a model of block does not have: an empty line
// takes its usual figure.
const noLimit = "none"

// blockGroups are the questions of a block model, those that say which kind of block
// it is only where they are open. The limits asked for are those of its kind.
func blockGroups(f *form, open bool) []FieldGroup {
	b := func(name string) string { return blockPrefix + name }
	number := func(name, label, unit, width string) Field {
		return f.field(Field{Name: b(name), Label: label, Unit: unit, Mode: "decimal", Width: width, Optional: true})
	}
	codes := []Choice{{"", "not known"}, {models.DateISO, "2026-05-12, 2026-05 or 2026-W20"}, {models.DateYearWeek, "year and week: 2620"}, {models.DateYearMon, "year and month: 2605"}}
	groups := []FieldGroup{
		{Legend: "The block", Hint: "As its maker’s sheet has it, which comes before every figure here.", Fields: []Field{
			f.field(Field{Name: b("supplier"), Label: "Maker or supplier", Width: "w6"}),
			f.field(Field{Name: b("model"), Label: "Model", Width: "w6"}),
			f.field(Field{Name: b("rate"), Label: "At the rate of", Width: "w3", Optional: true, Hint: "C20: empty in 20 hours."}),
			f.field(Field{Name: b("date_code"), Label: "Its date code is", Kind: "select", Width: "w6", Choices: codes}),
		}},
		{Legend: "Its resistance", Fields: []Field{
			f.field(Field{Name: b("resistance_method"), Label: "Resistance by", Kind: "select", Width: "w6", Choices: choices([]string{models.ResistanceAC, models.ResistanceDC}, english.Manner), Hint: "The two ways are never mixed."}),
			number("resistance_low", "Plausible from", "mΩ", "w3"), number("resistance_high", "to", "mΩ", "w3"),
		}},
		{Legend: "Voltage and charge", Hint: "Rest voltage of the whole block at 25 °C and the charge it means, a row a line: 12,90 100. Empty: the common table of lead-acid; lithium then has none.", Fields: []Field{
			f.field(Field{Name: b("voltage_table"), Label: "Maker’s table", Kind: "text area", Width: "w6", Optional: true}),
		}},
	}
	if open {
		fields := groups[0].Fields
		groups[0].Fields = append(append(fields[:2:2], blockKindFields(f)...), fields[2:]...)
	}
	limits := FieldGroup{Legend: "Limits", Hint: "A line that is left empty takes its usual figure, which is common practice for this kind of block. Type “" + noLimit + "” where there is to be no such limit."}
	for _, line := range limitLines(f.value(b("chemistry")), f.value(b("cells")), f.value(b("capacity_ah"))) {
		unit := words.Unit(line.Unit)
		if unit == "month" { // A word, and no sign that stays as it is.
			unit = "months"
		}
		limits.Fields = append(limits.Fields, f.field(Field{Name: b("limits." + line.Code), Label: english.Limit(line.Code), Unit: unit, Width: "w4", Optional: true,
			Hint: "Usual " + strings.TrimSpace(line.Text+"\u00a0"+unit) + ": " + english.Origin(string(line.Origin))}))
	}
	return append(groups, limits)
}

// limitLines are the limits that such blocks have, as they are usual.
func limitLines(chemistry, cells, capacity string) []pack.Line {
	n, err := strconv.Atoi(cells)
	if err != nil {
		n = pack.CellsPer12V
	}
	return kinds.UsualLimits(models.BlockForm{Chemistry: chemistry, Cells: n, Capacity: strings.Replace(capacity, ",", ".", 1)})
}

// blockForm reads a block model back from what was posted. A limit that is empty is
// left out, so that it gets its default.
func blockForm(text func(string) string, number func(string) int) *models.BlockForm {
	b := func(name string) string { return text(blockPrefix + name) }
	form := &models.BlockForm{Supplier: b("supplier"), Model: b("model"), Chemistry: b("chemistry"), Cells: number(blockPrefix + "cells"), Capacity: b("capacity_ah"), Rate: b("rate"),
		ResistanceMethod: b("resistance_method"), ResistanceLow: b("resistance_low"), ResistanceHigh: b("resistance_high"), DateCode: b("date_code"), Limits: map[string]string{}}
	for _, line := range strings.Split(b("voltage_table"), "\n") {
		if cells := strings.Fields(line); len(cells) > 0 {
			row := models.ChargePoint{Volts: cells[0]}
			if len(cells) > 1 {
				row.Percent = strings.Join(cells[1:], " ")
			}
			form.VoltageTable = append(form.VoltageTable, row)
		}
	}
	for _, line := range limitLines(form.Chemistry, b("cells"), form.Capacity) {
		switch value := b("limits." + line.Code); {
		case strings.EqualFold(value, noLimit):
			form.Limits[line.Code] = ""
		case value != "":
			form.Limits[line.Code] = value
		}
	}
	return form
}

// blockValues are the answers a block model stands with.
func blockValues(v map[string]string, b *models.BlockForm) {
	if b == nil {
		return
	}
	p := blockPrefix
	v[p+"supplier"], v[p+"model"], v[p+"chemistry"], v[p+"cells"], v[p+"capacity_ah"], v[p+"rate"] = b.Supplier, b.Model, b.Chemistry, strconv.Itoa(b.Cells), b.Capacity, b.Rate
	v[p+"resistance_method"], v[p+"resistance_low"], v[p+"resistance_high"], v[p+"date_code"] = b.ResistanceMethod, b.ResistanceLow, b.ResistanceHigh, b.DateCode
	var rows []string
	for _, r := range b.VoltageTable {
		rows = append(rows, r.Volts+" "+r.Percent)
	}
	v[p+"voltage_table"] = strings.Join(rows, "\n")
	for code, value := range b.Limits {
		v[p+"limits."+code] = cmp.Or(value, noLimit)
	}
}

// usualBlock is a form to begin a block model with.
func usualBlock() models.ProductForm {
	return models.ProductForm{Block: &models.BlockForm{Chemistry: string(pack.AGM), Cells: pack.CellsPer12V, Rate: "C20", ResistanceMethod: models.ResistanceAC}}
}

// namedProducts are the products that a form may name: the block models of a
// pack, the wheels and packs of a kit.
func (s *site) namedProducts(ctx context.Context, kind string) ([]Choice, error) {
	switch kind {
	case models.KindKit:
		var list []Choice
		for _, k := range []string{models.KindWheel, models.KindPack} {
			products, err := s.productsOf(ctx, k)
			if err != nil {
				return nil, err
			}
			for _, p := range products {
				list = append(list, Choice{p.ID, p.Name})
			}
		}
		return list, nil
	case models.KindPack:
	default:
		return nil, nil
	}
	products, err := s.blockProducts(ctx)
	list := []Choice{{"", "none: the figures below"}}
	for _, p := range products {
		list = append(list, Choice{p.ID, p.Name})
	}
	return list, err
}

// blockProducts lists the models of block.
func (s *site) blockProducts(ctx context.Context) ([]models.Product, error) {
	return s.productsOf(ctx, models.KindBlock)
}

// productsOf lists the products of a kind, family by family.
func (s *site) productsOf(ctx context.Context, kind string) ([]models.Product, error) {
	families, err := s.services.Specify.Families(ctx)
	if err != nil {
		return nil, err
	}
	var list []models.Product
	for _, family := range families {
		if family.Kind != kind {
			continue
		}
		products, err := s.services.Specify.Products(ctx, family.ID)
		if err != nil {
			return nil, err
		}
		list = append(list, products...)
	}
	return list, nil
}
