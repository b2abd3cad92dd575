package capture_test

import (
	"strings"
	"testing"

	"tracewright/models"
	"tracewright/models/numbers/measure"
	"tracewright/models/work/worktest"
)

// A reading in another unit that its characteristic takes is judged as what it
// says: 12880 mV are 12.88 V, whether the set says so or each value does. A unit that
// it does not take is refused.
func TestReadingsInAnotherUnit(t *testing.T) {
	worktest.Each(t, func(t *testing.T, h *worktest.Shop) {
		results := func(sub models.Submission) map[string]string {
			t.Helper()
			out := map[string]string{}
			for _, r := range h.MustRecord(sub).Results {
				value := r.Value
				if d, err := measure.Parse(r.Value); err == nil {
					value = d.Trim().String() // The zeros behind a factor are no resolution.
				}
				out[r.Code+" "+r.Position] = value + " " + r.Unit + " " + r.Verdict
			}
			return out
		}
		want := results(h.Pack())
		if want["block_voltage 1.1"] == "" && len(want) < 5 {
			t.Fatalf("results %v", want)
		}
		mV := func(volts string) string {
			whole, decimals, _ := strings.Cut(volts, ".")
			return whole + (decimals + "000")[:3]
		}
		for name, change := range map[string]func(*models.SentSet){
			"the set says mV": func(s *models.SentSet) {
				s.Unit = "mV"
				for i, v := range s.Values {
					s.Values[i] = mV(v)
				}
			},
			"the set and each value say mV": func(s *models.SentSet) {
				s.Unit = "mV"
				for i, v := range s.Values {
					s.Values[i] = mV(v) + " mV"
				}
			},
			"each value alone says mV": func(s *models.SentSet) {
				s.Unit = ""
				for i, v := range s.Values {
					s.Values[i] = mV(v) + "mV"
				}
			},
		} {
			t.Run(name, func(t *testing.T) {
				sub := h.Pack()
				change(&sub.Sets[0])
				change(&sub.Sets[3])
				for of, got := range results(sub) {
					if got != want[of] {
						t.Errorf("%s is %s, want %s", of, got, want[of])
					}
				}
			})
		}
		sub := h.Pack()
		sub.Sets[0].Unit = "mohm"
		_, err := h.Record(sub)
		worktest.WantProblems(t, err, "sets[0].unit: unit_not_accepted")
		sub = h.Pack()
		sub.Sets[0].Values[1] = "12.86 ohm"
		_, err = h.Record(sub)
		worktest.WantProblems(t, err, "sets[0].values[1]: other_unit_typed")
		sub = h.Pack()
		sub.Sets[0].Unit, sub.Sets[0].Values = "", []string{"12880 mV", "12.86", "12.91"}
		_, err = h.Record(sub)
		worktest.WantProblems(t, err, "sets[0].values[0]: other_unit_typed")
	})
}
