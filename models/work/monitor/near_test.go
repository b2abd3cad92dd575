package monitor

import (
	"testing"

	"tracewright/models/numbers/spc"
)

// A value of 0.001 V that lies below a limit of 0.00100004: at four decimals they read
// the same, and a sentence that says so says nothing. The eighth tells them apart.
func TestAValueNeverReadsAsItsOwnLimit(t *testing.T) {
	v := &ChartView{Decimals: 2, Unit: "V", Phases: []Phase{{To: 1, Values: spc.Panel{Name: spc.PanelValues}}}}
	r := &reader{v: v}
	r.signals(&v.Phases[0], spc.Panel{Name: spc.PanelValues, Signals: []spc.Signal{{Rule: spc.BeyondLimit, Side: spc.SideLow, Values: map[string]float64{"value": 0.001, "limit": 0.00100004}}}}, 1)
	said := v.Said(v.Signals[0]).Values
	if said["value"] != "0.00100000" || said["limit"] != "0.00100004" {
		t.Errorf("value %s, limit %s", said["value"], said["limit"])
	}
}
