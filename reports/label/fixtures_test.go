package label

import (
	"slices"
	"testing"
	"time"

	"tracewright/models"
	"tracewright/models/words"
	"tracewright/reports/pdf/pdftest"
)

var made = time.Date(2031, 5, 12, 12, 0, 0, 0, time.UTC)

// contents are labels of every kind; W26001NAX and the others carry the check
// characters of ISO/IEC 7064 that package ident computes.
var contents = map[string]models.LabelContent{
	"wheel":           {Kind: models.LabelItem, Code: "W26001NAX", Of: models.KindWheel, Product: "Quillet 26 rear"},
	"wheel of digits": {Kind: models.LabelItem, Code: "W26000051", Of: models.KindWheel, Product: "Quillet 26 rear"},
	"pack":            {Kind: models.LabelItem, Code: "P26000051", Of: models.KindPack, Product: "Corvane 48 V, 20 Ah touring", Chemistry: "agm", NominalV: "48"},
	"block":           {Kind: models.LabelItem, Code: "B26Z1Z1ZM", Of: models.KindBlock, Product: "Norvik NB12-20", Chemistry: "lifepo4"},
	"unknown pack":    {Kind: models.LabelItem, Code: "P26000051", Of: models.KindPack},
	"kit":             {Kind: models.LabelItem, Code: "K26000051", Of: models.KindKit, Product: "Conversion kit, rear wheel of 26 inch with a pack of 48 V"},
	"hub":             {Kind: models.LabelHub, Code: "W26001NAX", Of: models.KindWheel},
	"lot":             {Kind: models.LabelLot, Code: "SP-0931", Material: "spokes", Description: "2.34 mm plain, 186 mm", Supplier: "Halder & Sons", SupplierCode: "HS-44-0017", ReceivedOn: "2026-09-02"},
	"lot, long":       {Kind: models.LabelLot, Code: "SPOKES-2026-NORTHERN-WAREHOUSE-000931/AB", Material: "spokes", Description: "2.34 mm plain, 186 mm, black, in bundles of a hundred", Supplier: "Halder & Sons", SupplierCode: "HS-44-0017"},
	"box":             {Kind: models.LabelBox, Code: "S26-00012", Order: "4471", Box: 2, Boxes: 3},
	"box, long order": {Kind: models.LabelBox, Code: "S26-00012", Order: "Northern warehouse 2026/000931-B", Box: 10, Boxes: 12},
	"lot, Greek":      {Kind: models.LabelLot, Code: "ΑΚΤ-12", Material: "spokes"},
}

// area is where the label stands on its page.
func (d drawing) area() pdftest.Area {
	return pdftest.Area{Left: d.size.Left, Top: d.size.Top, Width: d.size.Width, Height: d.size.Height}
}

// drawing is one label of one size with one symbol.
type drawing struct {
	content models.LabelContent
	size    models.LabelSize
	symbol  string
	pdf     []byte
	err     error
}

// chosen are labels that are also drawn with each symbol by itself.
var chosen = []string{"wheel", "pack", "lot", "lot, long", "hub", "box"}

// each draws every kind of label in every size, and some with every symbol.
func each(t *testing.T, check func(t *testing.T, d drawing)) {
	t.Helper()
	for name, c := range contents {
		for _, size := range models.LabelSizes {
			for _, symbol := range append([]string{""}, models.Symbols...) {
				// A sheet's labels are laid out as those of a roll are.
				if symbol != "" && (size.PerSheet() > 0 || !slices.Contains(chosen, name)) {
					continue
				}
				t.Run(name+"/"+size.Code+"/"+symbol, func(t *testing.T) {
					t.Parallel()
					d := drawing{content: c, size: size, symbol: symbol}
					d.pdf, d.err = Draw(Job{Labels: []models.LabelContent{c}, Size: size, Symbol: symbol, Place: 1, Made: made, Words: words.In("en"), Plain: true})
					check(t, d)
				})
			}
		}
	}
}
