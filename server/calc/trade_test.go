package calc

import "testing"

// Input of wheels and packs that cannot be used names its field. Cases hold
// only inputs that work.
func TestTradeRefusals(t *testing.T) {
	twelve := `[0,0.1,0.2,0.3,0.2,0.1,0,0.1,0.2,0.3,0.2,0.1]`
	geometry := `"nipple_inset":7,"flange_radius_A":62,"flange_radius_B":62,"flange_offset_A":23,"flange_offset_B":23,"cross_A":1,"cross_B":1,"spoke_E":200000,"flange_hole_diameter":2.6`
	for _, row := range []struct{ name, kind, input, field string }{
		{"stations and readings differ", "runout", `{"stations":36,"readings":` + twelve + `}`, "readings"},
		{"too few stations", "runout", `{"stations":3,"readings":[0,0.1,0.2]}`, "readings"},
		{"repeat too far off", "runout", `{"stations":12,"readings":` + twelve + `,"station_0_reread":0.06}`, "readings"},
		{"neither lateral nor radial", "runout", `{"what":"vertical","stations":12,"readings":` + twelve + `}`, "what"},
		{"a reading left out", "runout", `{"stations":12,"readings":[null]}`, "readings[0]"},
		{"window without a station", "joint_local", `{"readings":` + twelve + `,"joint_deg":15,"half_window_deg":5,"max_harmonic":1}`, "half_window_deg"},
		{"waves the stations cannot resolve", "joint_local", `{"readings":` + twelve + `,"joint_deg":0,"half_window_deg":25,"max_harmonic":6}`, "max_harmonic"},
		{"dish without side B", "dish", `{"shoulder_distance_A":12.4}`, "shoulder_distance_B"},
		{"dish as a word", "dish", `{"shoulder_distance_A":"twelve","shoulder_distance_B":11}`, "shoulder_distance_A"},
		{"odd count of spokes", "tension_statistics", `{"tensions":[1000,900,1000]}`, "spokes"},
		{"negative tension", "tension_statistics", `{"tensions":[1000,900,-1,900]}`, "tensions[2]"},
		{"sides assigned otherwise", "tension_statistics", `{"tensions":[1000,900,1000,900],"sides":"first half A"}`, "sides"},
		{"ratio of zero", "entry_plausibility", `{"expected_ratio_A_over_B":0,"mean_A":1000,"mean_B":1000,"declared_unit":"N"}`, "expected_ratio_A_over_B"},
		{"unit of length", "entry_plausibility", `{"mean_A":1000,"mean_B":1000,"declared_unit":"mm"}`, "declared_unit"},
		{"a result left out", "grade_verdict", `{"values":{"lateral_tir":0.2,"radial_tir":0.3,"dish_abs":0,"side_tension_dev_pct":5}}`, "values.adjacent_diff_pct"},
		{"a negative result", "grade_verdict", `{"values":{"lateral_tir":-0.2,"radial_tir":0.3,"dish_abs":0,"side_tension_dev_pct":5,"adjacent_diff_pct":5}}`, "values.lateral_tir"},
		{"odd wheel", "spoke_geometry", `{"spokes":35,"rim_radius":197,"spoke_profile":[[null,2.3]],` + geometry + `}`, "spokes"},
		{"no rim", "spoke_geometry", `{"spokes":36,"rim_radius":0,"spoke_profile":[[null,2.3]],` + geometry + `}`, "rim_radius"},
		{"no stretch for the rest", "spoke_geometry", `{"spokes":36,"rim_radius":197,"spoke_profile":[[50,2.3]],` + geometry + `}`, "spoke_profile"},
		{"stretch of no length", "spoke_geometry", `{"spokes":36,"rim_radius":197,"spoke_profile":[[0,2.3],[null,2]],` + geometry + `}`, "spoke_profile"},
		{"stretch without diameter", "spoke_geometry", `{"spokes":36,"rim_radius":197,"spoke_profile":[[null,null]],` + geometry + `}`, "spoke_profile[0]"},

		{"unknown chemistry", "reading_gate", `{"chemistry":"potato","rest_h":24,"min_rest_h":24,"on_charger":false,"load_A":0,"ocv_V":12.8}`, "chemistry"},
		{"negative rest", "reading_gate", `{"chemistry":"agm","rest_h":-1,"min_rest_h":24,"on_charger":false,"load_A":0,"ocv_V":12.8}`, "rest_h"},
		{"77 degrees, Fahrenheit", "ocv_to_25C", `{"ocv_V":12.9,"temp_C":77,"cells":6,"coef_V_per_K_cell":0.0002}`, "temp_C"},
		{"lithium has no table", "ocv_to_soc", `{"chemistry":"lifepo4","ocv25_V":3.3,"cells":1}`, "chemistry"},
		{"no cells", "ocv_to_soc", `{"chemistry":"agm","ocv25_V":12.8,"cells":0}`, "cells"},
		{"gravity of water", "sg_to_ocv", `{"sg":0.9,"constant":0.84,"cells":6}`, "sg"},
		{"resistance of nothing", "ir_to_25C", `{"R_mohm":0,"temp_C":20,"coef_per_K":-0.005}`, "R_mohm"},
		{"window upside down", "ir_unit_guess", `{"entered":15,"expected_low_mohm":20,"expected_high_mohm":12}`, "expected_high_mohm"},
		{"currents exchanged", "two_point_ir", `{"I1_A":20,"U1_V":12.6,"I2_A":4,"U2_V":12.4}`, "I2_A"},
		{"voltage that rises", "two_point_ir", `{"I1_A":4,"U1_V":12.4,"I2_A":20,"U2_V":12.6}`, "U2_V"},
		{"below the meter's step", "two_point_ir", `{"I1_A":4,"U1_V":12.6,"I2_A":20,"U2_V":12.5,"resolution_V":0.01}`, "U1_V, U2_V"},
		{"capacity of nothing", "two_point_ir", `{"C10_Ah":0,"I1_A":4,"U1_V":12.6,"I2_A":20,"U2_V":12.4}`, "C10_Ah"},
		{"a resistance too few", "pack_spread", `{"ocv25_V":[12.8,12.8],"R25_mohm":[15],"cells_per_block":6}`, "R25_mohm"},
		{"zero resistance", "pack_spread", `{"ocv25_V":[12.8,12.8],"R25_mohm":[15,0],"cells_per_block":6}`, "R25_mohm[1]"},
		{"lithium ships by charge", "ready_to_ship", `{"chemistry":"lifepo4","ocv25_V":[3.3],"cells_per_block":1}`, "chemistry"},
		{"no block", "ready_to_ship", `{"chemistry":"agm","ocv25_V":[],"cells_per_block":6}`, "ocv25_V"},
		{"string without blocks", "series_sum", `{"blocks_V":[],"pack_V":0}`, "blocks_V"},
		{"negative tolerance", "series_sum", `{"blocks_V":[12.8],"pack_V":12.8,"tol_V":-0.1}`, "tol_V"},
		{"places out of order", "tap_order", `{"tap_V":[12.8,25.6],"recorded":[{"pos":2,"id":"A","ocv_V":12.8},{"pos":1,"id":"B","ocv_V":12.8}],"tol_V":0.008}`, "recorded[0].pos"},
		{"one block twice", "tap_order", `{"tap_V":[12.8,25.6],"recorded":[{"pos":1,"id":"A","ocv_V":12.8},{"pos":2,"id":"A","ocv_V":12.8}],"tol_V":0.008}`, "recorded[1].id"},
		{"negative rate", "self_discharge_rate", `{"s25_pct_month":-3,"temp_C":25}`, "s25_pct_month"},
		{"stay of minus a day", "storage_history", `{"soc0_pct":100,"s25_pct_month":3,"segments":[{"temp_C":20,"days":-1}]}`, "segments[0].days"},
		{"date by another custom", "refresh_due", `{"measured":"01.09.2026","ocv25_V":12.8,"chemistry":"agm","cells":6,"storage_temp_C":25,"s25_pct_month":3,"soc_min_pct":70,"base_months":6,"base_temp_C":25,"cap_months":6,"month_days":30.4375}`, "measured"},
		{"a day that is none", "refresh_due", `{"measured":"2026-02-30","ocv25_V":12.8,"chemistry":"agm","cells":6,"storage_temp_C":25,"s25_pct_month":3,"soc_min_pct":70,"base_months":6,"base_temp_C":25,"cap_months":6,"month_days":30.4375}`, "measured"},
	} {
		t.Run(row.kind+" "+row.name, func(t *testing.T) { refused(t, row.kind, row.input, row.field) })
	}
}

