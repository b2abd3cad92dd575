package specify

import (
	"tracewright/models"
	"tracewright/models/trade/pack"
)

const (
	mostCells   = pack.MostCells
	mostStrings = 8
	mostBlocks  = 40 // in one string
)

// cells checks what kind of cells a block has, and how many.
func (c *checker) cells(prefix, chemistry string, cells int) {
	switch {
	case chemistry == "":
		c.Add(prefix+"chemistry", "missing")
	case !pack.Chemistry(chemistry).Known():
		c.Add(prefix+"chemistry", "unknown_choice", "typed", models.Shortened(chemistry))
	}
	c.whole(prefix+"cells", cells, 1, mostCells)
}

// packForm checks the short form of a pack and brings its texts to the form in
// which they are stored. prefix is the path of the form: "form.pack.".
func (c *checker) packForm(prefix string, p *models.PackForm) {
	c.text(prefix+"block_model", &p.BlockModel, longestName)
	c.text(prefix+"rate", &p.Rate, 10)
	c.cells(prefix, p.Chemistry, p.Cells)
	c.whole(prefix+"strings", p.Strings, 1, mostStrings)
	c.whole(prefix+"blocks", p.Blocks, 1, mostBlocks)
	c.decimal(prefix+"capacity_ah", &p.CapacityAh, above)
	c.decimal(prefix+"nominal_v", &p.NominalV, above)
	switch p.ResistanceMethod {
	case "", models.ResistanceAC, models.ResistanceDC:
	default:
		c.Add(prefix+"resistance_method", "unknown_choice", "typed", models.Shortened(p.ResistanceMethod))
	}
	low, okLow := c.decimal(prefix+"resistance_low", &p.ResistanceLow, above)
	high, okHigh := c.decimal(prefix+"resistance_high", &p.ResistanceHigh, above)
	if okLow && okHigh && low.Cmp(high) > 0 {
		c.Add(prefix+"resistance_low", "low_above_high")
	}
	c.decimal(prefix+"min_rest_hours", &p.MinRestHours, notBelow)
	c.text(prefix+"transport_test_summary", &p.TestSummary, longestName)
}
