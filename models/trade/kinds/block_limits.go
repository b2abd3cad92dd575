package kinds

import (
	"fmt"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/trade/pack"
)

// BlockClass is the class whose common limits a block model begins with.
func BlockClass(b models.BlockForm) pack.Class {
	capacity, err := measure.Parse(b.Capacity)
	if err != nil {
		return pack.ClassFor(pack.Chemistry(b.Chemistry), b.Cells, 0)
	}
	return pack.ClassFor(pack.Chemistry(b.Chemistry), b.Cells, capacity.Float())
}

// BlockLimit is a limit of a block model by its code in package pack: the form's
// own, else the common one of its class. ok is false where there is none.
func BlockLimit(b models.BlockForm, code string) (limit measure.Decimal, ok bool) {
	text, own := b.Limits[code]
	if !own {
		var err error
		if text, err = pack.Limit(BlockClass(b), code); err != nil {
			return measure.Decimal{}, false
		}
	}
	d, err := measure.Parse(text)
	return d, err == nil
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
	class := BlockClass(b)
	lines, err := pack.DefaultLines(class)
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
	if window, err := pack.WindowFor(class, capacity.Float()); err == nil {
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

// BlockCharge is the state of charge of a rested block, by the model's own table
// or that of its chemistry; known is false where there is neither.
func BlockCharge(b models.BlockForm, ocv25 float64) (pct float64, known bool) {
	if len(b.VoltageTable) == 0 {
		pct, err := pack.SoC(pack.Chemistry(b.Chemistry), ocv25, b.Cells)
		return pct, err == nil
	}
	pct, err := pack.SoCFrom(ChargeTable(b), ocv25)
	return pct, err == nil
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
