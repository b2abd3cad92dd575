package calc

import (
	"encoding/json"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"tracewright/testdata/cases"
)

// Input of the wheel model that cannot be used names its field.
func TestWheelRefusals(t *testing.T) {
	without := func(old, new string) string { return strings.Replace(examplePrescription, old, new, 1) }
	thirteen := `[0,0.1,0.2,0.3,0.2,0.1,0,0.1,0.2,0.3,0.2,0.1,0.1]`
	for _, row := range []struct{ name, kind, input, field string }{
		{"a hole not read", "prescription", without(`"lateral_mm":[0.3,`, `"lateral_mm":[`), "lateral_mm"},
		{"no maximum", "prescription", without(`"tension_max":1300`, `"tension_max":0`), "options.tension_max"},
		{"no twist stiffness", "prescription", without(`"rim_GJ":150000000`, `"rim_GJ":0`), "wheel.rim_GJ"},
		{"odd wheel", "prescription", without(`"spokes":12`, `"spokes":13`), "wheel.spokes"},
		{"unknown grade", "prescription", without(`"options":{`, `"options":{"grade":"superb",`), "options.grade"},
		{"half a table", "tension_table", `{"reading":[1,2],"tension":[400],"query":[],"tension_unit":"N"}`, "tension"},
		{"table that turns back", "tension_table", `{"reading":[1,2,3],"tension":[400,600,500],"query":[],"tension_unit":"N"}`, "tension"},
		{"unit of length", "tension_table", `{"reading":[1,2],"tension":[400,600],"query":[],"tension_unit":"mm"}`, "tension_unit"},
		{"slack by ear", "pitch_to_tension", `{"free_length_m":0.2,"segments_m":[[0.2,0.0023]],"frequency_hz":20,"E_Pa":2e11,"density":7850}`, "frequency_hz"},
		{"rim without mass", "bare_ring", `{"R_mm":197,"EA_N":1e7,"EI_rad_N_mm2":1e8,"EI_lat_N_mm2":7e8,"GJ_N_mm2":1e8,"mass_kg":0,"load_N":100}`, "mass_kg"},
		{"rim without radius", "bare_ring", `{"R_mm":0,"EA_N":1e7,"EI_rad_N_mm2":1e8,"EI_lat_N_mm2":7e8,"GJ_N_mm2":1e8,"mass_kg":1,"load_N":100}`, "R_mm"},
		{"closed form with crossed spokes", "uniform_turn", `{"turns":1,"wheel":` + strings.Replace(exampleSmall, `"nipple_inset":7`, `"nipple_inset":0`, 1) + `}`, "wheel.cross_A"},
		{"a column beside the wheel", "influence", `{"turn":0.25,"spokes":[12],"wheel":` + exampleSmall + `}`, "spokes[0]"},
		{"nothing predicted", "model_scale_fit", `{"predicted":[0],"observed":[1]}`, "predicted"},
		{"mask without a reason", "runout", `{"stations":13,"readings":` + thirteen + `,"masked":[{"station":3,"reason":""}]}`, "masked[0]"},
	} {
		t.Run(row.kind+" "+row.name, func(t *testing.T) { refused(t, row.kind, row.input, row.field) })
	}
}

// A slack spoke is refused with a code and what to do instead.
func TestSlackSpokesRefused(t *testing.T) {
	_, err := Run("prescription", []byte(strings.Replace(examplePrescription, "1050", "150", 1)))
	var failure *Failure
	if !errors.As(err, &failure) || failure.Code != "slack_spokes" || !strings.Contains(failure.Problem, "equal thread depth") {
		t.Errorf("got %v", err)
	}
}

// Every list of turns says what the model is worth, and every tension by pitch
// what it may be used for.
func TestHonestAnswers(t *testing.T) {
	for _, row := range []struct{ kind, input, field, says string }{
		{"prescription", examplePrescription, "honest_limits", "not validated on a real wheel"},
		{"pitch_to_tension", `{"free_length_m":0.2,"segments_m":[[0.2,0.0023]],"frequency_hz":480,"E_Pa":2e11,"density":7850}`, "use", "evenness"},
	} {
		got, err := Run(row.kind, []byte(row.input))
		var answer map[string]any
		if err != nil || json.Unmarshal(got, &answer) != nil {
			t.Fatalf("%s: %v", row.kind, err)
		}
		if text, _ := answer[row.field].(string); !strings.Contains(text, row.says) {
			t.Errorf("%s: %s is %q", row.kind, row.field, text)
		}
	}
}

