package capture_test

import (
	"fmt"
	"testing"

	"tracewright/models"
	"tracewright/models/work/specify"
	"tracewright/models/work/worktest"
)

// The rules of ILAC-G8:09/2019, 4.2.1 to 4.2.3, and of ISO 14253-1, through
// recording: a dish of at most 0.30 mm known to 0.04, guard factor 1, so that up to
// 0.26 is accepted. Each row of outcomes belongs to the value at its head; equal to a
// limit is inside it.
func TestEveryRuleThroughRecording(t *testing.T) {
	h := worktest.New(t)
	s := specify.New(h.Store, h.Clock)
	family := *h.Item[models.KindWheel].FamilyID
	values := []string{"0.24", "0.26", "0.30", "0.32", "0.34", "0.36"}
	outcomes := map[string][]string{
		"simple":    {"pass", "pass", "pass", "fail", "fail", "fail"},
		"guarded":   {"pass", "pass", "fail", "fail", "fail", "fail"},
		"nonbinary": {"pass", "pass", "conditional_pass", "conditional_fail", "conditional_fail", "fail"},
		"iso14253":  {"conformity_verified", "conformity_verified", "not_verified", "not_verified", "not_verified", "nonconformity_verified"},
	}
	// What the whole inspection comes to, and whether the wheel may go on.
	whole := map[string]string{"pass": "pass", "conformity_verified": "pass", "fail": "fail", "conditional_fail": "fail", "nonconformity_verified": "fail", "conditional_pass": "incomplete", "not_verified": "incomplete"}
	for revision, rule := range []string{"simple", "guarded", "nonbinary", "iso14253"} {
		spec, err := s.InForce(t.Context(), family, nil)
		h.Must(err)
		list := spec.Characteristics
		for i := range list {
			for j := range list[i].Results {
				if l := &list[i].Results[j]; l.Result == "dish_abs" {
					l.High, l.U, l.Rule, l.GuardFactor = "0.30", "0.04", rule, "1"
				}
			}
		}
		_, err = s.ReviseSpecification(t.Context(), h.Owner, specify.SpecificationChange{FamilyID: family, From: revision + 1, Grade: specify.OwnGrade, Rule: "simple", Reason: rule, Characteristics: list})
		h.Must(err)
		for k, y := range values {
			t.Run(rule+" "+y, func(t *testing.T) {
				sub := h.Extremes()
				sub.Serial = *h.AnotherWheel().Serial
				var twice float64 // The offset is half of what the two shoulders differ by.
				if _, err := fmt.Sscan(y, &twice); err != nil {
					t.Fatal(err)
				}
				for n := range sub.Sets {
					if sub.Sets[n].Characteristic == "dish" {
						sub.Sets[n].Values = []string{"67.40", fmt.Sprintf("%.2f", 67.40+2*twice)}
					}
				}
				out := h.MustRecord(sub)
				want := outcomes[rule][k]
				for _, r := range out.Results {
					if r.Code != "dish_abs" {
						continue
					}
					if r.Verdict != want || r.U != "0.04" || rule == "simple" && r.AcceptHigh != "" || rule != "simple" && r.AcceptHigh != "0.26" {
						t.Errorf("%s is judged %s with accepted up to %q, want %s", r.Value, r.Verdict, r.AcceptHigh, want)
					}
				}
				if out.Inspection.Verdict != whole[want] {
					t.Errorf("the inspection is %s, want %s", out.Inspection.Verdict, whole[want])
				}
				item, err := h.Store.Item(t.Context(), out.Item.ID)
				h.Must(err)
				if conforming := item.State == models.StateConforming; conforming != (whole[want] == "pass") {
					t.Errorf("the wheel is %s after %s", item.State, want)
				}
			})
		}
	}
}
