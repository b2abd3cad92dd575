package calc

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Input of the pack calculations that cannot be used names its field.
func TestPackRefusals(t *testing.T) {
	blocks := `"blocks":[{"id":"A","ocv_mV":12886,"ir_uohm":13250},{"id":"B","ocv_mV":12847,"ir_uohm":14300},{"id":"C","ocv_mV":12876,"ir_uohm":13550}]`
	matching := func(text ...string) string {
		input := `{"agg":"sum","mode":"fixed_packs","pack_size":2,"packs":1,"scale_mV":50,"scale_uohm":1000,"constraints":{},` + blocks + `}`
		return strings.NewReplacer(text...).Replace(input)
	}
	many := func(n int) string {
		list := make([]string, n)
		for i := range list {
			list[i] = fmt.Sprintf(`{"id":"B%d","ocv_mV":12880,"ir_uohm":14000}`, i)
		}
		return `"blocks":[` + strings.Join(list, ",") + `]`
	}
	lead := `"chemistry":"agm","passes_vibration_and_pressure_test":true,"no_free_liquid_55C":true,"marked_nonspillable":true,"installed_in_vehicle":false`
	for _, row := range []struct{ name, kind, input, field string }{
		{"date by another custom", "block_age", `{"made":"10.03.2026","last_charge":"2026-09-01","today":"2026-11-25","max_age_days":365,"refresh_days":182}`, "made"},
		{"a day that is none", "block_age", `{"made":"2026-03-10","last_charge":"2026-02-30","today":"2026-11-25","max_age_days":365,"refresh_days":182}`, "last_charge"},
		{"no date", "block_age", `{"made":"2026-03-10","last_charge":"2026-09-01","today":"","max_age_days":365,"refresh_days":182}`, "today"},
		{"negative limit", "block_age", `{"made":"2026-03-10","last_charge":"2026-09-01","today":"2026-11-25","max_age_days":365,"refresh_days":-1}`, "refresh_days"},
		{"baseline of nothing", "ir_ratio", `{"R25_mohm":14,"baseline_mohm":0}`, "baseline_mohm"},
		{"a second reading too few", "delta_ocv", `{"ocv1_V":[12.9,12.9],"ocv2_V":[12.89],"hours":168,"k_limit_mV_day":3,"z_limit":3.5,"resolution_mV":1}`, "ocv2_V"},
		{"a reading in millivolts", "delta_ocv", `{"ocv1_V":[12.9,12900],"ocv2_V":[12.89,12.89],"hours":168,"k_limit_mV_day":3,"z_limit":3.5,"resolution_mV":1}`, "ocv1_V[1]"},
		{"no time between", "delta_ocv", `{"ocv1_V":[12.9],"ocv2_V":[12.89],"hours":0,"k_limit_mV_day":3,"z_limit":3.5,"resolution_mV":1}`, "hours"},
		{"77 degrees, Fahrenheit", "capacity_corrected", `{"I_A":0.6,"hours":19.5,"temp_C":77,"lambda_per_K":0.006,"T_ref_C":25,"C_rated_Ah":12}`, "temp_C"},
		{"two rates", "peukert_fit", `{"I_A":[1,8],"hours":[20,1]}`, "I_A"},
		{"asked far beyond the rates", "peukert_fit", `{"I_A":[0.6,1.95,7.2],"hours":[20,5,1],"predict_I_A":15}`, "predict_I_A"},
		{"temperatures exchanged", "arrhenius_Ea", `{"T1_C":35,"T2_C":25,"rate_ratio":2}`, "rate_ratio"},
		{"leads alone are more", "two_wire_error", `{"R_two_wire_mohm":5,"lead_one_way_m":0.5,"area_mm2":2.5,"contacts":2,"contact_mohm":0.15}`, "R_two_wire_mohm"},
		{"wire of no area", "harness_drop", `{"I_A":20,"total_wire_m":1.2,"area_mm2":0,"joints":6,"joint_mohm":0.2,"pack_nominal_V":36}`, "area_mm2"},
		{"case above the pack", "insulation", `{"Vb_V":38.6,"V1_V":40,"V1_with_Ro_V":9.4,"Ro_ohm":50000}`, "V1_V"},
		{"no difference", "insulation", `{"Vb_V":38.6,"V1_V":20,"V1_with_Ro_V":20,"Ro_ohm":50000}`, "V1_with_Ro_V"},
		{"no cells", "ventilation", `{"cells":0,"Igas_mA_per_Ah":8,"C_Ah":12}`, "cells"},
		{"lead without a tick", "transport_class", `{` + lead + `}`, "short_circuit_protected"},
		{"lithium without its charge", "transport_class", `{"chemistry":"li_ion","installed_in_vehicle":false,"nominal_V":36,"capacity_Ah":10,"mode":"air","un38_3_summary":true,"with_equipment":false}`, "soc_pct"},
		{"unknown chemistry", "transport_class", `{"chemistry":"potato","installed_in_vehicle":false}`, "chemistry"},
		{"by balloon", "transport_class", `{"chemistry":"li_ion","installed_in_vehicle":false,"nominal_V":36,"capacity_Ah":10,"soc_pct":30,"mode":"balloon","un38_3_summary":true,"with_equipment":false}`, "mode"},

		{"one block twice", "match", matching(`"B"`, `"A"`), "blocks[1].id"},
		{"a block without a name", "match", matching(`"B"`, `""`), "blocks[1].id"},
		{"reversed block", "match", matching(`12847`, `-12847`), "blocks[1].ocv_mV"},
		{"resistance of nothing", "match", matching(`13550`, `0`), "blocks[2].ir_uohm"},
		{"more packs than blocks", "match", matching(`"packs":1`, `"packs":2`), "packs"},
		{"no packs", "match", matching(`"packs":1`, `"packs":0`), "packs"},
		{"a billion packs", "match", matching(`"packs":1`, `"packs":1000000000`), "packs"},
		{"packs of one", "match", matching(`"pack_size":2`, `"pack_size":1`), "pack_size"},
		{"fixed, without a number", "match", matching(`"packs":1`, `"packs":null`), "packs"},
		{"as many as can be, with a number", "match", matching(`fixed_packs`, `max_packs_then_min_cost`), "packs"},
		{"unknown mode", "match", matching(`fixed_packs`, `some`), "mode"},
		{"neither sum nor largest", "match", matching(`"sum"`, `"mean"`), "agg"},
		{"scale of nothing", "match", matching(`"scale_mV":50`, `"scale_mV":0`), "scale_mV"},
		{"words that say otherwise", "match", matching(`{"agg"`, `{"objective":"sum of squares","agg"`), "objective"},
		{"same lot, lots unknown", "match", matching(`"constraints":{}`, `"constraints":{"same_lot":true}`), "blocks[0].lot"},
		{"span of dates, dates unknown", "match", matching(`"constraints":{}`, `"constraints":{"max_age_span_days":30}`), "blocks[0].made"},
		{"negative limit", "match", matching(`"constraints":{}`, `"constraints":{"max_range_mV":-1}`), "constraints.max_range_mV"},
		{"no choice keeps the rules", "match", matching(`"constraints":{}`, `"constraints":{"max_range_uohm":10}`), "constraints"},
		{"date by another custom", "match", matching(`"ir_uohm":13250`, `"ir_uohm":13250,"made":"1/6/2026"`), "blocks[0].made"},
		{"no stock", "match", matching(blocks, `"blocks":[]`), "blocks"},
		{"a stock beyond any shop", "match", matching(blocks, many(501)), "blocks"},
		{"one block twice, by voltage alone", "match_one_criterion", `{"pack_size":2,"packs":1,"blocks":[{"id":"A","ocv_mV":1},{"id":"A","ocv_mV":2}]}`, "blocks[1].id"},
		{"a billion packs, by voltage alone", "match_one_criterion", `{"pack_size":2,"packs":1000000000,"blocks":[{"id":"A","ocv_mV":1},{"id":"B","ocv_mV":2}]}`, "packs"},
		{"packs of a billion, by voltage alone", "match_one_criterion", `{"pack_size":1000000000,"packs":1,"blocks":[{"id":"A","ocv_mV":1},{"id":"B","ocv_mV":2}]}`, "pack_size"},
	} {
		t.Run(row.kind+" "+row.name, func(t *testing.T) { refused(t, row.kind, row.input, row.field) })
	}
}