// A table written from its greatest reading down is the same table: the cases,
// turned round, give what they gave.
func TestTensionTableWrittenDownward(t *testing.T) {
	for _, c := range cases.OfKind(t, "tension_table") {
		in := cases.Decode[tableInput](t, c.Input)
		slices.Reverse(in.Reading)
		slices.Reverse(in.Tension)
		turned, err := json.Marshal(in)
		if err != nil {
			t.Fatal(err)
		}
		got, err := Run(c.Kind, turned)
		if err != nil {
			t.Errorf("%s: %v", c.ID, err)
			continue
		}
		for _, difference := range cases.Differences(c, got, nil) {
			t.Errorf("%s: %s", c.ID, difference)
		}
	}
}

// The line of a refusal names its field once.
func TestTableThatTurnsBackIsSaidOnce(t *testing.T) {
	_, err := Run("tension_table", []byte(`{"reading":[1,2,3],"tension":[400,600,500],"query":[],"tension_unit":"N"}`))
	if want := "tension: tensions of the table neither strictly rise nor strictly fall"; err == nil || err.Error() != want {
		t.Errorf("got %q, want %q", err, want)
	}
}

// A wheel without tension is answered where its spokes cross. Without the terms of
// prestress, and only then, what one nipple changes is in balance: the forces on
// the rim add up to none, and so do their moments about the middle of the wheel.
func TestInfluenceWithoutTension(t *testing.T) {
	input := func(tension, crosses string) string {
		small := strings.Replace(exampleSmall, `"tension_A":1000`, `"tension_A":`+tension, 1)
		return `{"turn":0.25,"wheel":` + strings.Replace(small, `"cross_A":1,"cross_B":1`, crosses, 1) + `}`
	}
	crossed := `"cross_A":1,"cross_B":1`
	unbalanced := func(tension string) (worst float64) {
		text, err := Run("influence", []byte(input(tension, crossed)))
		var answer influenceAnswer
		var in influenceInput
		if err != nil || json.Unmarshal(text, &answer) != nil || json.Unmarshal([]byte(input("1000", crossed)), &in) != nil {
			t.Fatalf("%s N: %v", tension, err)
		}
		b, err := in.Wheel.build()
		if err != nil {
			t.Fatal(err)
		}
		for _, column := range answer.Columns {
			var sums [6]float64 // forces, then moments
			for j, d := range column.DTension {
				s, err := b.Spoke(j)
				if err != nil {
					t.Fatal(err)
				}
				sin, cos := math.Sincos(2 * math.Pi * float64(j) / float64(b.Spokes))
				n, r := s.UnitVector, b.RimRadius-b.NippleInset
				x, y, z := cos*n[0]-sin*n[1], sin*n[0]+cos*n[1], n[2]
				for k, part := range []float64{x, y, z, r * sin * z, -r * cos * z, r * (cos*y - sin*x)} {
					sums[k] += d * part
				}
			}
			for k, sum := range sums {
				worst = math.Max(worst, math.Abs(sum)/[]float64{1, b.RimRadius}[k/3]/math.Abs(column.DTension[column.Spoke]))
			}
		}
		return worst
	}
	if got := unbalanced("0"); got > 1e-8 {
		t.Errorf("without tension %g of the spoke's own change is out of balance", got)
	}
	if got := unbalanced("1000"); got < 1e-5 {
		t.Errorf("with tension the string forces take part: %g", got)
	}
	refused(t, "influence", input("0", `"cross_A":0,"cross_B":0`), "wheel.tension_A")
	refused(t, "influence", input("-1", crossed), "wheel.tension_A")
	refused(t, "prescription", strings.Replace(examplePrescription, `"tension_A":1000`, `"tension_A":0`, 1), "wheel.tension_A")
}