// Fields that may be left out have the values of common practice.
func TestTradeDefaults(t *testing.T) {
	for _, row := range []struct{ name, kind, with, without string }{
		{"a block has six cells", "reading_gate",
			`{"chemistry":"agm","rest_h":24,"min_rest_h":24,"on_charger":false,"load_A":0,"ocv_V":13.09,"cells":6}`,
			`{"chemistry":"agm","rest_h":24,"min_rest_h":24,"on_charger":false,"load_A":0,"ocv_V":13.09}`},
		{"tolerance 0.02 V + 0.003 V a block", "series_sum",
			`{"blocks_V":[12.8,12.8],"pack_V":25.626,"tol_V":0.026}`, `{"blocks_V":[12.8,12.8],"pack_V":25.626}`},
		{"even index A", "tension_statistics",
			`{"tensions":[1000,900,1010,910],"sides":"even index A, odd index B"}`, `{"tensions":[1000,900,1010,910]}`},
	} {
		t.Run(row.kind+" "+row.name, func(t *testing.T) {
			with, errWith := Run(row.kind, []byte(row.with))
			without, errWithout := Run(row.kind, []byte(row.without))
			if errWith != nil || errWithout != nil || string(with) != string(without) {
				t.Errorf("with: %s, %v; without: %s, %v", with, errWith, without, errWithout)
			}
		})
	}
}