// Answers that someone may act on where it can hurt say what comes before them.
func TestPackCautions(t *testing.T) {
	for _, kind := range []string{"insulation", "ventilation", "transport_class"} {
		at := slices.IndexFunc(packKinds, func(k Kind) bool { return k.Name == kind })
		raw, err := Run(kind, []byte(packKinds[at].Example))
		if err != nil {
			t.Fatal(err)
		}
		var answer struct {
			Cautions []string `json:"cautions"`
		}
		if err := json.Unmarshal(raw, &answer); err != nil {
			t.Fatal(err)
		}
		for _, code := range []string{"maker_data_first", "local_codes_first", "licensed_practice_first"} {
			if !slices.Contains(answer.Cautions, code) {
				t.Errorf("%s: %s is not among the cautions %v", kind, code, answer.Cautions)
			}
		}
	}
}

// A gap stands beside every match; without a bound it is left open, never
// infinite.
func TestMatchGap(t *testing.T) {
	for _, row := range []struct{ name, blocks, gap string }{
		{"one pack is its own bound", `[{"id":"A","ocv_mV":100,"ir_uohm":2000},{"id":"B","ocv_mV":150,"ir_uohm":1000}]`, `0`},
		{"no cost", `[{"id":"A","ocv_mV":100,"ir_uohm":1000},{"id":"B","ocv_mV":100,"ir_uohm":1000}]`, `0`},
		// By one quantity alone there are two packs of no range, by both at once not.
		{"a bound of nothing", `[{"id":"A","ocv_mV":100,"ir_uohm":1000},{"id":"B","ocv_mV":100,"ir_uohm":2000},{"id":"C","ocv_mV":200,"ir_uohm":1000},{"id":"D","ocv_mV":200,"ir_uohm":2000}]`, `null`},
	} {
		t.Run(row.name, func(t *testing.T) {
			packs := strings.Count(row.blocks, "id") / 2
			raw, err := Run("match", fmt.Appendf(nil, `{"agg":"sum","mode":"fixed_packs","pack_size":2,"packs":%d,"scale_mV":50,"scale_uohm":1000,"constraints":{},"blocks":%s}`, packs, row.blocks))
			if err != nil || !strings.HasSuffix(string(raw), `"gap":`+row.gap+`}`) {
				t.Errorf("got %s, %v, want the gap %s", raw, err, row.gap)
			}
		})
	}
}
