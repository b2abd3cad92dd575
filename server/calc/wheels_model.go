package calc

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"tracewright/models/trade/wheel"
)

const (
	modelSource = "ring on prestressed spokes (Timoshenko; Love and Michell); stiffness assumed, not validated on a real wheel"

	exampleGeometry = `"spokes":36,"rim_radius":197,"flange_radius_A":62,"flange_radius_B":62,"flange_offset_A":23,"flange_offset_B":23,"spoke_E":200000,"spoke_profile":[[null,2.3]]`
	exampleRim      = `"rim_EA":12000000,"rim_EI_rad":180000000,"rim_EI_lat":700000000,"rim_GJ":150000000,"tension_A":1000,"pitch_mm_per_turn":0.4536`
	exampleSmall    = `{"spokes":12,"rim_radius":197,"nipple_inset":7,"flange_radius_A":62,"flange_radius_B":62,"flange_offset_A":23,"flange_offset_B":23,"cross_A":1,"cross_B":1,"spoke_E":200000,"spoke_profile":[[null,2.3]],"lateral_gauge_outset":6,"harmonics":12,` + exampleRim + `}`
)

// wheelModelKinds need the rim and spokes as an elastic body.
var wheelModelKinds = []Kind{
	{
		Name:    "bare_ring",
		Does:    "stiffness, bench tests and tap tones of a rim without spokes",
		Source:  "Timoshenko; Love and Michell; Hoppe 1871",
		Example: `{"R_mm":197,"EA_N":12000000,"EI_rad_N_mm2":180000000,"EI_lat_N_mm2":700000000,"GJ_N_mm2":150000000,"mass_kg":0.57,"load_N":100}`,
		Run:     of(bareRing),
	},
	{
		Name:    "uniform_turn",
		Does:    "what a turn of every nipple does to a symmetric wheel with radial spokes, in closed form",
		Source:  "statics of a ring on springs, textbook",
		Example: `{"turns":1,"wheel":{"nipple_inset":0,"cross_A":0,"cross_B":0,"lateral_gauge_outset":0,"harmonics":4,` + exampleGeometry + `,` + exampleRim + `}}`,
		Run:     of(uniformTurn),
	},
	{
		Name:    "influence",
		Does:    "what one nipple does to run-out and every tension; stiffness assumed, not measured",
		Source:  modelSource,
		Example: `{"turn":0.25,"wheel":` + exampleSmall + `}`,
		Run:     of(influence),
	},
	{
		Name:    "model_scale_fit",
		Does:    "observed over predicted change, least squares through zero, and whether they contradict",
		Source:  "least squares, textbook; limits 0.4 to 1.5 and correlation 0.7 common practice, no source",
		Example: `{"predicted":[310,-95,-60,22],"observed":[235,-71,-50,20]}`,
		Run:     of(modelScaleFit),
	},
	{
		Name:    "prescription",
		Does:    "which nipples to turn by how much, and in which order, below the rim maker's maximum tension",
		Source:  modelSource + "; regularised least squares under limits (Goldfarb and Idnani 1983)",
		Example: examplePrescription,
		Run:     of(prescription),
	},
}

type ringInput struct {
	R     float64 `json:"R_mm"`
	EA    float64 `json:"EA_N"`
	EIRad float64 `json:"EI_rad_N_mm2"`
	EILat float64 `json:"EI_lat_N_mm2"`
	GJ    float64 `json:"GJ_N_mm2"`
	Mass  float64 `json:"mass_kg"`
	Load  float64 `json:"load_N"`
}

type ringAnswer struct {
	Hoop     float64            `json:"hoop"`
	Radial   map[string]float64 `json:"radial_k_n"`
	Lateral  map[string]float64 `json:"lateral_k_n"`
	InPlane  map[string]float64 `json:"freq_in_plane_hz"`
	OutPlane map[string]float64 `json:"freq_out_plane_hz"`
	Pinch    float64            `json:"pinch_diameter_change"`
	SaddleMM float64            `json:"saddle_deflection_at_load"`
}

func bareRing(in ringInput) (ringAnswer, error) {
	rim := wheel.Rim{Radius: in.R, EA: in.EA, InPlaneEI: in.EIRad, OutOfPlaneEI: in.EILat, GJ: in.GJ}
	if err := rim.Check(); err != nil {
		return ringAnswer{}, renamed(blame("R_mm", err), "rim_radius", "R_mm", "rim_EA", "EA_N", "rim_EI_rad", "EI_rad_N_mm2", "rim_EI_lat", "EI_lat_N_mm2", "rim_GJ", "GJ_N_mm2")
	}
	if !(in.Mass >= 1e-3 && in.Mass <= 1000) {
		return ringAnswer{}, &Failure{Field: "mass_kg", Problem: "must be 0.001 to 1000 kg"}
	}
	if !(math.Abs(in.Load) <= 1e6) {
		return ringAnswer{}, &Failure{Field: "load_N", Problem: "must be at most 1e6 N"}
	}
	answer := ringAnswer{
		Hoop: rim.HoopStiffness(), Pinch: rim.PinchDiameterChange(in.Load), SaddleMM: rim.SaddleDeflection(in.Load),
		Radial: map[string]float64{}, Lateral: map[string]float64{}, InPlane: map[string]float64{}, OutPlane: map[string]float64{},
	}
	for n := 2; n <= 6; n++ {
		name := strconv.Itoa(n)
		answer.Radial[name], answer.Lateral[name] = rim.RadialStiffness(n), rim.LateralStiffness(n)
		answer.InPlane[name], answer.OutPlane[name] = rim.TapToneInPlane(n, in.Mass), rim.TapToneOutOfPlane(n, in.Mass)
	}
	return answer, nil
}

