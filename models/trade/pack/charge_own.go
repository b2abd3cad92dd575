package pack

import "fmt"

// ChargeRow is a row of a maker's own table: the rest voltage of the whole block
// at 25 degrees, V, and the charge it means, %.
type ChargeRow struct{ Volts, Percent float64 }

// CheckChargeTable refuses a table that cannot be read both ways: fewer than two
// rows, voltages or charges that do not rise, or a charge outside 0 to 100. The
// row at fault, from 0, stands in the error's field.
func CheckChargeTable(table []ChargeRow) error {
	if len(table) < 2 {
		return fieldf("voltage_table", "%d rows, at least two are needed", len(table))
	}
	for i, row := range table {
		field := rowField(i)
		if err := first(positive(field, row.Volts), percent(field, row.Percent)); err != nil {
			return err
		}
		if i > 0 && (row.Volts <= table[i-1].Volts || row.Percent <= table[i-1].Percent) {
			return fieldf(field, "does not rise above the row before")
		}
	}
	return nil
}

func rowField(i int) string { return fmt.Sprintf("voltage_table[%d]", i) }

// SoCFrom gives the state of charge, %, of a rested block by a table of its own:
// linear between the rows, the ends outside them. The maker's table for the
// exact model comes before any of SoC.
func SoCFrom(table []ChargeRow, ocv25 float64) (float64, error) {
	if err := first(CheckChargeTable(table), finite("ocv25_V", ocv25)); err != nil {
		return 0, err
	}
	if ocv25 <= table[0].Volts {
		return table[0].Percent, nil
	}
	for i := 1; i < len(table); i++ {
		low, high := table[i-1], table[i]
		if ocv25 <= high.Volts {
			return low.Percent + (high.Percent-low.Percent)*(ocv25-low.Volts)/(high.Volts-low.Volts), nil
		}
	}
	return table[len(table)-1].Percent, nil
}
