package pack

import (
	"fmt"
	"slices"
)

// Class is a class of blocks or cells that shares default limits.
type Class string

// The classes of the default specification.
const (
	ClassAGMSmall Class = "agm_12v_to_12ah"    // 12 V absorbed glass mat up to 12 Ah
	ClassAGM      Class = "agm_12v_above_12ah" // 12 V absorbed glass mat above 12 Ah
	ClassGel      Class = "gel_12v"
	ClassSixVolt  Class = "lead_6v"
	ClassLiFePO4  Class = "lifepo4_cell"
	ClassLiIon    Class = "li_ion_cell"
)

// Classes lists the classes in the order of the columns below.
func Classes() []Class {
	return []Class{ClassAGMSmall, ClassAGM, ClassGel, ClassSixVolt, ClassLiFePO4, ClassLiIon}
}

// Chemistry gives the chemistry whose charge table and gate hold for the class.
// A 6 V block is taken for general absorbed glass mat. An unknown class has none.
func (c Class) Chemistry() Chemistry {
	switch c {
	case ClassAGMSmall:
		return AGMSmall
	case ClassAGM, ClassSixVolt:
		return AGM
	case ClassGel:
		return Gel
	case ClassLiFePO4:
		return LiFePO4
	case ClassLiIon:
		return LiIon
	}
	return ""
}

// Cells gives the cells in series of one block of the class; 0 for an unknown
// class.
func (c Class) Cells() int {
	switch c {
	case ClassAGMSmall, ClassAGM, ClassGel:
		return CellsPer12V
	case ClassSixVolt:
		return CellsPer12V / 2
	case ClassLiFePO4, ClassLiIon:
		return 1
	}
	return 0
}

// SpecificationVersion names the table below and is raised with every change.
const SpecificationVersion = "pack-limits-2"

// Origin says where a default limit comes from, so that every line of a
// specification can show it.
type Origin string

// Origins. A limit of mixed origin names the weaker one for lithium.
const (
	Practice        Origin = "common_practice"       // no source
	Published       Origin = "published"             // seen in a maker's or public document
	PublishedMemory Origin = "published_from_memory" // quoted from memory, clause not read again
)

// Line is one default limit of a class. Text is an exact decimal.
type Line struct {
	Code   string
	Unit   string
	Text   string
	Origin Origin
}

// lineRow is one parameter for all six classes, "" where a class has none; lead
// and lithium may come from different places.
type lineRow struct {
	code, unit    string
	text          [6]string
	lead, lithium Origin
}

// defaultLines is the default specification, in the column order of Classes.
// The maker's data sheet for the exact model comes first; every line is editable.
//
// The maker's minimum of lead-acid is one maker's 2.07 V a cell; the level for
// attention to a rise of resistance follows IEEE 1188, quoted from memory; cut-off
// voltages and capacity follow IEC 60896-22 and IEC 61056-1, quoted from memory.
// Lithium ships by charge, at most 30 % by air, and is never built from two lots. Loss between two readings (k) is
// mV a day of the whole block at 25 degrees; its limit against the lot, a robust z of 3.5, is Iglewicz and Hoaglin 1993,
// quoted from memory. Version 2 added the loss against the lot, the lot's own rule and the age of a reading for matching.
var defaultLines = []lineRow{
	{"rest_min_h", "h", [6]string{"24", "24", "24", "24", "1", "1"}, Published, Practice},
	{"incoming_ocv_min_v", "V", [6]string{"12.60", "12.60", "12.60", "6.30", "3.25", "3.55"}, Practice, Practice},
	{"maker_ocv_min_v", "V", [6]string{"12.42", "12.42", "12.42", "6.21", "", "3.50"}, Published, Practice},
	{"scrap_below_v", "V", [6]string{"11.80", "11.80", "11.80", "5.90", "2.00", "2.50"}, Practice, Practice},
	{"ship_ocv_min_a_v", "V", [6]string{"12.90", "12.80", "12.85", "6.40", "", ""}, Practice, Practice},
	{"ship_ocv_min_b_v", "V", [6]string{"12.80", "12.70", "12.75", "6.35", "", ""}, Practice, Practice},
	{"spread_ocv_a_v", "V", [6]string{"0.050", "0.050", "0.050", "0.025", "0.020", "0.010"}, Practice, Practice},
	{"spread_ocv_b_v", "V", [6]string{"0.100", "0.100", "0.100", "0.050", "0.030", "0.020"}, Practice, Practice},
	{"spread_ir_a_pct", "%", [6]string{"10", "10", "10", "10", "10", "10"}, Practice, Practice},
	{"spread_ir_b_pct", "%", [6]string{"20", "20", "20", "20", "15", "15"}, Practice, Practice},
	{"ir_ratio_watch", "1", [6]string{"1.2", "1.2", "1.2", "1.2", "1.2", "1.2"}, PublishedMemory, Practice},
	{"ir_ratio_investigate", "1", [6]string{"1.3", "1.3", "1.3", "1.3", "1.3", "1.3"}, PublishedMemory, Practice},
	{"ir_ratio_reject", "1", [6]string{"1.5", "1.5", "1.5", "1.5", "1.5", "1.5"}, PublishedMemory, Practice},
	{"k_watch_mv_day", "mV/d", [6]string{"3", "3", "2", "1.5", "0.1", "0.3"}, Practice, Practice},
	{"k_reject_mv_day", "mV/d", [6]string{"5", "5", "4", "2.5", "0.3", "0.5"}, Practice, Practice},
	{"loss_z_max", "1", [6]string{"3.5", "3.5", "3.5", "3.5", "3.5", "3.5"}, PublishedMemory, PublishedMemory},
	{"loss_gap_min_days", "d", [6]string{"5", "5", "5", "5", "14", "5"}, Practice, Practice},
	{"loss_rest_min_h", "h", [6]string{"24", "24", "24", "24", "24", "24"}, Practice, Practice},
	{"lot_flagged_max_pct", "%", [6]string{"10", "10", "10", "10", "10", "10"}, Practice, Practice},
	{"lot_ir_ratio_max", "1", [6]string{"1.15", "1.15", "1.15", "1.15", "1.15", "1.15"}, Practice, Practice},
	{"stock_reading_max_days", "d", [6]string{"7", "7", "7", "7", "7", "7"}, Practice, Practice},
	{"self_discharge_pct_month", "%/month", [6]string{"3", "3", "2.5", "3", "2", "2"}, Published, Practice},
	{"stored_soc_min_pct", "%", [6]string{"70", "70", "70", "70", "30", "30"}, Published, Practice},
	{"shelf_base_months", "month", [6]string{"6", "6", "6", "6", "6", "6"}, Published, Practice},
	{"block_age_max_days", "d", [6]string{"365", "365", "365", "365", "365", "365"}, Practice, Practice},
	{"block_age_warn_days", "d", [6]string{"180", "180", "180", "180", "", ""}, Practice, Practice},
	{"lot_span_max_days", "d", [6]string{"90", "90", "90", "90", "", ""}, Practice, Practice},
	{"cut_off_v", "V", [6]string{"10.50", "10.50", "10.50", "5.25", "2.5", ""}, PublishedMemory, PublishedMemory},
	{"capacity_min_pct", "%", [6]string{"95", "95", "95", "95", "97", "97"}, PublishedMemory, Practice},
	{"capacity_coef_per_k", "1/K", [6]string{"0.006", "0.006", "0.006", "0.006", "", ""}, PublishedMemory, PublishedMemory},
	{"insulation_new_min_mohm", "MOhm", [6]string{"1", "1", "1", "1", "1", "1"}, Published, Published},
	{"insulation_floor_ohm_v", "ohm/V", [6]string{"100", "100", "100", "100", "100", "100"}, Published, Published},
	{"ship_soc_max_air_pct", "%", [6]string{"", "", "", "", "30", "30"}, Practice, Published},
}

