package kinds

import (
	"slices"
	"testing"

	"tracewright/models"
	"tracewright/models/trade/pack"
)

// ownForm is a pack of three blocks whose model has a table and limits of its
// own: full at 13.20 V, empty at 12.40 V.
func ownForm() models.ProductForm {
	return models.ProductForm{Pack: &models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 3, MinRestHours: "24", BlockProduct: "b", BlockRevision: 2,
		VoltageTable: []models.ChargePoint{{Volts: "12.40", Percent: "0"}, {Volts: "13.20", Percent: "100"}},
		Limits:       map[string]string{"ship_ocv_min_a_v": "13.10", "ship_ocv_min_b_v": "13.00", "spread_ocv_a_v": "0.03", "spread_ocv_b_v": "0.06", "spread_ir_a_pct": "8", "spread_ir_b_pct": "12"}}}
}

func read(t *testing.T, form models.ProductForm, volts ...string) Reduction {
	t.Helper()
	r, err := reduceAll(packKind, form, rested, packSet(t, form, BlockVoltage, models.EveryBlock, volts...), packSet(t, form, BlockTemperature, models.Whole, "25"))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func codes(r Reduction) []string {
	var list []string
	for _, m := range r.Remarks {
		list = append(list, m.Code)
	}
	return list
}

func soc(r Reduction, position string) string {
	for _, v := range r.Values {
		if v.Code == "block_soc" && v.Position == position {
			return v.Value.String()
		}
	}
	return ""
}

func TestAPackIsLimitedByItsBlockModel(t *testing.T) {
	for grade, want := range map[string][3]string{"A": {"13.10", "0.03", "8"}, "B": {"13.00", "0.06", "12"}} {
		voltage := characteristic(t, packKind, ownForm(), grade, BlockVoltage).Results
		resistance := characteristic(t, packKind, ownForm(), grade, BlockResistance).Results
		if got := [3]string{voltage[0].Low, voltage[1].High, resistance[0].High}; got != want {
			t.Errorf("grade %s: %v, want %v", grade, got, want)
		}
	}
	cleared := ownForm()
	cleared.Pack.Limits["ship_ocv_min_b_v"] = ""
	if low := characteristic(t, packKind, cleared, "B", BlockVoltage).Results[0].Low; low != "" {
		t.Errorf("a limit that the model was cleared of came back as %s", low)
	}
}

// By hand on the straight line from 12.40 V to 13.20 V: 13.16 V is 95 %.
func TestAPackIsReadByTheTableOfItsBlockModel(t *testing.T) {
	for _, c := range []struct {
		name  string
		volts []string
		soc   string
		grade string
		gated bool
	}{
		{"grade A", []string{"13.16", "13.18", "13.19"}, "95.00", "grade_a", false},
		// 13.20 V is 2.2 V a cell, and this model full: no surface charge.
		{"full", []string{"13.20", "13.20", "13.20"}, "100.00", "grade_a", false},
		{"0.03 V a cell above full", []string{"13.38", "13.37", "13.36"}, "100.00", "grade_a", false},
		{"more than that", []string{"13.381", "13.37", "13.36"}, "100.00", "", true},
		{"grade B", []string{"13.04", "13.08", "13.10"}, "80.00", "grade_b", false},
		{"too far apart", []string{"13.04", "13.11", "13.10"}, "80.00", "grade_rework", false},
		// 0.10 V below the least of grade B a block is suspect.
		{"suspect", []string{"12.89", "13.00", "13.00"}, "61.25", "grade_quarantine", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := read(t, ownForm(), c.volts...)
			if got := soc(r, "1.1"); got != c.soc {
				t.Errorf("charge of block 1 %s, want %s", got, c.soc)
			}
			if gated := slices.Contains(codes(r), pack.SurfaceChargeSuspected); gated != c.gated || r.Unjudged != c.gated {
				t.Errorf("surface charge %v, unjudged %v", gated, r.Unjudged)
			}
			if c.grade != "" && !slices.Contains(codes(r), c.grade) {
				t.Errorf("%v, want %s", codes(r), c.grade)
			}
		})
	}
	common := ownForm()
	common.Pack.VoltageTable = nil
	if r := read(t, common, "13.20", "13.20", "13.20"); !r.Unjudged {
		t.Error("13.20 V of a model without a table of its own is above 2.18 V a cell")
	}
}

