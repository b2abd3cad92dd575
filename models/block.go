package models

// BlockForm describes a model of battery block, as its maker's sheet does. What
// the form leaves open is filled in from common practice when it is stored, so
// that a later change of the defaults changes no form that stands.
type BlockForm struct {
	Supplier  string `json:"supplier"`
	Model     string `json:"model"`
	Chemistry string `json:"chemistry"`   // flooded, agm, agm_small, gel, lifepo4, li_ion
	Cells     int    `json:"cells"`       // in series in one block
	Capacity  string `json:"capacity_ah"` // rated, with its rate in Rate
	Rate      string `json:"rate"`        // "C20"
	// VoltageTable is the maker's own: rest voltage of the block at 25 degrees
	// against the charge it means, rising. Empty: the common one of the
	// chemistry; lithium has none, and its charge is then not known.
	VoltageTable     []ChargePoint `json:"voltage_table,omitempty"`
	ResistanceMethod string        `json:"resistance_method"` // ac_1khz or dc_two_point
	ResistanceLow    string        `json:"resistance_low"`    // plausible window at 25 degrees, milliohm
	ResistanceHigh   string        `json:"resistance_high"`
	DateCode         string        `json:"date_code"` // how the maker writes it: iso, yyww, yymm; empty: not known
	// Limits by their code in package pack ("incoming_ocv_min_v"), decimal text.
	// An empty text says that there is no such limit.
	Limits map[string]string `json:"limits,omitempty"`
}

// ChargePoint is a row of a voltage table.
type ChargePoint struct {
	Volts   string `json:"volts"`
	Percent string `json:"percent"`
}

// Ways in which makers write the day a block was made.
const (
	DateISO      = "iso"  // 2026-05-12, 2026-05 or 2026-W20
	DateYearWeek = "yyww" // 2620: week 20 of 2026
	DateYearMon  = "yymm" // 2605: May 2026
)
