package build

import (
	"testing"

	"tracewright/models"
)

// A pack whose block model says its own cut-off, share and correction is tested by
// those.
func TestACapacityTestGoesByTheBlockModel(t *testing.T) {
	form := models.PackForm{Chemistry: "agm", Cells: 6, Strings: 1, Blocks: 1, CapacityAh: "12", Limits: map[string]string{"cut_off_v": "10.80", "capacity_min_pct": "90", "capacity_coef_per_k": "0.008"}}
	for _, row := range []struct {
		name                      string
		limits                    map[string]string
		cutOff, accept, perKelvin string
	}{
		{"its own", form.Limits, "10.80", "90", "0.008"},
		{"common practice", nil, "10.50", "95", "0.006"},
	} {
		form.Limits = row.limits
		var got models.CapacityTest
		judgeBy(&models.InvalidError{}, &got, NewTest{Log: models.CapacityLog{Hours: []string{"0", "20"}, Amps: []string{"0.6", "0.6"}, Volts: [][]string{{"12.8", "10.4"}}}}, form)
		if got.CutOffV != row.cutOff || got.AcceptPct != row.accept || got.CoefPerK != row.perKelvin {
			t.Errorf("%s: cut-off %s, accepted from %s %%, %s per kelvin", row.name, got.CutOffV, got.AcceptPct, got.CoefPerK)
		}
	}
}
