package wheel

import (
	"testing"

	"tracewright/testdata/cases"
)

// buildJSON is a wheel as the cases write it.
type buildJSON struct {
	Spokes         int           `json:"spokes"`
	RimRadius      float64       `json:"rim_radius"`
	NippleInset    float64       `json:"nipple_inset"`
	EA             float64       `json:"rim_EA"`
	InPlaneEI      float64       `json:"rim_EI_rad"`
	OutOfPlaneEI   float64       `json:"rim_EI_lat"`
	GJ             float64       `json:"rim_GJ"`
	RadiusA        float64       `json:"flange_radius_A"`
	RadiusB        float64       `json:"flange_radius_B"`
	OffsetA        float64       `json:"flange_offset_A"`
	OffsetB        float64       `json:"flange_offset_B"`
	CrossA         int           `json:"cross_A"`
	CrossB         int           `json:"cross_B"`
	SpokeE         float64       `json:"spoke_E"`
	Profile        [][2]*float64 `json:"spoke_profile"`
	SeatCompliance float64       `json:"spoke_seat_compliance"`
	TensionA       float64       `json:"tension_A"`
	Outset         float64       `json:"lateral_gauge_outset"`
	Pitch          float64       `json:"pitch_mm_per_turn"`
	Waves          int           `json:"harmonics"`
}

func (w buildJSON) build() Build {
	b := Build{
		Geometry: Geometry{
			Spokes: w.Spokes, RimRadius: w.RimRadius, NippleInset: w.NippleInset,
			FlangeRadiusA: w.RadiusA, FlangeRadiusB: w.RadiusB, FlangeOffsetA: w.OffsetA, FlangeOffsetB: w.OffsetB,
			CrossA: w.CrossA, CrossB: w.CrossB, SpokeE: w.SpokeE, SeatCompliance: w.SeatCompliance,
		},
		EA: w.EA, InPlaneEI: w.InPlaneEI, OutOfPlaneEI: w.OutOfPlaneEI, GJ: w.GJ,
		TensionA: w.TensionA, GaugeOutset: w.Outset, PitchMM: w.Pitch, Waves: w.Waves,
	}
	for _, stretch := range w.Profile {
		s := Segment{Diameter: *stretch[1]}
		if stretch[0] != nil {
			s.Length = *stretch[0]
		}
		b.Profile = append(b.Profile, s)
	}
	return b
}

// caseModel makes the model of a case.
func caseModel(t testing.TB, c cases.Case) *Model {
	t.Helper()
	in := cases.Decode[struct{ Wheel buildJSON }](t, c.Input)
	m, err := NewModel(in.Wheel.build())
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// taskJSON is a task as the cases write it.
type taskJSON struct {
	Lateral []float64 `json:"lateral_mm"`
	Radial  []float64 `json:"radial_mm"`
	Tension []float64 `json:"tension_N"`
	TargetA float64   `json:"tension_target_A"`
	TargetB float64   `json:"tension_target_B"`
	Options struct {
		Lateral    float64 `json:"s_lateral"`
		Radial     float64 `json:"s_radial"`
		Tension    float64 `json:"s_tension"`
		Lambda     float64 `json:"lambda"`
		MaxTurn    float64 `json:"max_turn"`
		TensionMax float64 `json:"tension_max"`
		TensionMin float64 `json:"tension_min"`
		Dish       float64 `json:"dish_target"`
		Sparse     int     `json:"sparse_limit"`
		Step       float64 `json:"turn_step"`
	} `json:"options"`
}

// caseTask makes the task of a case; it wants more than can be reached, so that
// a short list never ends early.
func caseTask(t testing.TB, c cases.Case) Task {
	t.Helper()
	in := cases.Decode[taskJSON](t, c.Input)
	o := in.Options
	return Task{
		Lateral: in.Lateral, Radial: in.Radial, Tension: in.Tension, TargetA: in.TargetA, TargetB: in.TargetB, DishTarget: o.Dish,
		LateralScale: o.Lateral, RadialScale: o.Radial, TensionScale: o.Tension, Restraint: o.Lambda, MaxTurn: o.MaxTurn,
		TensionMin: o.TensionMin, TensionMax: o.TensionMax, Step: o.Step, ShortList: o.Sparse,
	}
}
