package web

import (
	"fmt"
	"math"
	"slices"

	"tracewright/models"
	"tracewright/models/numbers/conformity"
	"tracewright/models/words"
)

// PackView is a pack in its real order, minus to plus: each block with its
// voltage and resistance against the pack's own middle.
type PackView struct {
	Strings []StringView
	Middle  string // the pack's own middle, in words
}

// StringView is one string of blocks.
type StringView struct {
	Name   string
	Blocks []BlockView
}

// BlockView is one block.
type BlockView struct {
	At                       string
	Voltage, VoltageUnit     string
	Resistance, ResistUnit   string
	Charge                   string
	VoltageBar, ResistBar    DeviationBar
	VoltageFar, ResistFar    bool // farthest from the middle, where it is worth a look
	Voltage25, Resistance25  string
	VoltageWords, ResistWord string
}

// DeviationBar is a bar from the middle of a strip of 100: to the right above
// the pack's middle, to the left below it.
type DeviationBar struct{ X, W float64 }

func packOf(in models.InspectionView, form models.ProductForm) *PackView {
	voltage := bestSet(in, "block_voltage")
	resistance := bestSet(in, "block_resistance")
	if voltage == nil && resistance == nil {
		return nil
	}
	p := &PackView{}
	blocks := map[models.Position]*BlockView{}
	var order []models.Position
	at := func(pos models.Position) *BlockView {
		if blocks[pos] == nil {
			blocks[pos] = &BlockView{At: fmt.Sprint(pos.Place)}
			order = append(order, pos)
		}
		return blocks[pos]
	}
	middle := func(set *models.ReadingSet, put func(b *BlockView, text string, bar DeviationBar, far bool)) (string, bool) {
		if set == nil {
			return "", false
		}
		values, ok := floats(set.Values)
		if !ok || len(set.Index) < len(values) {
			return "", false
		}
		m, widest := median(values), 0.0
		for _, v := range values {
			widest = math.Max(widest, math.Abs(v-m))
		}
		for i, v := range values {
			bar := DeviationBar{X: 50}
			if widest > 0 {
				d := (v - m) / widest * 48
				bar = DeviationBar{X: math.Min(50, 50+d), W: math.Abs(d)}
			}
			put(at(set.Index[i]), words.Number(set.Values[i]), bar, widest > 0 && math.Abs(v-m) == widest)
		}
		decimals := 0
		for _, v := range set.Values {
			decimals = max(decimals, decimalsOf(v))
		}
		return words.Quantity(fmt.Sprintf("%.*f", decimals, m), set.Unit), true
	}
	if text, ok := middle(voltage, func(b *BlockView, text string, bar DeviationBar, far bool) {
		b.Voltage, b.VoltageUnit, b.VoltageBar, b.VoltageFar = text, words.Unit(voltage.Unit), bar, far
	}); ok {
		p.Middle = "middle of the voltages " + text
	}
	if text, ok := middle(resistance, func(b *BlockView, text string, bar DeviationBar, far bool) {
		b.Resistance, b.ResistUnit, b.ResistBar, b.ResistFar = text, words.Unit(resistance.Unit), bar, far
	}); ok {
		if p.Middle != "" {
			p.Middle += ", "
		}
		p.Middle += "of the resistances " + text
	}
	p.Middle = words.Sentence(p.Middle) + ". Bars show how far each block is from it."
	for _, r := range in.Results {
		for pos, b := range blocks {
			if r.Position != pos.Key() || r.Position == "" {
				continue
			}
			limit, c, _ := in.Specification.Limit(r.Code)
			text := words.Quantity(conformity.ShownText(r.Value, c.Printed(limit), r.Low, r.High), r.Unit)
			switch r.Code {
			case "block_soc":
				b.Charge = text
			case "block_ocv25":
				b.Voltage25 = text
			case "block_r25":
				b.Resistance25 = text
			}
		}
	}
	slices.SortFunc(order, func(a, b models.Position) int {
		if a.String != b.String {
			return a.String - b.String
		}
		return a.Place - b.Place
	})
	for _, pos := range order {
		if n := len(p.Strings); n == 0 || p.Strings[n-1].Name != fmt.Sprintf("String %d", pos.String) {
			p.Strings = append(p.Strings, StringView{Name: fmt.Sprintf("String %d", pos.String)})
		}
		last := &p.Strings[len(p.Strings)-1]
		last.Blocks = append(last.Blocks, *blocks[pos])
	}
	if len(p.Strings) == 1 {
		p.Strings[0].Name = ""
	}
	return p
}

func median(values []float64) float64 {
	sorted := slices.Sorted(slices.Values(values))
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	return (sorted[n/2-1] + sorted[n/2]) / 2
}

// decimalsOf counts the decimals of a number as typed.
func decimalsOf(typed string) int {
	for i, r := range typed {
		if r == '.' || r == ',' {
			return len(typed) - i - 1
		}
	}
	return 0
}