// renamed gives the field of a failure the name that the input has for it,
// from pairs of names.
func renamed(err error, pairs ...string) error {
	var failure *Failure
	if !errors.As(err, &failure) {
		return err
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		if failure.Field == pairs[i] {
			return &Failure{Code: failure.Code, Field: pairs[i+1], Problem: failure.Problem}
		}
	}
	return err
}

// buildInput is a laced and tensioned wheel.
type buildInput struct {
	Spokes         int           `json:"spokes"`
	RimRadius      float64       `json:"rim_radius"`
	NippleInset    float64       `json:"nipple_inset"`
	EA             float64       `json:"rim_EA"`
	EIRad          float64       `json:"rim_EI_rad"`
	EILat          float64       `json:"rim_EI_lat"`
	GJ             float64       `json:"rim_GJ"`
	RadiusA        float64       `json:"flange_radius_A"`
	RadiusB        float64       `json:"flange_radius_B"`
	OffsetA        float64       `json:"flange_offset_A"`
	OffsetB        float64       `json:"flange_offset_B"`
	CrossA         int           `json:"cross_A"`
	CrossB         int           `json:"cross_B"`
	SpokeE         float64       `json:"spoke_E"`
	Profile        [][2]*float64 `json:"spoke_profile"`
	SeatCompliance float64       `json:"spoke_seat_compliance,omitempty"`
	TensionA       float64       `json:"tension_A"`
	GaugeOutset    float64       `json:"lateral_gauge_outset"`
	Pitch          float64       `json:"pitch_mm_per_turn"`
	Harmonics      int           `json:"harmonics"`
}

func (in buildInput) build() (wheel.Build, error) {
	profile, err := stretches("wheel.spoke_profile", in.Profile)
	if err != nil {
		return wheel.Build{}, err
	}
	return wheel.Build{
		Geometry: wheel.Geometry{
			Spokes: in.Spokes, RimRadius: in.RimRadius, NippleInset: in.NippleInset,
			FlangeRadiusA: in.RadiusA, FlangeRadiusB: in.RadiusB, FlangeOffsetA: in.OffsetA, FlangeOffsetB: in.OffsetB,
			CrossA: in.CrossA, CrossB: in.CrossB, SpokeE: in.SpokeE, Profile: profile, SeatCompliance: in.SeatCompliance,
		},
		EA: in.EA, InPlaneEI: in.EIRad, OutOfPlaneEI: in.EILat, GJ: in.GJ,
		TensionA: in.TensionA, GaugeOutset: in.GaugeOutset, PitchMM: in.Pitch, Waves: in.Harmonics,
	}, nil
}

func (in buildInput) model() (*wheel.Model, error) {
	b, err := in.build()
	if err != nil {
		return nil, err
	}
	m, err := wheel.NewModel(b)
	return m, ofWheel(err)
}

// ofWheel blames a field of the wheel that an input holds.
func ofWheel(err error) error {
	err = blame("wheel", err)
	var failure *Failure
	if errors.As(err, &failure) && failure.Field != "wheel" {
		return &Failure{Code: failure.Code, Field: "wheel." + failure.Field, Problem: failure.Problem}
	}
	return err
}

type uniformInput struct {
	Wheel buildInput `json:"wheel"`
	Turns float64    `json:"turns"`
}

type uniformAnswer struct {
	Radial        float64 `json:"radial"`
	DTension      float64 `json:"d_tension"`
	Lateral       float64 `json:"lateral_A_tight_B_loose"`
	DTensionA     float64 `json:"d_tension_A_when_dishing"`
	WithoutString float64 `json:"d_tension_without_prestress_terms"`
}

func uniformTurn(in uniformInput) (uniformAnswer, error) {
	b, err := in.Wheel.build()
	if err != nil {
		return uniformAnswer{}, err
	}
	if err := b.Check(); err != nil {
		return uniformAnswer{}, ofWheel(err)
	}
	u, err := b.Uniform(in.Turns)
	if err != nil {
		return uniformAnswer{}, blame("turns", err)
	}
	return uniformAnswer{Radial: u.Radial, DTension: u.DTension, Lateral: u.Dished, DTensionA: u.DTensionA, WithoutString: u.DTensionWithoutString}, nil
}

