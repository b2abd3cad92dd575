package calc

import (
	"errors"
	"fmt"
	"math"

	"tracewright/models/trade/wheel"
)

// examplePrescription is a wheel of twelve spokes that wobbles.
const examplePrescription = `{"wheel":` + exampleSmall + `,"lateral_mm":[0.3,0.26,0.15,0,-0.15,-0.26,-0.3,-0.26,-0.15,0,0.15,0.26],"radial_mm":[0.1,0.05,0,-0.05,-0.1,-0.05,0,0.05,0.1,0.05,0,-0.05],"tension_N":[1050,960,1010,990,1080,940,1000,1020,970,1030,950,1000],"tension_target_A":1000,"tension_target_B":1000,"options":{"s_lateral":0.1,"s_radial":0.15,"s_tension":50,"lambda":0.5,"max_turn":0.5,"tension_max":1300,"tension_min":500,"dish_target":0,"sparse_limit":4,"turn_step":0.125}}`

type prescriptionOptions struct {
	Lateral     float64 `json:"s_lateral"`
	Radial      float64 `json:"s_radial"`
	Tension     float64 `json:"s_tension"`
	Lambda      float64 `json:"lambda"`
	MaxTurn     float64 `json:"max_turn"`
	TensionMax  float64 `json:"tension_max"`
	TensionMin  float64 `json:"tension_min"`
	DishTarget  float64 `json:"dish_target"`
	SparseLimit int     `json:"sparse_limit"`
	Step        float64 `json:"turn_step"`
	// Taken off tension_max.
	Uncertainty float64 `json:"gauge_uncertainty,omitempty"`
	// First round on a rim type without experience: at most half a turn.
	Unlearned bool `json:"rim_not_learned,omitempty"`
	// Grade that the short list may stop at and the rim is judged by. Left out, the
	// list goes on to sparse_limit or until no nipple more lowers the objective, and
	// the rim is judged by standard.
	Grade string `json:"grade,omitempty"`
}

type prescriptionInput struct {
	Wheel   buildInput          `json:"wheel"`
	Lateral []float64           `json:"lateral_mm"`
	Radial  []float64           `json:"radial_mm"`
	Tension []float64           `json:"tension_N"`
	TargetA float64             `json:"tension_target_A"`
	TargetB float64             `json:"tension_target_B"`
	Options prescriptionOptions `json:"options"`
}

type stateAnswer struct {
	Objective   float64 `json:"objective"`
	LateralTIR  float64 `json:"lateral_tir"`
	LateralMean float64 `json:"lateral_mean"`
	RadialTIR   float64 `json:"radial_tir"`
	TensionMax  float64 `json:"tension_max"`
	TensionMin  float64 `json:"tension_min"`
	MeanA       float64 `json:"tension_mean_A"`
	MaxDevA     float64 `json:"tension_max_dev_pct_A"`
	MeanB       float64 `json:"tension_mean_B"`
	MaxDevB     float64 `json:"tension_max_dev_pct_B"`
}

func stateOf(s wheel.State) stateAnswer {
	return stateAnswer{
		Objective: s.Objective, LateralTIR: s.LateralTIR, LateralMean: s.LateralMean, RadialTIR: s.RadialTIR,
		TensionMax: s.TensionMax, TensionMin: s.TensionMin, MeanA: s.MeanA, MaxDevA: s.MaxDevPctA, MeanB: s.MeanB, MaxDevB: s.MaxDevPctB,
	}
}

type turnAnswer struct {
	Spoke   int     `json:"spoke"`
	Turns   float64 `json:"turns"`
	Highest float64 `json:"highest_tension_N"`
	At      int     `json:"at_spoke"`
}

type listAnswer struct {
	Turns    []float64 `json:"turns"`
	Feasible bool      `json:"feasible"`
	Touched  int       `json:"nipples_touched"`
	stateAnswer
	// In the order of work; the optimum and the lattice, which look at the end
	// only, have none.
	Sequence []turnAnswer `json:"sequence,omitempty"`
	Highest  *float64     `json:"highest_in_sequence_N,omitempty"`
	Halved   []int        `json:"halved_spokes,omitempty"`
	Dropped  []int        `json:"dropped_spokes,omitempty"`
}

