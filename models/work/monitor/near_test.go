package monitor

import (
	"math"
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

// The weight of the smoothed mean is the one that sees half a sigma soonest, and what it
// loses at one sigma is two points at the most: at any run length a shop has.
func TestTheWeightIsForSlowDrifts(t *testing.T) {
	seen := func(w, runLength float64) []float64 {
		design, err := spc.EWMAFor(w, runLength)
		if err != nil {
			t.Fatal(err)
		}
		after, err := design.RunLengths(0.5, 1)
		if err != nil {
			t.Fatal(err)
		}
		return after
	}
	// Printed by Lucas and Saccucci for a weight of 0.1 and 500 points.
	if printed := seen(0.1, 500); math.Abs(printed[0]-31.3) > 0.1 || math.Abs(printed[1]-10.3) > 0.1 {
		t.Errorf("at 500 points %v, printed 31.3 and 10.3", printed)
	}
	for _, runLength := range []float64{500, 5_000, 50_000} {
		own := seen(weight, runLength)
		for _, w := range []float64{0.1, 0.2} {
			if other := seen(w, runLength); own[0] > other[0] || own[1] > other[1]+2 {
				t.Errorf("at %.0f points %g sees half a sigma and one after %.1f, %g after %.1f", runLength, weight, own, w, other)
			}
		}
	}
}
