package calc

import "tracewright/models/trade/wheel"

type geometryInput struct {
	Spokes      int     `json:"spokes"`
	RimRadius   float64 `json:"rim_radius"`
	NippleInset float64 `json:"nipple_inset"`
	RadiusA     float64 `json:"flange_radius_A"`
	RadiusB     float64 `json:"flange_radius_B"`
	OffsetA     float64 `json:"flange_offset_A"`
	OffsetB     float64 `json:"flange_offset_B"`
	CrossA      int     `json:"cross_A"`
	CrossB      int     `json:"cross_B"`
	SpokeE      float64 `json:"spoke_E"`
	// Stretches from end to end: length in mm or null for the rest, diameter in mm.
	Profile        [][2]*float64 `json:"spoke_profile"`
	SeatCompliance float64       `json:"spoke_seat_compliance,omitempty"`
	HoleDiameter   float64       `json:"flange_hole_diameter"`
}

type spokeAnswer struct {
	Length     float64    `json:"length_centreline"`
	BracingDeg float64    `json:"bracing_angle_deg"`
	EntryDeg   float64    `json:"in_plane_entry_angle_deg"`
	Stiffness  float64    `json:"axial_stiffness_N_per_mm"`
	UnitVector [3]float64 `json:"unit_vector"`
	CutLength  float64    `json:"cut_length"`
}

type geometryAnswer struct {
	SpokeA spokeAnswer `json:"spoke_0_side_A"`
	SpokeB spokeAnswer `json:"spoke_1_side_B"`
	Ratio  float64     `json:"tension_ratio_A_over_B"`
	// False where the sides are too alike to be told apart by their tension.
	RatioApplies bool `json:"ratio_tells_sides_apart"`
}

func spokeGeometry(in geometryInput) (geometryAnswer, error) {
	profile, err := stretches("spoke_profile", in.Profile)
	if err != nil {
		return geometryAnswer{}, err
	}
	g := wheel.Geometry{
		Spokes: in.Spokes, RimRadius: in.RimRadius, NippleInset: in.NippleInset,
		FlangeRadiusA: in.RadiusA, FlangeRadiusB: in.RadiusB, FlangeOffsetA: in.OffsetA, FlangeOffsetB: in.OffsetB,
		CrossA: in.CrossA, CrossB: in.CrossB, SpokeE: in.SpokeE, Profile: profile,
		SeatCompliance: in.SeatCompliance, FlangeHoleDiameter: in.HoleDiameter,
	}
	var answer geometryAnswer
	for j, into := range []*spokeAnswer{&answer.SpokeA, &answer.SpokeB} {
		s, err := g.Spoke(j)
		if err != nil {
			return geometryAnswer{}, blame("input", err)
		}
		*into = spokeAnswer{
			Length: s.Length, BracingDeg: s.BracingDeg, EntryDeg: s.EntryDeg,
			Stiffness: s.StiffnessNmm, UnitVector: s.UnitVector, CutLength: s.CutLength,
		}
	}
	answer.Ratio, err = g.ExpectedRatio()
	_, answer.RatioApplies = g.ExpectedRatioApplies()
	return answer, blame("input", err)
}

// stretches reads a spoke profile.
func stretches(field string, profile [][2]*float64) ([]wheel.Segment, error) {
	var list []wheel.Segment
	for _, stretch := range profile {
		var s wheel.Segment
		if stretch[0] != nil {
			if s.Length = *stretch[0]; s.Length <= 0 {
				return nil, &Failure{Field: field, Problem: "a length must be above zero, or null for the rest"}
			}
		}
		if stretch[1] != nil {
			s.Diameter = *stretch[1]
		}
		list = append(list, s)
	}
	return list, nil
}
