package cases

import (
	"encoding/json"
	"fmt"
	"math"
)

// How near a prescription must come to its reference. The optimum is unique;
// turns in whole steps are found by searches, whose references are only good
// ones, so that ours may be better.
const (
	prescriptionRel     = 1e-3 // before, condition
	optimumObjectiveRel = 1e-5
	optimumTurnsAbs     = 0.002
	latticeFactor       = 1.05
	sparseFactor        = 1.10
	onStep              = 1e-9
)

// prescriptionDifferences compares the answer's optimum, lattice and sparse
// lists with the references by these rules. The limits in grade_check are no
// part of an input, so that they are applied here to the answer's own lattice;
// the side deviation there belongs to the reference's own turns and is checked
// by evaluating those in the package of the model.
func prescriptionDifferences(cmp comparison, want, have any) []string {
	rel := cmp
	rel.c.Tolerance = Tolerance{Rel: prescriptionRel}
	rel.compare("before", "before", at(want, "before"), at(have, "before"), 0)
	rel.compare("hessian_condition", "hessian_condition", at(want, "hessian_condition"), at(have, "hessian_condition"), 0)
	cmp.found = rel.found

	if w, g := number(want, "optimum", "objective"), number(have, "optimum", "objective"); !(math.Abs(w-g) <= optimumObjectiveRel*w) {
		cmp.note("optimum.objective", "want %v, got %v", w, g)
	}
	if at(have, "optimum", "feasible") != at(want, "optimum", "feasible") {
		cmp.note("optimum.feasible", "got %v", at(have, "optimum", "feasible"))
	}
	exact := comparison{c: cmp.c}
	exact.c.Tolerance = Tolerance{Abs: optimumTurnsAbs}
	exact.compare("optimum.turns", "turns", at(want, "optimum", "turns"), at(have, "optimum", "turns"), 0)
	cmp.found = append(cmp.found, exact.found...)

	var input struct {
		Options struct {
			Step  float64 `json:"turn_step"`
			Limit int     `json:"sparse_limit"`
		}
	}
	if err := json.Unmarshal(cmp.c.Input, &input); err != nil {
		return append(cmp.found, fmt.Sprintf("read input: %v", err))
	}
	for _, list := range []struct {
		ours, reference string
		factor          float64
		most            int
	}{{"lattice", "lattice_reference", latticeFactor, math.MaxInt}, {"sparse", "sparse_reference", sparseFactor, input.Options.Limit}} {
		referenceKeeps := at(want, list.reference, "feasible") == true
		if referenceKeeps && at(have, list.ours, "feasible") != true {
			cmp.note(list.ours, "does not keep the limits, the reference does")
		}
		if w, g := number(want, list.reference, "objective"), number(have, list.ours, "objective"); referenceKeeps && !(g <= list.factor*w) {
			cmp.note(list.ours+".objective", "want at most %v times %v, got %v", list.factor, w, g)
		}
		turns, _ := at(have, list.ours, "turns").([]any)
		touched := 0
		for i, turn := range turns {
			steps := number(turn) / input.Options.Step
			if !(math.Abs(steps-math.Round(steps)) <= onStep) {
				cmp.note(fmt.Sprintf("%s.turns[%d]", list.ours, i), "%v is no multiple of the step", turn)
			}
			if steps != 0 {
				touched++
			}
		}
		if reference, _ := at(want, list.reference, "turns").([]any); len(turns) != len(reference) || touched > list.most {
			cmp.note(list.ours, "%d turns, %d of them made", len(turns), touched)
		}
	}
	meets := number(have, "lattice", "lateral_tir") <= number(want, "grade_check", "limits", "lateral_tir") &&
		number(have, "lattice", "radial_tir") <= number(want, "grade_check", "limits", "radial_tir")
	if at(want, "grade_check", "lattice_meets_tir_limits_only") != meets {
		cmp.note("grade_check", "the lattice meets the run-out limits: %v", meets)
	}
	return cmp.found
}

// at goes down into an answer by names; nil where there is nothing.
func at(v any, names ...string) any {
	for _, name := range names {
		object, _ := v.(map[string]any)
		v = object[name]
	}
	return v
}

// number is a number of an answer; NaN, which no comparison lets pass, where
// there is none.
func number(v any, names ...string) float64 {
	n, ok := at(v, names...).(json.Number)
	if !ok {
		return math.NaN()
	}
	x, err := n.Float64()
	if err != nil {
		return math.NaN()
	}
	return x
}
