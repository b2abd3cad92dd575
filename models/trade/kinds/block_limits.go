package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// PackBlock is the block of a pack as the pack's form describes it. Of a form
// that took no limits over it has none, and those of common practice hold.
func PackBlock(p models.PackForm) models.BlockForm {
	return models.BlockForm{Model: p.BlockModel, Chemistry: p.Chemistry, Cells: p.Cells, Capacity: p.CapacityAh, Rate: p.Rate, VoltageTable: p.VoltageTable,
		ResistanceMethod: p.ResistanceMethod, ResistanceLow: p.ResistanceLow, ResistanceHigh: p.ResistanceHigh, Limits: p.Limits}
}

// UsualLimits are what a block model begins with: the common ones of its class,
// none for a block that is of no class.
func UsualLimits(b models.BlockForm) []pack.Line {
	lines, err := pack.LinesFor(pack.Chemistry(b.Chemistry), b.Cells, float(b.Capacity))
	if err != nil {
		return nil
	}
	return lines
}

// BlockLimit is a limit of a block model by its code in package pack: the form's
// own, else the common one of its class. ok is false where there is none.
func BlockLimit(b models.BlockForm, code string) (limit measure.Decimal, ok bool) {
	text, own := b.Limits[code]
	if !own {
		text = UsualLimit(b, code)
	}
	d, err := measure.Parse(text)
	return d, err == nil
}

// UsualLimit is the common limit of a block's class, empty where there is none.
func UsualLimit(b models.BlockForm, code string) string {
	for _, line := range UsualLimits(b) {
		if line.Code == code {
			return line.Text
		}
	}
	return ""
}

// BlockLimitText is the same as text, empty where there is none.
func BlockLimitText(b models.BlockForm, code string) string {
	if d, ok := BlockLimit(b, code); ok {
		return d.String()
	}
	return ""
}

// WithBlockDefaults fills in what a form leaves open from common practice: each
// limit of its class that it does not name, and the window of resistance where
// both of its ends are open and the chemistry has one.
func WithBlockDefaults(b models.BlockForm) (models.BlockForm, error) {
	lines, err := pack.LinesFor(pack.Chemistry(b.Chemistry), b.Cells, float(b.Capacity))
	if err != nil {
		return b, fmt.Errorf("common limits of a block: %w", err)
	}
	limits := make(map[string]string, len(lines))
	for _, line := range lines {
		limits[line.Code] = line.Text
	}
	for code, text := range b.Limits {
		limits[code] = text
	}
	b.Limits = limits
	if b.ResistanceLow != "" || b.ResistanceHigh != "" || b.Capacity == "" {
		return b, nil
	}
	capacity, err := measure.Parse(b.Capacity)
	if err != nil {
		return b, fmt.Errorf("rated capacity of a block: %w", err)
	}
	// Lithium, and blocks outside 4 to 40 Ah, go by the maker's sheet.
	if window, err := pack.WindowFor(pack.ClassFor(pack.Chemistry(b.Chemistry), b.Cells, capacity.Float()), capacity.Float()); err == nil {
		b.ResistanceLow, b.ResistanceHigh = plain(window.PlausibleLow), plain(window.PlausibleHigh)
	}
	return b, nil
}

func plain(x float64) string {
	d, err := measure.Round(x, 3)
	if err != nil {
		return ""
	}
	return d.Trim().String()
}

// Why the state of charge of a rested block is not known.
const (
	ChargeNoTable   = "charge_no_table"   // neither the model nor its chemistry has one
	ChargeOnPlateau = "charge_on_plateau" // the voltage of its chemistry says nothing there
	chargeOfNone    = "charge_of_none"    // reversed, or dead
)

// BlockCharge is the state of charge of a rested block, by the model's own table
// or that of its chemistry; why is empty, or says what keeps it from being known.
func BlockCharge(b models.BlockForm, ocv25 float64) (pct float64, why string) {
	chemistry := pack.Chemistry(b.Chemistry)
	if ocv25 <= 0 {
		return 0, chargeOfNone
	}
	var err error
	if len(b.VoltageTable) == 0 {
		pct, err = pack.SoC(chemistry, ocv25, b.Cells)
	} else if pack.OnPlateau(chemistry, ocv25, b.Cells) {
		return 0, ChargeOnPlateau
	} else {
		pct, err = pack.SoCFrom(ChargeTable(b), ocv25)
	}
	if err != nil {
		return 0, ChargeNoTable
	}
	return pct, ""
}

// ShipMargin is the charge, %, that a block may lose until its voltage falls
// below a limit, by the model's own table or that of its chemistry; known is
// false where there is neither.
func ShipMargin(b models.BlockForm, ocv25, limit float64) (pct float64, known bool) {
	var err error
	if len(b.VoltageTable) == 0 {
		pct, err = pack.ShipMargin(pack.Chemistry(b.Chemistry), ocv25, limit, b.Cells)
	} else {
		pct, err = pack.ShipMarginFrom(ChargeTable(b), ocv25, limit)
	}
	return pct, err == nil
}

// fullVolts is the voltage of a full block by the model's own table, 0 without
// one.
func fullVolts(b models.BlockForm) float64 {
	if n := len(b.VoltageTable); n > 0 {
		return float(b.VoltageTable[n-1].Volts)
	}
	return 0
}

// ChargeTable is the model's own table in numbers; a text that is none is 0,
// which no table may hold.
func ChargeTable(b models.BlockForm) []pack.ChargeRow {
	rows := make([]pack.ChargeRow, len(b.VoltageTable))
	for i, p := range b.VoltageTable {
		rows[i] = pack.ChargeRow{Volts: float(p.Volts), Percent: float(p.Percent)}
	}
	return rows
}

func float(text string) float64 {
	d, err := measure.Parse(text)
	if err != nil {
		return 0
	}
	return d.Float()
}