func listOf(l wheel.List) listAnswer {
	return listAnswer{Turns: l.Turns, Feasible: l.Feasible, Touched: l.Touched, stateAnswer: stateOf(l.Expected)}
}

func sequenceOf(l wheel.List) listAnswer {
	answer := listOf(l)
	answer.Halved, answer.Dropped, answer.Highest = l.Sequence.Halved, l.Sequence.Dropped, &l.Sequence.HighestN
	for _, t := range l.Sequence.List {
		answer.Sequence = append(answer.Sequence, turnAnswer{Spoke: t.Spoke, Turns: t.Turns, Highest: t.HighestN, At: t.At})
	}
	return answer
}

type gradeCheckAnswer struct {
	Grade     string             `json:"grade"`
	Limits    map[string]float64 `json:"limits"`
	Meets     bool               `json:"lattice_meets_tir_limits_only"`
	Deviation float64            `json:"lattice_side_tension_dev_pct"`
}

type prescriptionAnswer struct {
	Before         stateAnswer      `json:"before"`
	Optimum        listAnswer       `json:"optimum"`
	Lattice        listAnswer       `json:"lattice"`
	All            listAnswer       `json:"turn_list"`
	Sparse         listAnswer       `json:"sparse"`
	Condition      float64          `json:"hessian_condition"`
	GradeCheck     gradeCheckAnswer `json:"grade_check"`
	Ceiling        float64          `json:"ceiling_N"`
	TakeTensionOut bool             `json:"take_tension_out_first"`
	WorstExcess    float64          `json:"worst_excess_N"`
	RimNotBuilder  []string         `json:"rim_not_builder"`
	Limits         string           `json:"honest_limits"`
}

// honestLimits is said with every list of turns.
const honestLimits = "stiffness assumed, not validated on a real wheel; plan for two or three rounds and read everything again after each"

func prescription(in prescriptionInput) (prescriptionAnswer, error) {
	grade := "standard"
	if in.Options.Grade != "" {
		grade = in.Options.Grade
	}
	wanted, ok := wheel.WantedOf(grade)
	if !ok {
		return prescriptionAnswer{}, &Failure{Field: "options.grade", Problem: fmt.Sprintf("%.40q is no grade", grade)}
	}
	m, err := in.Wheel.model()
	if err != nil {
		return prescriptionAnswer{}, err
	}
	o := in.Options
	p, err := wheel.Prescribe(m, wheel.Task{
		Lateral: in.Lateral, Radial: in.Radial, Tension: in.Tension,
		TargetA: in.TargetA, TargetB: in.TargetB, DishTarget: o.DishTarget,
		LateralScale: o.Lateral, RadialScale: o.Radial, TensionScale: o.Tension, Restraint: o.Lambda,
		MaxTurn: o.MaxTurn, TensionMin: o.TensionMin, TensionMax: o.TensionMax, GaugeUncertainty: o.Uncertainty,
		Unlearned: o.Unlearned, Step: o.Step, ShortList: o.SparseLimit, Limits: wanted, Full: o.Grade == "",
	})
	if errors.Is(err, wheel.ErrSlack) {
		return prescriptionAnswer{}, &Failure{Code: "slack_spokes", Field: "tension_N", Problem: err.Error()}
	}
	if err != nil {
		return prescriptionAnswer{}, blame("options", err)
	}
	s := p.Lattice.Expected
	return prescriptionAnswer{
		Before: stateOf(p.Before), Optimum: listOf(p.Optimum), Lattice: listOf(p.Lattice), All: sequenceOf(p.All), Sparse: sequenceOf(p.Short),
		Condition: p.Condition,
		GradeCheck: gradeCheckAnswer{
			Grade: grade, Limits: map[string]float64{wheel.LateralTIR: wanted.LateralTIR, wheel.RadialTIR: wanted.RadialTIR},
			Meets:     s.LateralTIR <= wanted.LateralTIR && s.RadialTIR <= wanted.RadialTIR,
			Deviation: math.Max(s.MaxDevPctA, s.MaxDevPctB),
		},
		Ceiling: p.Ceiling, TakeTensionOut: p.TakeTensionOut, WorstExcess: p.WorstExcessN,
		RimNotBuilder: p.RimNotBuilder, Limits: honestLimits,
	}, nil
}
