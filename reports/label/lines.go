package label

import (
	"image/color"
	"strconv"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf"
)

// black is a font in the one ink of labels.
func black(f *pdf.Font) pdf.Style { return pdf.Style{Font: f, Color: ink} }

var ink = color.RGBA{A: 0xff}

// linesOf is what a label says below its title, the most important first. Of
// what holds charge it says what is known of it, and whose data comes first;
// that is never left out.
func linesOf(c models.LabelContent, w *words.Catalogue) []line {
	var lines []line
	add := func(l line) {
		if l.text != "" {
			lines = append(lines, l)
		}
	}
	say := func(code, name, value string) string {
		if value == "" {
			return ""
		}
		return w.Say("label."+code, map[string]string{name: value})
	}
	switch c.Kind {
	case models.LabelItem:
		add(line{text: c.Product, strong: true})
		if !c.Charged() {
			break
		}
		volts := ""
		if c.NominalV != "" {
			volts = words.Quantity(c.NominalV, "V")
		}
		switch chemistry := w.Chemistry(c.Chemistry); {
		case chemistry != "" && volts != "":
			add(line{text: w.Say("label.chemistry_and_volts", map[string]string{"chemistry": words.Sentence(chemistry), "volts": volts}), needed: true})
		case chemistry != "":
			add(line{text: words.Sentence(chemistry), needed: true})
		default:
			add(line{text: say("volts", "volts", volts), needed: true})
		}
		add(line{text: w.Say("label.makers_data_first", nil), needed: true})
	case models.LabelBox:
		add(line{text: w.Say("label.box", map[string]string{"n": strconv.Itoa(c.Box), "count": strconv.Itoa(c.Boxes)}), needed: true, strong: true})
		add(line{text: say("order", "order", c.Order), needed: true})
	case models.LabelLot:
		text := words.Sentence(c.Material)
		if c.Description != "" {
			text += ", " + c.Description
		}
		add(line{text: text, strong: true})
		if c.ReceivedOn != "" {
			add(line{text: say("received", "date", words.Date(c.ReceivedOn))})
		}
		add(line{text: say("supplier_lot", "code", c.SupplierCode)})
		add(line{text: c.Supplier})
	}
	return lines
}