type scaleInput struct {
	Predicted []float64 `json:"predicted"`
	Observed  []float64 `json:"observed"`
}

type scaleAnswer struct {
	Scale       float64 `json:"scale"`
	Residual    float64 `json:"residual_rms"`
	Correlation float64 `json:"correlation"`
	Contradicts bool    `json:"contradicts"`
}

func modelScaleFit(in scaleInput) (scaleAnswer, error) {
	f, err := wheel.FitScale(in.Predicted, in.Observed)
	if err != nil {
		return scaleAnswer{}, blame("predicted", err)
	}
	return scaleAnswer{Scale: f.Scale, Residual: f.ResidualRMS, Correlation: f.Correlation, Contradicts: f.Contradicts()}, nil
}

type influenceInput struct {
	Wheel  buildInput `json:"wheel"`
	Turn   float64    `json:"turn"`
	Spokes []int      `json:"spokes,omitempty"` // whose columns; left out, one of each sort
}

type columnAnswer struct {
	Spoke         int       `json:"spoke"`
	DTension      []float64 `json:"d_tension_N"`
	DRadial       []float64 `json:"d_radial_mm"`
	DLateral      []float64 `json:"d_lateral_mm"`
	RadialMiddle  float64   `json:"d_radial_at_midpoint_0_1"`
	LateralMiddle float64   `json:"d_lateral_at_midpoint_0_1"`
}

// togetherAnswer is what turning all nipples does. Leaning one way and the
// other, the spokes of a side do not change quite alike.
type togetherAnswer struct {
	TensionA float64 `json:"d_tension_A"` // of spoke 0
	TensionB float64 `json:"d_tension_B"` // of spoke 1
	MeanA    float64 `json:"d_tension_mean_A"`
	MeanB    float64 `json:"d_tension_mean_B"`
	Radial   float64 `json:"d_radial_mean"`
	Lateral  float64 `json:"d_lateral_mean"`
}

type influenceAnswer struct {
	Start       [2]float64     `json:"tension_T0"`
	Compression float64        `json:"rim_compression_N"`
	Columns     []columnAnswer `json:"columns"`
	All         togetherAnswer `json:"all_spokes"`
	Dished      togetherAnswer `json:"A_tight_B_loose"`
	Radial      float64        `json:"wheel_radial_stiffness_N_per_mm"`
	Lateral     float64        `json:"wheel_lateral_stiffness_N_per_mm"`
}

func influence(in influenceInput) (influenceAnswer, error) {
	if !(math.Abs(in.Turn) <= 100) {
		return influenceAnswer{}, &Failure{Field: "turn", Problem: "must be a number of turns, at most 100"}
	}
	b, err := in.Wheel.build()
	if err != nil {
		return influenceAnswer{}, err
	}
	b.Unstressed = true
	m, err := wheel.NewModel(b)
	if err != nil {
		return influenceAnswer{}, ofWheel(err)
	}
	columns := in.Spokes
	if columns == nil {
		columns = m.Sorts()
	}
	for i, j := range columns {
		if j < 0 || j >= m.Spokes() {
			return influenceAnswer{}, &Failure{Field: fmt.Sprintf("spokes[%d]", i), Problem: fmt.Sprintf("%d is not on a wheel of %d spokes", j, m.Spokes())}
		}
	}
	answer := influenceAnswer{Compression: m.RimCompression(), Columns: []columnAnswer{}}
	answer.Start[0], answer.Start[1] = m.StartTensions()
	if answer.Radial, err = m.RadialStiffness(0); err != nil {
		return influenceAnswer{}, ofWheel(err)
	}
	if answer.Lateral, err = m.LateralStiffness(0); err != nil {
		return influenceAnswer{}, ofWheel(err)
	}
	f := m.Influence()
	lateral, radial, err := m.Between(0.5)
	if err != nil {
		return influenceAnswer{}, ofWheel(err)
	}
	turns := make([]float64, m.Spokes())
	for _, j := range columns {
		clear(turns)
		turns[j] = in.Turn
		c, err := f.Of(turns)
		if err != nil {
			return influenceAnswer{}, blame("turn", err)
		}
		answer.Columns = append(answer.Columns, columnAnswer{
			Spoke: j, DTension: c.Tension, DRadial: c.Radial, DLateral: c.Lateral,
			RadialMiddle: radial[j] * in.Turn, LateralMiddle: lateral[j] * in.Turn,
		})
	}
	for _, set := range []struct {
		onB  float64
		into *togetherAnswer
	}{{in.Turn, &answer.All}, {-in.Turn, &answer.Dished}} {
		for j := range turns {
			turns[j] = []float64{in.Turn, set.onB}[j%2]
		}
		c, err := f.Of(turns)
		if err != nil {
			return influenceAnswer{}, blame("turn", err)
		}
		s := c.Means()
		*set.into = togetherAnswer{TensionA: c.Tension[0], TensionB: c.Tension[1], MeanA: s.TensionA, MeanB: s.TensionB, Radial: s.Radial, Lateral: s.Lateral}
	}
	return answer, nil
}
