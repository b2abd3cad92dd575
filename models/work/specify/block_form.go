package specify

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strconv"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/kinds"
	"tracewright/models/trade/pack"
)

// mostRows is more than any maker prints of a voltage table.
const mostRows = 40

// blockForm checks the form of a block model, brings its texts to the form in
// which they are stored, and fills in what it leaves open.
func (c *checker) blockForm(prefix string, b *models.BlockForm) {
	before := len(c.Problems)
	c.needed(prefix+"supplier", &b.Supplier, longestName)
	c.needed(prefix+"model", &b.Model, longestName)
	c.text(prefix+"rate", &b.Rate, 10)
	c.cells(prefix, b.Chemistry, b.Cells)
	c.decimal(prefix+"capacity_ah", &b.Capacity, above)
	switch b.ResistanceMethod {
	case "", models.ResistanceAC, models.ResistanceDC:
	default:
		c.Add(prefix+"resistance_method", "unknown_choice", "typed", models.Shortened(b.ResistanceMethod))
	}
	if b.DateCode != "" && !slices.Contains(pack.DateCodes, b.DateCode) {
		c.Add(prefix+"date_code", "unknown_choice", "typed", models.Shortened(b.DateCode))
	}
	c.voltageTable(prefix+"voltage_table", b)
	c.blockLimits(prefix+"limits.", b)
	low, okLow := c.decimal(prefix+"resistance_low", &b.ResistanceLow, above)
	high, okHigh := c.decimal(prefix+"resistance_high", &b.ResistanceHigh, above)
	if okLow && okHigh && low.Cmp(high) > 0 {
		c.Add(prefix+"resistance_low", "low_above_high")
	}
	if len(c.Problems) > before {
		return // Defaults follow from chemistry, cells and capacity.
	}
	filled, err := kinds.WithBlockDefaults(*b)
	if err != nil {
		c.Add(prefix+"chemistry", "unknown_choice", "typed", models.Shortened(b.Chemistry))
		return
	}
	*b = filled
	c.ordered(prefix+"limits.", b)
}

// voltageTable checks each number, and that voltages and charges rise.
func (c *checker) voltageTable(field string, b *models.BlockForm) {
	if len(b.VoltageTable) == 0 {
		b.VoltageTable = nil
		return
	}
	c.whole(field, len(b.VoltageTable), 2, mostRows)
	good := true
	for i := range b.VoltageTable {
		row := &b.VoltageTable[i]
		at := fmt.Sprintf("%s[%d].", field, i)
		for _, x := range []struct {
			name  string
			value *string
			sign  sign
		}{{"volts", &row.Volts, above}, {"percent", &row.Percent, notBelow}} {
			if *x.value == "" {
				c.Add(at+x.name, "missing")
				good = false
				continue
			}
			_, ok := c.decimal(at+x.name, x.value, x.sign)
			good = good && ok
		}
	}
	if !good {
		return
	}
	table := kinds.ChargeTable(*b)
	for i := range table {
		switch {
		case table[i].Percent > 100:
			c.Add(fmt.Sprintf("%s[%d].percent", field, i), "too_big", "most", "100")
		case i > 0 && pack.CheckChargeTable(table[i-1:i+1]) != nil:
			c.Add(fmt.Sprintf("%s[%d]", field, i), "table_not_rising")
		}
	}
}

// blockLimits checks the limits that the form names: those of the block's class,
// each a number or empty for none.
func (c *checker) blockLimits(prefix string, b *models.BlockForm) {
	codes := make([]string, 0, len(b.Limits))
	for code := range b.Limits {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		if !pack.KnownLimit(code) {
			c.Add(prefix+models.Shortened(code), "unknown_code", "code", models.Shortened(code))
			continue
		}
		text := b.Limits[code]
		d, ok := c.decimal(prefix+code, &text, notBelow)
		b.Limits[code] = text
		if ok {
			c.bounded(prefix+code, code, b, d)
		}
	}
}

// bounded refuses a limit that no sheet goes to: of a voltage, one above the highest
// usual at which such a block is charged, as millivolts are.
func (c *checker) bounded(field, code string, b *models.BlockForm, d measure.Decimal) {
	least, most, unit, ok := pack.Bounds(code)
	if volts, _, err := pack.ChargingVoltage(pack.Chemistry(b.Chemistry), b.Cells); !ok && unit == "V" && err == nil {
		least, most, ok = "0", strconv.FormatFloat(volts, 'f', 2, 64), true
	}
	if !ok {
		return
	}
	low, errLow := measure.Parse(least)
	high, errHigh := measure.Parse(most)
	if errLow == nil && errHigh == nil && (d.Cmp(low) < 0 || d.Cmp(high) > 0) {
		c.Add(field, "limit_out_of_bounds", "low", least, "high", most, "unit", unit)
	}
}

// ordered refuses limits that contradict each other.
func (c *checker) ordered(prefix string, b *models.BlockForm) {
	for _, pair := range [][2]string{
		{"scrap_below_v", "incoming_ocv_min_v"}, {"ship_ocv_min_b_v", "ship_ocv_min_a_v"}, {"spread_ocv_a_v", "spread_ocv_b_v"}, {"spread_ir_a_pct", "spread_ir_b_pct"},
		{"ir_ratio_watch", "ir_ratio_investigate"}, {"ir_ratio_investigate", "ir_ratio_reject"}, {"k_watch_mv_day", "k_reject_mv_day"}, {"block_age_warn_days", "block_age_max_days"},
	} {
		low, okLow := kinds.BlockLimit(*b, pair[0])
		high, okHigh := kinds.BlockLimit(*b, pair[1])
		if okLow && okHigh && low.Cmp(high) > 0 {
			c.Add(prefix+pair[0], "low_above_high")
		}
	}
}

// fromBlockModel takes what a pack's form says of its blocks from the block model
// it names, at the revision in force, and notes which.
func (s *Service) fromBlockModel(ctx context.Context, c *checker, prefix string, p *models.PackForm) error {
	p.BlockRevision, p.VoltageTable, p.Limits = 0, nil, nil
	if p.BlockProduct == "" {
		return nil
	}
	product, err := s.store.Product(ctx, p.BlockProduct)
	if errors.Is(err, models.ErrNotFound) {
		c.Add(prefix+"block_product", "unknown_product", "product", models.Shortened(p.BlockProduct))
		return nil
	}
	if err != nil {
		return fmt.Errorf("block model %.40q: %w", p.BlockProduct, err)
	}
	revisions, err := s.store.ProductRevisions(ctx, product.ID)
	if err != nil {
		return fmt.Errorf("forms of block model %s: %w", product.Name, err)
	}
	if len(revisions) == 0 || revisions[0].Form.Block == nil {
		c.Add(prefix+"block_product", "no_block_model", "product", product.Name)
		return nil
	}
	b := revisions[0].Form.Block
	p.BlockRevision = revisions[0].Revision
	p.BlockModel, p.Chemistry, p.Cells, p.CapacityAh, p.Rate = b.Supplier+" "+b.Model, b.Chemistry, b.Cells, b.Capacity, b.Rate
	p.ResistanceMethod, p.ResistanceLow, p.ResistanceHigh = b.ResistanceMethod, b.ResistanceLow, b.ResistanceHigh
	p.VoltageTable, p.Limits = slices.Clone(b.VoltageTable), maps.Clone(b.Limits)
	if p.MinRestHours == "" {
		p.MinRestHours = kinds.BlockLimitText(*b, "rest_min_h")
	}
	return nil
}