// Lithium with a table has a state of charge, save where the curve of iron
// phosphate is flat: 3.28 to 3.33 V a cell, about 30 to 90 %, common practice.
func TestChargeOfLithiumByItsModelsTable(t *testing.T) {
	for _, c := range []struct {
		name, chemistry string
		cells           int
		low, high, volt string
		soc             string
		plateau         bool
	}{
		{"li-ion", "li_ion", 1, "3.40", "4.20", "3.80", "50.00", false},
		{"iron phosphate below its plateau", "lifepo4", 1, "3.00", "3.40", "3.20", "50.00", false},
		{"where the plateau begins", "lifepo4", 1, "3.00", "3.40", "3.28", "", true},
		{"where it ends", "lifepo4", 1, "3.00", "3.40", "3.33", "", true},
		{"above it", "lifepo4", 1, "3.00", "3.40", "3.34", "85.00", false},
		{"four cells in a block", "lifepo4", 4, "12.00", "13.60", "13.20", "", true},
		{"four cells above", "lifepo4", 4, "12.00", "13.60", "13.40", "87.50", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			form := models.ProductForm{Pack: &models.PackForm{Chemistry: c.chemistry, Cells: c.cells, Strings: 1, Blocks: 2, MinRestHours: "1",
				VoltageTable: []models.ChargePoint{{Volts: c.low, Percent: "0"}, {Volts: c.high, Percent: "100"}}}}
			r := read(t, form, c.volt, c.volt)
			if got := soc(r, "1.2"); got != c.soc {
				t.Errorf("charge %q, want %q", got, c.soc)
			}
			said := 0
			for _, code := range codes(r) {
				if code == ChargeOnPlateau {
					said++
				}
			}
			if (said == 1) != c.plateau {
				t.Errorf("said %d times that the voltage says nothing: %v", said, codes(r))
			}
		})
	}
}

// A block that stands alone is gated by its own table too.
func TestABlockIsGatedByItsOwnTable(t *testing.T) {
	own := *blockForm.Block
	own.VoltageTable = []models.ChargePoint{{Volts: "12.40", Percent: "0"}, {Volts: "13.20", Percent: "100"}}
	for volts, gated := range map[string]bool{"13.20": false, "13.39": true} {
		form := models.ProductForm{Block: &own}
		r, err := reduceAll(blockKind, form, rested, blockSets(t, form, volts, "14.1", "25")...)
		if err != nil {
			t.Fatal(err)
		}
		if slices.Contains(codes(r), pack.SurfaceChargeSuspected) != gated {
			t.Errorf("%s V: %v", volts, codes(r))
		}
	}
}

// Common limits are those of the block's class for as many cells as it has: 3.25
// and 2.00 V a cell of iron phosphate, 12.60 V for six of gel; a flooded block
// ships at 12.65 and 12.55 V.
func TestUsualLimitsOfABlock(t *testing.T) {
	for _, c := range []struct {
		chemistry  string
		cells      int
		code, want string
	}{
		{"lifepo4", 4, "incoming_ocv_min_v", "13.00"}, {"lifepo4", 4, "scrap_below_v", "8.00"}, {"lifepo4", 4, "spread_ir_a_pct", "10"}, {"lifepo4", 1, "incoming_ocv_min_v", "3.25"},
		{"gel", 3, "incoming_ocv_min_v", "6.30"}, {"agm", 3, "incoming_ocv_min_v", "6.30"}, {"agm", 1, "incoming_ocv_min_v", "2.10"}, {"agm", 6, "ship_ocv_min_b_v", "12.80"},
		{"flooded", 6, "ship_ocv_min_a_v", "12.65"}, {"flooded", 3, "ship_ocv_min_b_v", "6.275"}, {"agm", 6, "ship_soc_max_air_pct", ""},
	} {
		if got := UsualLimit(models.BlockForm{Chemistry: c.chemistry, Cells: c.cells, Capacity: "12"}, c.code); got != c.want {
			t.Errorf("%s of %d cells, %s: %q, want %q", c.chemistry, c.cells, c.code, got, c.want)
		}
	}
}
