package receive_test

import (
	"math"
	"testing"

	"tracewright/models"
	"tracewright/models/work/receive"
	"tracewright/models/work/worktest"
)

// The accept-on-zero sizes are hypergeometric and made by other programs
// (testdata/cases/records.json, SAM-Z00, Z01, Z03); the single plans stand in
// table II-A of MIL-STD-105E, reached from 281 to 500 pieces at level II by
// letter H, from 26 to 50 by D, whose AQL 4.0 leads to E. What passes in ten of a
// hundred cases are the roots of (1-p)^50 + 50 p (1-p)^49 = 0.10 and of the same
// for 13, found by another program; table VI-A prints 7.6 and 27 (from memory).
// 22 of 375 with 69 bad: C(306,22)/C(375,22), in exact fractions.
func TestPlansWorkedOut(t *testing.T) {
	zero := func(bad string) models.LotPlan { return models.LotPlan{Kind: models.PlanZero, Bad: bad, Risk: "10"} }
	single := func(aql string) models.LotPlan {
		return models.LotPlan{Kind: models.PlanSingle, Level: "II", AQL: aql}
	}
	for _, c := range []struct {
		name         string
		plan         models.LotPlan
		lot          int
		size, accept int
		bad, passes  float64
	}{
		{"a tenth of 50", zero("10"), 50, 18, 0, 10, 0.095044},
		{"a tenth of 100, with a comma", zero("10,0"), 100, 20, 0, 10, 0.095116},
		{"a fiftieth of 500", zero("2"), 500, 102, 0, 2, 0.099763},
		{"184 of a thousand of 375, which are 69", models.LotPlan{Kind: models.PlanZero, Bad: "18.4", Risk: "1"}, 375, 22, 0, 18.4, 0.009867},
		{"nobody knows how many: 0.8 to the 11th", zero("20"), 0, 11, 0, 20, 0.0859},
		{"what is usual", models.LotPlan{Kind: models.PlanZero}, 0, 11, 0, 20, 0.0859},
		{"one piece", zero("20"), 1, 1, 0, 20, 0},
		{"500 at 1.0", single("1.0"), 500, 50, 1, 7.558, 0.10},
		{"40 at 4.0", single("4.0"), 40, 13, 1, 26.784, 0.10},
		{"a plan larger than the lot", single("1.0"), 10, 10, 0, 0, 0},
		{"every piece", models.LotPlan{Kind: models.PlanAll}, 37, 37, 0, 0, 0},
		{"none", models.LotPlan{}, 37, 0, 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := receive.Work(c.plan, c.lot)
			if err != nil {
				t.Fatal(err)
			}
			if got.Size != c.size || got.Accept != c.accept || math.Abs(got.Bad-c.bad) > 5e-4 || math.Abs(got.Passes-c.passes) > 5e-5 {
				t.Errorf("look at %d, accept %d, %.4f %% passes %.6f; want %d, %d, %.4f %%, %.6f", got.Size, got.Accept, got.Bad, got.Passes, c.size, c.accept, c.bad, c.passes)
			}
		})
	}
}

func TestPlansThatAreNone(t *testing.T) {
	for _, c := range []struct {
		name string
		plan models.LotPlan
		lot  int
		want string
	}{
		{"a kind nobody knows", models.LotPlan{Kind: "half"}, 50, "plan: unknown_choice"},
		{"every piece of nobody knows how many", models.LotPlan{Kind: models.PlanAll}, 0, "plan: lot_size_unknown"},
		{"a share that is no number", models.LotPlan{Kind: models.PlanZero, Bad: "some"}, 50, "bad_percent: not_a_number"},
		{"a share above all", models.LotPlan{Kind: models.PlanZero, Bad: "100"}, 50, "bad_percent: share_out_of_range"},
		{"an AQL of no table", models.LotPlan{Kind: models.PlanSingle, Level: "II", AQL: "3"}, 50, "aql: unknown_choice"},
		{"a level of no table", models.LotPlan{Kind: models.PlanSingle, Level: "IV", AQL: "1.0"}, 50, "level: unknown_choice"},
	} {
		_, err := receive.Work(c.plan, c.lot)
		t.Run(c.name, func(t *testing.T) { worktest.WantProblems(t, err, c.want) })
	}
}

// 12 looked at, none bad: 0.8 to the 12th is 0.0687, seven of a hundred cases. Of
// 60 pieces with 12 bad it is C(48,12)/C(60,12) = 0.0498, drawn without putting
// back (by another program).
func TestWhatASampleLetThrough(t *testing.T) {
	plan := models.LotPlan{Kind: models.PlanZero, Bad: "20", Risk: "10"}
	for _, c := range []struct {
		name        string
		check       models.LotCheck
		bad, passes float64
		ok          bool
	}{
		{"of a lot nobody counted", models.LotCheck{Plan: plan, Looked: 12}, 20, 0.0687, true},
		{"of 60", models.LotCheck{Plan: plan, Lot: 60, Looked: 12}, 20, 0.0498, true},
		{"all of 60", models.LotCheck{Plan: plan, Lot: 60, Looked: 60}, 0, 0, false},
		{"every piece", models.LotCheck{Plan: models.LotPlan{Kind: models.PlanAll}, Lot: 60, Looked: 60}, 0, 0, false},
		{"nothing", models.LotCheck{Plan: plan, Lot: 60}, 0, 0, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			bad, passes, ok, err := receive.Shown(c.check)
			if err != nil || ok != c.ok || bad != c.bad || math.Abs(passes-c.passes) > 5e-4 {
				t.Errorf("%g %% at %.4f, %v, %v; want %g at %.4f, %v", bad, passes, ok, err, c.bad, c.passes, c.ok)
			}
		})
	}
}