// DefaultLines gives the default limits of a class in the order of the table;
// a limit that the class does not have is left out. An unknown class is
// ErrInput.
func DefaultLines(class Class) ([]Line, error) {
	for column, c := range Classes() {
		if c != class {
			continue
		}
		var lines []Line
		for _, row := range defaultLines {
			if row.text[column] == "" {
				continue
			}
			origin := row.lead
			if class == ClassLiFePO4 || class == ClassLiIon {
				origin = row.lithium
			}
			lines = append(lines, Line{Code: row.code, Unit: row.unit, Text: row.text[column], Origin: origin})
		}
		return lines, nil
	}
	return nil, fieldf("class", "%q is none of %v", string(class), Classes())
}

// KnownLimit says whether a limit of this code stands in the table at all, for
// whichever class.
func KnownLimit(code string) bool {
	return slices.ContainsFunc(defaultLines, func(row lineRow) bool { return row.code == code })
}

// Bounds of limits that no sheet goes beyond, by their code: what lies outside is a
// slip of the hand and would put every date and verdict out of reach. A charge of
// 100 % is due at once, one of 0 % never; self-discharge runs from under 1 % a month
// (lithium) to about 12 % (lead with antimony); a rest or a gap longer than two
// months is no method. Common practice, no source.
var bounds = map[string][2]string{
	"stored_soc_min_pct":       {"1", "99"},
	"shelf_base_months":        {"0.5", "36"},
	"self_discharge_pct_month": {"0.1", "50"},
	"capacity_min_pct":         {"1", "120"},
	"lot_flagged_max_pct":      {"0", "100"},
	"spread_ir_a_pct":          {"0", "100"},
	"spread_ir_b_pct":          {"0", "100"},
	"ship_soc_max_air_pct":     {"0", "100"},
	"rest_min_h":               {"0", "1500"},
	"loss_rest_min_h":          {"0", "1500"},
	"loss_gap_min_days":        {"0", "60"},
}

// Bounds gives the least and the most that a limit may be set to, in its unit; ok
// is false for one that is not bounded.
func Bounds(code string) (least, most, unit string, ok bool) {
	b, ok := bounds[code]
	if i := slices.IndexFunc(defaultLines, func(row lineRow) bool { return row.code == code }); i >= 0 {
		unit = defaultLines[i].unit
	}
	return b[0], b[1], unit, ok
}

// Limit gives the text of one default limit of a class. A limit that the class
// does not have is ErrNoTable.
func Limit(class Class, code string) (string, error) {
	lines, err := DefaultLines(class)
	if err != nil {
		return "", err
	}
	for _, line := range lines {
		if line.Code == code {
			return line.Text, nil
		}
	}
	return "", fmt.Errorf("%w: class %s has no default for %s", ErrNoTable, class, code)
}

// ClassSpreadLimits gives the spread limits of a class from its default lines,
// for blocks or cells as they are, without scaling.
func ClassSpreadLimits(class Class) (SpreadLimits, error) {
	var out SpreadLimits
	for code, field := range map[string]*string{
		"spread_ocv_a_v": &out.VoltageA, "spread_ocv_b_v": &out.VoltageB,
		"spread_ir_a_pct": &out.ResistA, "spread_ir_b_pct": &out.ResistB,
	} {
		text, err := Limit(class, code)
		if err != nil {
			return SpreadLimits{}, err
		}
		*field = text
	}
	return out, nil
}
