package kinds

import (
	"errors"
	"slices"
	"testing"

	"tracewright/models"
)

var blockForm = models.ProductForm{Block: &models.BlockForm{Supplier: "Halden", Model: "12-12", Chemistry: "agm", Cells: 6, Capacity: "12", ResistanceMethod: models.ResistanceAC}}

func blockSets(t *testing.T, form models.ProductForm, volts, milliohm, temperature string) []Set {
	t.Helper()
	var sets []Set
	for _, x := range []struct{ code, text string }{{BlockVoltage, volts}, {BlockResistance, milliohm}, {BlockTemperature, temperature}} {
		if x.text != "" {
			sets = append(sets, Set{Characteristic: characteristic(t, blockKind, form, "standard", x.code), Method: models.Whole, Manner: models.ResistanceAC, Values: parse(t, x.text)})
		}
	}
	return sets
}

func TestBlockResults(t *testing.T) {
	own := *blockForm.Block
	own.VoltageTable = []models.ChargePoint{{Volts: "12.00", Percent: "0"}, {Volts: "13.00", Percent: "100"}}
	for _, c := range []struct {
		name                         string
		form                         models.ProductForm
		volts, milliohm, temperature string
		ocv25, soc, r25              string
	}{
		// The table of general absorbed glass mat: 12.60 V is 75 %, 12.80 V full, so 12.70 V is 87.5 %.
		{"near 25 degrees", blockForm, "12.70", "14.1", "25", "12.70", "87.50", "14.1000"},
		// 6 cells x 0.0002 V/K x -10 K is 12 mV; 14.1/(1 + 0.005 x 10) is 13.4286 milliohm.
		{"at 15 degrees", blockForm, "12.688", "14.1", "15", "12.7000", "87.50", "13.4286"},
		{"by the maker's own table", models.ProductForm{Block: &own}, "12.70", "14.1", "25", "12.70", "70.00", "14.1000"},
		{"lithium has no table", models.ProductForm{Block: &models.BlockForm{Chemistry: "lifepo4", Cells: 1, ResistanceMethod: models.ResistanceAC}}, "3.301", "0.5", "25", "3.301", "", "0.5000"},
		// Wrong polarity keeps its sign: it is judged, and has no charge.
		{"reversed", blockForm, "-12.70", "14.1", "25", "-12.70", "", "14.1000"},
	} {
		t.Run(c.name, func(t *testing.T) {
			values := reduceSets(t, blockKind, c.form, rested, blockSets(t, c.form, c.volts, c.milliohm, c.temperature)...)
			for code, want := range map[string]string{"block_ocv25": c.ocv25, "block_soc": c.soc, "block_r25": c.r25} {
				got := ""
				if v, ok := values[code]; ok {
					got = v.Value.String()
				}
				if got != want {
					t.Errorf("%s is %q, want %q", code, got, want)
				}
			}
		})
	}
}

func TestBlockReadingsThatCannotBeUsed(t *testing.T) {
	for _, c := range []struct {
		name, volts, milliohm, temperature, manner, code string
	}{
		{"no temperature", "12.70", "14.1", "", models.ResistanceAC, "temperature_missing"},
		{"degrees of Fahrenheit", "12.70", "14.1", "77", models.ResistanceAC, "temperature_unusable"},
		{"another way than the model's", "12.70", "14.1", "25", models.ResistanceDC, "manner_of_model"},
		{"no way", "12.70", "14.1", "25", "", "manner_needed"},
		{"no resistance at all", "12.70", "-3", "25", models.ResistanceAC, "resistance_unusable"},
	} {
		t.Run(c.name, func(t *testing.T) {
			sets := blockSets(t, blockForm, c.volts, c.milliohm, c.temperature)
			for i := range sets {
				sets[i].Manner = c.manner
			}
			_, err := reduceAll(blockKind, blockForm, rested, sets...)
			var unusable *ReadingError
			if !errors.As(err, &unusable) || unusable.Remark.Code != c.code {
				t.Errorf("got %v, want %s", err, c.code)
			}
		})
	}
}

func TestGateOfABlock(t *testing.T) {
	for _, c := range []struct {
		name                  string
		volts                 string
		conditions            models.Conditions
		provisional, unjudged bool
		remark                string
	}{
		{"rested a day", "12.90", models.Conditions{RestHours: "24"}, false, false, ""},
		{"rested an evening", "12.90", models.Conditions{RestHours: "5"}, true, false, "rest_too_short"},
		{"on the charger", "12.90", models.Conditions{RestHours: "24", OnCharger: true}, false, true, "on_charger"},
		// 2.18 V a cell is 13.08 V.
		{"full of surface charge", "13.09", models.Conditions{RestHours: "24"}, false, true, "surface_charge_suspected"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := reduceAll(blockKind, blockForm, c.conditions, blockSets(t, blockForm, c.volts, "", "25")...)
			if err != nil {
				t.Fatal(err)
			}
			named := c.remark == "" || slices.ContainsFunc(r.Remarks, func(m models.Remark) bool { return m.Code == c.remark })
			if r.Provisional != c.provisional || r.Unjudged != c.unjudged || !named {
				t.Errorf("provisional %v, unjudged %v, remarks %v; want %v, %v, %s", r.Provisional, r.Unjudged, r.Remarks, c.provisional, c.unjudged, c.remark)
			}
		})
	}
}

// What a form leaves open is common practice, from the table of default limits
// and of resistance windows; what it says stays, and empty means none.
func TestDefaultsOfABlockModel(t *testing.T) {
	b := *blockForm.Block
	b.Limits = map[string]string{"incoming_ocv_min_v": "12.65", "maker_ocv_min_v": ""}
	filled, err := WithBlockDefaults(b)
	if err != nil {
		t.Fatal(err)
	}
	// A 12 V block of 12 Ah: 3 and 5 mV a day, shipped from 12.90 V, window 6 to 30 milliohm.
	for code, want := range map[string]string{"incoming_ocv_min_v": "12.65", "maker_ocv_min_v": "", "k_watch_mv_day": "3", "k_reject_mv_day": "5", "ship_ocv_min_a_v": "12.90", "lot_span_max_days": "90"} {
		if got := filled.Limits[code]; got != want {
			t.Errorf("%s is %q, want %q", code, got, want)
		}
	}
	if filled.ResistanceLow != "6" || filled.ResistanceHigh != "30" {
		t.Errorf("window %s to %s, want 6 to 30", filled.ResistanceLow, filled.ResistanceHigh)
	}
	if _, ok := BlockLimit(filled, "maker_ocv_min_v"); ok {
		t.Error("a limit that was cleared is there")
	}
	if len(b.Limits) != 2 {
		t.Error("the form that was given was changed")
	}
	if _, err := WithBlockDefaults(models.BlockForm{Chemistry: "potato"}); err == nil {
		t.Error("an unknown chemistry has defaults")
	}
	if low := characteristic(t, blockKind, models.ProductForm{Block: &filled}, "standard", BlockVoltage).Results[0].Low; low != "12.65" {
		t.Errorf("blocks are judged by %q, want 12.65", low)
	}
}
