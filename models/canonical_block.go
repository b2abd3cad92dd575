package models

// canonical leaves out what is empty, but keeps a limit that is empty: it says
// that there is none.
func (b BlockForm) canonical() map[string]any {
	f := fields{"cells": b.Cells}
	put(f, "supplier", b.Supplier)
	put(f, "model", b.Model)
	put(f, "chemistry", b.Chemistry)
	put(f, "capacity_ah", b.Capacity)
	put(f, "rate", b.Rate)
	put(f, "resistance_method", b.ResistanceMethod)
	put(f, "resistance_low", b.ResistanceLow)
	put(f, "resistance_high", b.ResistanceHigh)
	put(f, "date_code", b.DateCode)
	putFigures(f, b.VoltageTable, b.Limits)
	return f
}

// putFigures adds the voltage table and the limits of a block model, where there
// are any.
func putFigures(f fields, table []ChargePoint, limits map[string]string) {
	if len(table) > 0 {
		rows := make([]any, len(table))
		for i, r := range table {
			rows[i] = fields{"volts": r.Volts, "percent": r.Percent}
		}
		f["voltage_table"] = rows
	}
	if len(limits) > 0 {
		list := fields{}
		for code, value := range limits {
			list[code] = value
		}
		f["limits"] = list
	}
}
