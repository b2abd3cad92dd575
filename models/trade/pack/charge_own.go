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
	return chargeAt(table, ocv25), nil
}

// Where the rest voltage of a lithium iron phosphate cell says nothing of its
// charge, V: about 30 to 90 % lie between, and 10 to 20 mV of it are hysteresis.
// Common practice, no source.
const (
	PlateauFromV = 3.28
	PlateauToV   = 3.33
)

// OnPlateau says that a rest voltage, V of a block, lies where its chemistry's
// curve is so flat that no table gives a charge for it.
func OnPlateau(chemistry Chemistry, ocv25 float64, cells int) bool {
	n := float64(cells)
	return chemistry == LiFePO4 && ocv25 >= PlateauFromV*n-slack && ocv25 <= PlateauToV*n+slack
}
