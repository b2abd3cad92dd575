package certificate

import (
	"slices"
	"strings"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// fact is a named line of the item or of what is built in.
type fact struct {
	name  string
	value string
	style *pdf.Style // of the value; nil is plain
}

// itemAndParts prints two columns: what was inspected, and what it is made of.
func (s *sheet) itemAndParts() {
	const gap = 8.0
	column := (width - gap) / 2
	item, parts := s.itemFacts(), s.partFacts()
	itemLabel, partLabel := labelWidth(item, 25), labelWidth(parts, 26)
	heightItem, drawItem := s.facts(s.say("item"), item, left, column, itemLabel)
	heightParts, drawParts := s.facts(s.say("built_in"), parts, left+column+gap, column, partLabel)
	if max(heightItem, heightParts) < 110 {
		s.flow(nil, block{gap: 3.2, height: max(heightItem, heightParts), draw: func(y float64) {
			drawItem(y)
			drawParts(y)
		}})
	} else {
		// Too long for a place beside each other: one below the other, line by line.
		s.flow(nil, s.factBlocks(s.say("item"), item, itemLabel)...)
		s.flow(nil, s.factBlocks(s.say("built_in"), parts, partLabel)...)
	}
	if s.content.Reason != "" {
		s.flow(nil, s.text(ink, 3, left, width, s.say("reason_for", "revision", itoa(s.content.Revision), "reason", s.content.Reason))...)
	}
}

// labelWidth is the room that the names of facts take: as much as the widest,
// within bounds.
func labelWidth(list []fact, least float64) float64 {
	const most = 33.0
	widest := least
	for _, f := range list {
		widest = max(widest, label.Width(f.name)+2.2)
	}
	return min(widest, most)
}

// facts prepares a column of facts and gives its height.
func (s *sheet) facts(title string, list []fact, x, w, labelWidth float64) (height float64, draw func(y float64)) {
	const head = 6.4
	height = head
	for _, f := range list {
		height += f.height(w, labelWidth)
	}
	return height, func(y float64) {
		s.doc.Text(x, y+subheading.Rise()-0.6, subheading, title, pdf.Left)
		s.doc.Rule(x, y+head-1.2, x+w, y+head-1.2, 0.15, pdf.Ink)
		y += head
		for _, f := range list {
			s.drawFact(f, x, y, w, labelWidth)
			y += f.height(w, labelWidth)
		}
	}
}

// factBlocks is the same as single blocks over the whole width.
func (s *sheet) factBlocks(title string, list []fact, labelWidth float64) []block {
	blocks := []block{s.subhead(4.2, title)}
	for _, f := range list {
		names, values, style := f.lines(width, labelWidth)
		if len(values) <= 12 {
			blocks = append(blocks, block{height: f.height(width, labelWidth), draw: func(y float64) { s.drawFact(f, left, y, width, labelWidth) }})
			continue
		}
		// Longer than should be kept on one page: line by line.
		for i, value := range values {
			blocks = append(blocks, block{height: style.Leading(), draw: func(y float64) {
				if i < len(names) {
					s.doc.Text(left, y+style.Rise(), label, names[i], pdf.Left)
				}
				s.doc.Text(left+labelWidth, y+style.Rise(), style, value, pdf.Left)
			}})
		}
	}
	return blocks
}

func (f fact) lines(w, labelWidth float64) (names, values []string, style pdf.Style) {
	style = ink
	if f.style != nil {
		style = *f.style
	}
	return label.Wrap(f.name, labelWidth-2), style.Wrap(f.value, w-labelWidth), style
}

const factPad = 0.45

func (f fact) height(w, labelWidth float64) float64 {
	names, values, style := f.lines(w, labelWidth)
	return max(float64(len(names))*label.Leading(), float64(len(values))*style.Leading()) + factPad
}

func (s *sheet) drawFact(f fact, x, y, w, labelWidth float64) {
	names, values, style := f.lines(w, labelWidth)
	baseline := y + max(label.Rise(), style.Rise())
	s.doc.Lines(x, baseline, label, names)
	s.doc.Lines(x+labelWidth, baseline, style, values)
}

// itemFacts is what was inspected.
func (s *sheet) itemFacts() []fact {
	c := s.content
	list := []fact{{s.say("serial"), s.serial, &serialMono}, {s.say("product"), s.product(), nil}, {s.say("specification"), s.specification(), nil}}
	if w := c.Item.Wheel; w != nil {
		switch {
		case w.SideA != "" && w.SideB != "":
			list = append(list, fact{s.say("side_a"), s.say("sides", "a", w.SideA, "b", w.SideB), nil})
		case w.SideA != "":
			list = append(list, fact{s.say("side_a"), w.SideA, nil})
		}
		if w.DishReference != "" {
			list = append(list, fact{s.say("dish_target"), s.dishTarget(w), nil})
		}
	}
	if p := c.Item.Pack; p != nil {
		list = append(list, s.packFacts(p)...)
	}
	if condition := s.condition(); condition != "" {
		list = append(list, fact{s.say("condition"), condition, nil})
	}
	return append(list, fact{s.say("inspected"), s.say("inspected_on", "date", s.words.Date(c.Inspection.MeasuredOn), "stage", s.words.Stage(c.Inspection.Stage)), nil})
}

// product is the product's name with its short form.
func (s *sheet) product() string {
	item := s.content.Item
	parts := []string{item.Product}
	if item.Product == "" {
		parts = []string{s.say("one_off")}
		if item.Family != "" {
			parts = append(parts, item.Family)
		}
	}
	if w := item.Wheel; w != nil && w.Holes > 0 {
		crossing := s.say("crossing", "n", itoa(w.Crossing))
		if w.Crossing == 0 {
			crossing = s.say("crossing.0")
		}
		parts = append(parts, s.say("wheel_form", "holes", itoa(w.Holes), "crossing", crossing))
	}
	return strings.Join(parts, ", ")
}

func (s *sheet) specification() string {
	spec := s.content.Specification
	code := "spec_revision"
	if spec.Of != "" && spec.Of != s.content.Item.Product {
		code = "spec_of"
	}
	if spec.Grade == "" || spec.Grade == "own" {
		code += "_own"
	}
	return s.say(code, "name", spec.Of, "revision", itoa(spec.Revision), "grade", s.words.Grade(spec.Grade))
}

func (s *sheet) dishTarget(w *models.WheelForm) string {
	reference := w.DishReference
	if s.words.Has("certificate.reference." + reference) {
		reference = s.say("reference." + reference)
	}
	switch {
	case w.DishTarget == "" || strings.Trim(w.DishTarget, "-0.") == "":
		return s.say("dish_target_zero", "reference", reference)
	case strings.HasPrefix(w.DishTarget, "-"):
		return s.say("dish_toward_b", "value", s.words.Quantity(w.DishTarget[1:], "mm"), "reference", reference)
	}
	return s.say("dish_toward_a", "value", s.words.Quantity(w.DishTarget, "mm"), "reference", reference)
}

func (s *sheet) packFacts(p *models.PackForm) []fact {
	blocks := s.say("pack_one_string", "n", itoa(p.Blocks))
	if p.Strings > 1 {
		blocks = s.say("pack_strings", "strings", itoa(p.Strings), "n", itoa(p.Blocks))
	}
	if p.BlockModel != "" {
		blocks = p.BlockModel + ", " + blocks
	}
	list := []fact{{words.Sentence(s.words.Part("blocks")), blocks, nil}}
	if p.Chemistry != "" {
		list = append(list, fact{s.say("chemistry"), s.words.Chemistry(p.Chemistry), nil})
	}
	var rated []string
	if p.NominalV != "" {
		rated = append(rated, s.words.Quantity(p.NominalV, "V"))
	}
	if p.CapacityAh != "" {
		capacity := s.words.Quantity(p.CapacityAh, "Ah")
		if p.Rate != "" {
			capacity += " (" + p.Rate + ")"
		}
		rated = append(rated, capacity)
	}
	if len(rated) > 0 {
		list = append(list, fact{s.say("rated"), strings.Join(rated, ", "), nil})
	}
	if slices.Contains(s.content.Cautions, "lithium_transport") { // which packs those are is known where they are released
		summary := s.say("no_test_summary")
		if p.TestSummary != "" {
			summary = s.say("test_summary", "code", p.TestSummary)
		}
		list = append(list, fact{s.say("carriage"), summary, nil})
	}
	return list
}

// condition is the circumstances that were said.
func (s *sheet) condition() string {
	c := s.content.Inspection.Conditions
	var parts []string
	switch {
	case s.words.Has("certificate.tyre." + c.Tyre):
		parts = append(parts, s.say("tyre."+c.Tyre))
	case c.Tyre != "":
		parts = append(parts, c.Tyre)
	}
	if c.TemperatureC != "" {
		parts = append(parts, s.words.Quantity(c.TemperatureC, "degC"))
	}
	if c.RestHours != "" {
		parts = append(parts, s.say("rest", "rest", s.words.Quantity(c.RestHours, "h")))
	}
	if c.OnCharger {
		parts = append(parts, s.say("on_charger"))
	}
	if c.LoadA != "" && strings.Trim(c.LoadA, "0.,") != "" {
		parts = append(parts, s.say("load", "value", s.words.Quantity(c.LoadA, "A")))
	}
	if c.Note != "" {
		parts = append(parts, c.Note)
	}
	return words.Sentence(strings.Join(parts, "; "))
}
