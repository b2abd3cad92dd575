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
	if len(b.VoltageTable) > 0 {
		rows := make([]any, len(b.VoltageTable))
		for i, r := range b.VoltageTable {
			rows[i] = fields{"volts": r.Volts, "percent": r.Percent}
		}
		f["voltage_table"] = rows
	}
	if len(b.Limits) > 0 {
		limits := fields{}
		for code, value := range b.Limits {
			limits[code] = value
		}
		f["limits"] = limits
	}
	return f
}
